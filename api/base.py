"""What every view shares: who asks, at what moment, what was said, and how it is answered.

A view is three sentences: parse, call, shape.
"""

import hashlib
import re
from datetime import datetime

from django.http import HttpResponse
from django.utils import timezone
from django.utils.cache import patch_vary_headers
from rest_framework.exceptions import ErrorDetail, ValidationError
from rest_framework.renderers import JSONRenderer
from rest_framework.response import Response
from rest_framework.views import APIView

from accounts.scope import Scope, Stale
from api.errors import PreconditionRequired
from api.pages import page_of

# A compressed answer carries its ETag as a weak one.
VERSION = re.compile(r'(?:W/)?"v([0-9]{1,9})"')


class View(APIView):
    """`scope` is who asks, `now` the moment of the request; one view for one path."""

    late_members = False  # whether one whose access has ended may still hand something in
    throttle_by = "member"
    now: datetime

    @property
    def scope(self) -> Scope:
        return self.request.auth

    def initial(self, request, *args, **kwargs):
        self.now = timezone.now()
        super().initial(request, *args, **kwargs)
        method = getattr(self, request.method.lower(), None)
        unknown = set(request.query_params) - getattr(method, "parameters", frozenset())
        if unknown and method is not None:
            error = ErrorDetail("No such parameter.", "unknown_parameter")
            raise ValidationError({"?": dict.fromkeys(sorted(unknown), error)})

    def read(self, body):
        """The body as a dict of checked values. Raises `ValidationError`."""
        said = body(data=self.request.data)
        said.is_valid(raise_exception=True)
        return said.validated_data

    def asked(self, query):
        """The query parameters as a dict of checked values. Raises `ValidationError`."""
        given = self.request.query_params
        said = query(
            data={name: given[name] for name in query().fields if name in given},
            context={"query": True},
        )
        if not said.is_valid():
            raise ValidationError({"?": said.errors})
        return said.validated_data

    def file(self) -> bytes:
        """The bytes of a body that is a file."""
        data = self.request.data
        return data if isinstance(data, bytes) else b""

    def if_match(self) -> int:
        """The version that somebody read before she changes it.

        Raises `PreconditionRequired` without one and `Stale` for what never was a version.
        """
        said = self.request.headers.get("If-Match")
        if said is None:
            raise PreconditionRequired()
        found = VERSION.fullmatch(said.strip())
        if found is None:
            raise Stale("this is no version of it")
        return int(found[1])

    def tag_read(self, *, may_add=False) -> str | None:
        """The tag of the part of a document that somebody read before she changes it.

        None where it `may_add` one and `If-None-Match: *` says that nothing stood there. Raises
        `PreconditionRequired` without either.
        """
        said = self.request.headers.get("If-Match")
        if said is not None:
            return said.strip().removeprefix("W/").strip('"')
        if may_add and self.request.headers.get("If-None-Match", "").strip() == "*":
            return None
        raise PreconditionRequired()

    def answer(self, shape, value, *, status=200, many=False, version=None, tag=None) -> Response:
        """The value as `shape` says it, with its version or its tag as ETag where it has one."""
        tag = tag or (None if version is None else f"v{version}")
        headers = {} if tag is None else {"ETag": f'"{tag}"'}
        return Response(shape(value, many=many).data, status=status, headers=headers)

    def answer_page(self, shape, rows, *, key) -> Response:
        """One page of rows that are sorted by `key`, a tuple of JSON values for each row."""
        rows, following = page_of(self.request, rows, key=key)
        return Response({"rows": shape(rows, many=True).data, "next": following})

    def answer_cached(self, document, *, forever=False) -> Response | HttpResponse:
        """A whole document that is polled: 304 where the asker has it already.

        `forever` says that what stands at this address never changes.
        """
        content = JSONRenderer().render(document)
        etag = f'"{hashlib.sha256(content).hexdigest()[:32]}"'
        headers = {
            "ETag": etag,
            "Cache-Control": "private, max-age=31536000, immutable"
            if forever
            else "private, no-cache",
        }
        known = self.request.headers.get("If-None-Match", "")
        if etag in [one.strip().removeprefix("W/") for one in known.split(",")]:
            return Response(status=304, headers=headers)
        return HttpResponse(content, content_type="application/json", headers=headers)

    def finalize_response(self, request, response, *args, **kwargs):
        response = super().finalize_response(request, response, *args, **kwargs)
        response.setdefault("Cache-Control", "no-store")
        patch_vary_headers(response, ["Authorization", "Cookie", "X-Member"])
        return response
