"""The contract as OpenAPI: what each route takes and answers, and how it refuses."""

import re
from functools import cache
from itertools import takewhile

from drf_spectacular.extensions import OpenApiAuthenticationExtension
from drf_spectacular.openapi import AutoSchema as SpectacularSchema
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiParameter, OpenApiResponse, extend_schema
from rest_framework import serializers

from api.base import View
from api.errors import CODES, TITLES
from api.pages import PageQuery
from api.parsers import FileParser

ALWAYS = (400, 401, 403, 404, 405, 406, 409, 415, 429, 503)
IF_MATCH = OpenApiParameter(
    "If-Match",
    OpenApiTypes.STR,
    OpenApiParameter.HEADER,
    required=True,
    description='The ETag that was read, such as "v3".',
)
MAY_MATCH = OpenApiParameter(
    "If-Match", OpenApiTypes.STR, OpenApiParameter.HEADER, description="The ETag that was read."
)
ADDS = OpenApiParameter(
    "If-None-Match",
    OpenApiTypes.STR,
    OpenApiParameter.HEADER,
    enum=["*"],
    description="Instead of If-Match, for what was not there.",
)
IF_NONE_MATCH = OpenApiParameter(
    "If-None-Match",
    OpenApiTypes.STR,
    OpenApiParameter.HEADER,
    description="The ETag that the asker has: 304 where nothing changed.",
)


def closed(result, generator, request, public):
    """A hook of the generator: documents take and answer the fields they name and no others."""
    for shape in result.get("components", {}).get("schemas", {}).values():
        if "properties" in shape:
            shape.setdefault("additionalProperties", False)
    return result


def refusals_once(result, generator, request, public):
    """A hook of the generator: each refusal stands once, and every operation refers to it."""
    named = result["components"].setdefault("responses", {})
    for item in result["paths"].values():
        for operation in item.values():
            answers = operation["responses"]
            for status in [one for one in answers if int(one) in TITLES]:
                name = "".join(word.capitalize() for word in CODES[int(status)].split("_"))
                named[name] = answers[status]
                answers[status] = {"$ref": f"#/components/responses/{name}"}
    return result


class FieldProblem(serializers.Serializer):
    """One field that is not right: its JSON pointer in the body, or the query parameter."""

    pointer = serializers.CharField(required=False)
    parameter = serializers.CharField(required=False)
    code = serializers.CharField()
    detail = serializers.CharField()


class Problem(serializers.Serializer):
    """A refusal (RFC 9457)."""

    type = serializers.CharField()
    title = serializers.CharField()
    status = serializers.IntegerField()
    code = serializers.CharField()
    detail = serializers.CharField()
    errors = FieldProblem(many=True, required=False)
    current = serializers.DictField(
        required=False,
        help_text="With 412 of a part of a draft: its tag and document now (null: it is gone),"
        " changed_at and changed_by as far as is known.",
    )


class TokenScheme(OpenApiAuthenticationExtension):
    target_class = "api.authentication.TokenMember"
    name = "token"

    def get_security_definition(self, auto_schema):
        return {
            "type": "apiKey",
            "in": "header",
            "name": "Authorization",
            "description": "“Token ” and the token of a member.",
        }


class AccountScheme(OpenApiAuthenticationExtension):
    target_class = "api.authentication.SessionAccount"
    name = "account"
    says = (
        "The cookie of a browser that has signed in; over https its name begins with __Host-."
        " What changes something sends the cookie csrftoken back as X-CSRFToken (else 403"
        " csrf_failed)."
    )

    def get_security_definition(self, auto_schema):
        return {"type": "apiKey", "in": "cookie", "name": "sessionid", "description": self.says}


class SessionScheme(AccountScheme):
    target_class = "api.authentication.SessionMember"
    name = "session"
    says = (
        f"{AccountScheme.says} X-Member says for which member the account asks: 409 other_member"
        " where it does not ask for her, or for several and the header is missing."
    )


class AutoSchema(SpectacularSchema):
    """Adds to each operation the refusals that any request may meet."""

    def get_operation(self, *args, **kwargs):
        operation = super().get_operation(*args, **kwargs)
        if operation:
            for status in ALWAYS:
                operation["responses"].setdefault(str(status), self._refusal(status))
        return operation

    def get_operation_id(self):
        """The view's name and the method, since each path has a view of its own."""
        words = re.findall(r"[A-Z][a-z0-9]*", type(self.view).__name__)
        return "_".join([*(word.lower() for word in words), self.method.lower()])

    def get_description(self):
        """What the method says of itself, else its view; not what all views share."""
        kinds = takewhile(lambda kind: kind is not View, type(self.view).__mro__)
        said = [getattr(self.view, self.method.lower()).__doc__]
        said += [vars(kind).get("__doc__") for kind in kinds]
        return " ".join(next(text for text in said if text).split())

    def _refusal(self, status):
        return self._get_response_for_code(
            OpenApiResponse(Problem, TITLES[status]), str(status), ["application/problem+json"]
        )


@cache
def page(shape):
    """The answer of a list in pages: its rows and the cursor of the next page."""
    name = f"{shape.__name__}Page"
    fields = {"rows": shape(many=True), "next": serializers.CharField(allow_null=True)}
    return type(name, (serializers.Serializer,), fields)


def takes(
    *,
    body=None,
    query=None,
    answers=None,
    status=200,
    paged=False,
    cached=False,
    if_match=False,
    may_add=False,
    file=False,
    also=(),
):
    """Describe one operation: its body and query, its answer, and refusals beside the usual.

    With `if_match` it names the version that was read; where it `may_add`, that there was none.
    """
    parameters = [one for one in (query, PageQuery if paged else None) if one is not None]
    refusals = list(also)
    if if_match:
        parameters += [MAY_MATCH, ADDS] if may_add else [IF_MATCH]
        refusals += [412, 428]
    if cached:
        parameters.append(IF_NONE_MATCH)
    if body or file:
        refusals.append(413)
    if paged:
        answers = page(answers)
    responses = {status: answers if answers is not None else OpenApiResponse(None, "Done")}
    if cached:
        responses[304] = OpenApiResponse(None, "Not changed")
    for code in refusals:
        responses[code, "application/problem+json"] = OpenApiResponse(Problem, TITLES[code])
    request = body
    if file:
        request = dict.fromkeys(FileParser.READ, OpenApiTypes.BINARY)
    described = extend_schema(parameters=parameters, request=request, responses=responses)
    names = {name for one in (query, PageQuery if paged else None) if one for name in one().fields}

    def describe(method):
        method = described(method)
        method.parameters = frozenset(names)
        return method

    return describe
