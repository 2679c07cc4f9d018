"""From where somebody asks, where a proxy of ours stands before the service."""

import pytest
from django.http import HttpResponse
from django.test import RequestFactory

from config.proxy import ClientAddress


@pytest.mark.parametrize(
    ("said", "address"),
    [
        ("192.0.2.7", "192.0.2.7"),
        ("198.51.100.1, 192.0.2.7", "192.0.2.7"),  # the first was made up by whoever asks
        ("2001:db8::7", "2001:db8::7"),
        ("unknown", "127.0.0.1"),
        ("192.0.2.7, ", "127.0.0.1"),
        (None, "127.0.0.1"),
    ],
)
def test_the_address_is_the_one_that_the_proxy_has_seen(said, address):
    headers = {} if said is None else {"X-Forwarded-For": said}
    request = RequestFactory().get("/livez", headers=headers)
    seen = []

    def answer(request):
        seen.append(request.META["REMOTE_ADDR"])
        return HttpResponse()

    ClientAddress(answer)(request)
    assert seen == [address]
