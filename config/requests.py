"""One line in the log for each request, and an id by which it is found again."""

import logging
import re
import time
from uuid import uuid4

from config.logs import request_id

# Hexadecimal digits spell no name.
SANE = re.compile(r"[0-9a-fA-F-]{8,64}")

log = logging.getLogger(__name__)


class Requests:
    """Takes `X-Request-Id` over if it is one, else makes one, and sends it back.

    The route is logged, never the address: that may hold what somebody has typed.
    """

    def __init__(self, get_response):
        self.get_response = get_response

    def __call__(self, request):
        given = request.headers.get("X-Request-Id", "")
        id_ = given if SANE.fullmatch(given) else uuid4().hex
        before = request_id.set(id_)
        began = time.perf_counter()
        try:
            response = self.get_response(request)
            match = request.resolver_match
            log.info(
                "request",
                extra={
                    "method": request.method if request.method.isalpha() else "",
                    "route": match.route if match else "",
                    "status": response.status_code,
                    "ms": round(1000 * (time.perf_counter() - began), 1),
                },
            )
        finally:
            request_id.reset(before)
        response["X-Request-Id"] = id_
        return response
