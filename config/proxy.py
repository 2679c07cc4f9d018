"""From which network somebody asks, where a proxy of ours stands before the service."""

from contextlib import suppress
from ipaddress import ip_address


class ClientAddress:
    """Takes the address that the nearest proxy has seen for the one that asks.

    What stands before it in the header was sent by whoever wanted to.
    """

    def __init__(self, get_response):
        self.get_response = get_response

    def __call__(self, request):
        seen = request.headers.get("X-Forwarded-For", "").rpartition(",")[2].strip()
        # Without one the proxy's own stays: one limit for all is on the safe side.
        with suppress(ValueError):
            request.META["REMOTE_ADDR"] = str(ip_address(seen))
        return self.get_response(request)
