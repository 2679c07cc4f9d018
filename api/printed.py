"""Pages for print, beside all the JSON."""

import base64
import hashlib
import re

from csp.decorators import csp_update
from django.http import HttpResponse
from rest_framework.negotiation import BaseContentNegotiation


class WhateverIsAccepted(BaseContentNegotiation):
    """A page has one form; refusals stay JSON."""

    def select_renderer(self, request, renderers, format_suffix=None):
        return renderers[0], renderers[0].media_type


STYLE = re.compile(r"<style>(.*?)</style>", re.DOTALL)


def with_its_style(page: str) -> HttpResponse:
    """A page that brings its own style: the browser is told what it looks like."""
    digest = hashlib.sha256("".join(STYLE.findall(page)).encode()).digest()
    said = {"style-src": f"'sha256-{base64.b64encode(digest).decode()}'"}
    answer = csp_update(said)(HttpResponse)
    return answer(page, content_type="text/html; charset=utf-8")
