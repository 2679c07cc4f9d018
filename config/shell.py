"""The client's one page, for whichever of its addresses a browser opens."""

import hashlib

from django.conf import settings
from django.http import HttpResponse
from django.utils.cache import get_conditional_response
from django.views.generic import View

NOT_BUILT = (
    "The pages are not built yet. Run `make web` and start again; the API answers already.\n"
)


class Shell(View):
    """It holds nothing of anybody: what it shows comes from the API."""

    http_method_names = ["get", "head", "options"]

    def get(self, request):
        try:
            page = (settings.WEB_BUILT / "index.html").read_bytes()
        except FileNotFoundError:
            return HttpResponse(
                NOT_BUILT,
                status=503,
                content_type="text/plain; charset=utf-8",
                headers={"Cache-Control": "no-store"},
            )
        etag = f'"{hashlib.sha256(page).hexdigest()[:32]}"'
        headers = {"Cache-Control": "no-cache", "ETag": etag}
        response = HttpResponse(page, headers=headers)
        return get_conditional_response(request, etag=etag, response=response)
