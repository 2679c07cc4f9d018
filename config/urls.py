"""Where a request goes."""

from django.urls import include, path, re_path

from api import health, sign_in
from config.shell import Shell

handler400 = "api.errors.bad_request"
handler404 = "api.errors.not_found"
handler500 = "api.errors.broken"

urlpatterns = [
    *health.urls,
    path("api/v1/", include("api.urls")),
    path("_allauth/browser/v1/", include(sign_in.urls)),
    # Every page of the client; what has a dot is a file, and those are served before.
    re_path(r"^(?!(?:api|_allauth|assets)(?:/|$))[^.]*$", Shell.as_view(), name="shell"),
]
