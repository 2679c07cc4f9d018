"""Pages for print, beside all the JSON.

They are opened as any page is, by their address: no header can say for which member an account
asks, so the address may. It opens nothing that the header would not.
"""

import base64
import hashlib
import re

from csp.decorators import csp_update
from django.http import HttpResponse
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiParameter, OpenApiResponse, extend_schema
from rest_framework.negotiation import BaseContentNegotiation

from api.base import View
from api.schema import takes

STYLE = re.compile(r"<style>(.*?)</style>", re.DOTALL)
MEMBER = OpenApiParameter(
    "member",
    OpenApiTypes.UUID,
    description="For whom an account asks that asks for several, where no X-Member says so.",
)


class WhateverIsAccepted(BaseContentNegotiation):
    """A page has one form; refusals stay JSON."""

    def select_renderer(self, request, renderers, format_suffix=None):
        return renderers[0], renderers[0].media_type


class PageForPrint(View):
    content_negotiation_class = WhateverIsAccepted
    member_in_address = True


def prints(query=None):
    """Describe the method of a page for print, and its query."""
    page = OpenApiResponse(OpenApiTypes.STR, "One page for print")

    def describe(method):
        method = takes(query=query)(method)
        method.parameters |= {MEMBER.name}
        return extend_schema(parameters=[MEMBER], responses={(200, "text/html"): page})(method)

    return describe


def with_its_style(page: str) -> HttpResponse:
    """A page that brings its own style: the browser is told what it looks like."""
    digest = hashlib.sha256("".join(STYLE.findall(page)).encode()).digest()
    said = {"style-src": f"'sha256-{base64.b64encode(digest).decode()}'"}
    answer = csp_update(said)(HttpResponse)
    return answer(page, content_type="text/html; charset=utf-8")
