"""Every refusal as one kind of document: RFC 9457, with a pointer to each field that is wrong."""

import logging
from contextlib import contextmanager

from django.core.exceptions import PermissionDenied
from django.db import InterfaceError, OperationalError, connection
from django.http import Http404, JsonResponse
from rest_framework import exceptions
from rest_framework.response import Response

from accounts.faults import BadDocument, Fault
from accounts.scope import Conflict, NotAllowed, SignedOut, Stale, Unknown

PROBLEM = "application/problem+json"
RETRY_SECONDS = 5
TITLES = {
    400: "What was sent is not right",
    401: "Sign in first",
    403: "Not allowed",
    404: "Nothing of that name can be seen",
    405: "Not a method of this address",
    406: "Only JSON is spoken here",
    409: "It does not go with what stands",
    412: "Somebody else has changed it",
    413: "Too large",
    415: "Not a type that is read here",
    428: "Say which version you have read",
    429: "Too many requests",
    500: "Something broke here",
    503: "Away for a moment",
}
CODES = {
    400: "invalid",
    401: "signed_out",
    403: "not_allowed",
    404: "unknown",
    405: "method",
    406: "not_acceptable",
    409: "conflict",
    412: "stale",
    413: "too_large",
    415: "media_type",
    428: "precondition_required",
    429: "too_many",
    500: "broken",
    503: "unavailable",
}
OURS = {Unknown: 404, NotAllowed: 403, SignedOut: 401, Stale: 412, Conflict: 409}

log = logging.getLogger(__name__)


class PreconditionRequired(exceptions.APIException):
    status_code = 428
    default_detail = "If-Match is missing: read it first, and send back its ETag."


class NotOurPage(exceptions.PermissionDenied):
    """A browser that is signed in was made to ask by a page that is none of ours."""

    default_detail = "The token of the page is missing or old: read /api/v1/session for a new one."
    code = "csrf_failed"


class TooLarge(exceptions.APIException):
    status_code = 413
    default_detail = "The body is too large."


@contextmanager
def at(pointer: str):
    """What is unknown inside stands at this place of the body."""
    try:
        yield
    except Unknown:
        raise BadDocument([Fault(pointer, "unknown")]) from None


def problem(status, detail="", errors=None, headers=None, code=None) -> Response:
    """One refusal as a response."""
    return Response(
        _document(status, detail, errors, code),
        status=status,
        headers=headers,
        content_type=PROBLEM,
    )


def plain(refusal: Response) -> JsonResponse:
    """The same where no view of the API answers."""
    headers = {name: said for name, said in refusal.items() if name != "Content-Type"}
    return JsonResponse(
        refusal.data, status=refusal.status_code, headers=headers, content_type=PROBLEM
    )


def _document(status, detail, errors, code):
    document = {
        "type": "about:blank",
        "title": TITLES[status],
        "status": status,
        "code": code or CODES[status],
        "detail": detail or TITLES[status],
    }
    return document | ({"errors": errors} if errors else {})


def answer(error, context) -> Response | None:
    """The response to an exception; None for what nobody foresaw."""
    for kind, status in OURS.items():
        if isinstance(error, kind):
            headers = {"WWW-Authenticate": "Token"} if status == 401 else None
            code = getattr(error, "code", None)
            return problem(status, str(error), headers=headers, code=code)
    if isinstance(error, BadDocument):
        asked = context["request"].query_params if "request" in context else ()
        return problem(400, errors=[_fault(fault, asked) for fault in error.faults])
    if isinstance(error, OperationalError | InterfaceError):
        log.warning("database away: %s", type(error).__name__)
        connection.close()
        return problem(503, headers={"Retry-After": str(RETRY_SECONDS)})
    if isinstance(error, Http404):
        return problem(404)
    if isinstance(error, PermissionDenied):
        return problem(403)
    if isinstance(error, exceptions.ValidationError):
        return problem(400, errors=list(_errors(error.detail)))
    if isinstance(error, exceptions.APIException):
        code = getattr(error, "code", None)
        return problem(error.status_code, str(error.detail), headers=_headers(error), code=code)
    return None


def _headers(error):
    headers = {}
    if getattr(error, "auth_header", None):
        headers["WWW-Authenticate"] = error.auth_header
    if getattr(error, "wait", None):
        headers["Retry-After"] = str(max(1, int(error.wait)))
    return headers


def _fault(fault, asked):
    if fault.place in asked:
        return {"parameter": fault.place, "code": "invalid", "detail": fault.message}
    if not fault.place or fault.place.startswith("/"):
        return {"pointer": fault.place, "code": "invalid", "detail": fault.message}
    return {"pointer": "", "code": "invalid", "detail": str(fault)}


def _errors(detail, pointer="", key="pointer"):
    """Each message of a nested error with the place it stands at."""
    if isinstance(detail, dict):
        for name, inner in detail.items():
            if name == "?":
                yield from _errors(inner, "", "parameter")
            elif name == "non_field_errors":
                yield from _errors(inner, pointer, key)
            elif key == "parameter":
                yield from _errors(inner, str(name), key)
            else:
                step = str(name).replace("~", "~0").replace("/", "~1")
                yield from _errors(inner, f"{pointer}/{step}", key)
    elif isinstance(detail, list):
        for place, inner in enumerate(detail):
            nested = isinstance(inner, dict | list)
            yield from _errors(inner, f"{pointer}/{place}" if nested else pointer, key)
    else:
        yield {key: pointer, "code": detail.code, "detail": str(detail)}


def bad_request(request, exception):
    """The answer to what no route is asked for: a host that is not ours."""
    return plain(problem(400))


def not_our_page(request, reason=""):
    """The answer to a form or script of somebody else's page."""
    return plain(problem(403, NotOurPage.default_detail, code=NotOurPage.code))


def not_found(request, exception):
    """The answer where no route leads."""
    return plain(problem(404))


def broken(request):
    """The answer to what nobody foresaw: it tells nothing."""
    return plain(problem(500))
