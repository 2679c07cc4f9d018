"""Signing in and out with a browser, by django-allauth; refusals are documents like all others."""

import json

from allauth.headless.account import views
from allauth.headless.constants import Client
from django.urls import path
from rest_framework.exceptions import UnsupportedMediaType

from api.errors import answer, plain, problem
from api.parsers import JSONParser

# The longest that the limits of the settings make somebody wait.
FAILED_SECONDS = "300"
ASKED_SECONDS = "60"


class Strict:
    """Reads a body as the API does, and puts what is refused into its documents."""

    def dispatch(self, request, *args, **kwargs):
        if request.method.lower() not in self.http_method_names:
            return _refused(self.http_method_not_allowed(request))
        try:
            response = super().dispatch(request, *args, **kwargs)
        except Exception as error:
            refusal = answer(error, {})
            if refusal is None:
                raise
            return plain(refusal)
        return response if response.status_code < 400 else _refused(response)

    def _parse_json(self, request):
        if request.headers.get("Content-Length", "0") == "0" or request.method == "GET":
            return None
        if request.content_type != JSONParser.media_type:
            raise UnsupportedMediaType(request.content_type)
        return JSONParser().parse(request)


def _refused(response):
    said = json.loads(response.content) if response.content else {}
    errors = [
        {
            "pointer": f"/{fault['param']}" if "param" in fault else "",
            "code": fault["code"],
            "detail": fault["message"],
        }
        for fault in said.get("errors", ())
    ]
    if any(one["code"] == "too_many_login_attempts" for one in errors):
        return plain(problem(429, headers={"Retry-After": FAILED_SECONDS}))
    if response.status_code == 429:
        return plain(problem(429, headers={"Retry-After": ASKED_SECONDS}))
    headers = {"Allow": response["Allow"]} if "Allow" in response else None
    return plain(problem(response.status_code, errors=errors, headers=headers))


class Login(Strict, views.LoginView):
    http_method_names = ["post"]


class Session(Strict, views.SessionView):
    http_method_names = ["get", "head", "delete"]


class Password(Strict, views.ChangePasswordView):
    http_method_names = ["post"]


# Where its own clients look for them; all that it can do beside stays away.
urls = [
    path("auth/login", Login.as_api_view(client=Client.BROWSER), name="sign-in"),
    path("auth/session", Session.as_api_view(client=Client.BROWSER), name="signed-in"),
    path("account/password/change", Password.as_api_view(client=Client.BROWSER), name="password"),
]
