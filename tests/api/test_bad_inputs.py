"""What nobody should send, to every route that takes a body, an id or a query.

The list was made by hand: a fuzzer does not think of a lone surrogate in the third row. No answer
is a server error, every refusal is a problem document, and every list still opens afterwards.
"""

import json

import pytest
from django.db import transaction
from django.urls import reverse

from tests.api.test_rights import ROWS, call

LONG = 10_000
# Instead of the value of a field.
VALUES = {
    "nothing": None,
    "true": True,
    "a number": 7,
    "minus one": -1,
    "a fraction": 0.5,
    "the largest double": 1.7e308,
    "more than 64 bits": 2**70,
    "an empty text": "",
    "a blank": "   ",
    "a long text": "x" * LONG,
    "a list": [],
    "a list in a list": [[[]]],
    "an object": {},
    "an object with a type": {"__class__": "Member", "$ref": "#"},
    "no uuid": "not-an-id",
    "the uuid of nothing": "00000000-0000-0000-0000-000000000000",
    "a uuid without dashes": "0" * 32,
    "a uuid in brackets": "{00000000-0000-4000-8000-000000000000}",
    "a day that is none": "2026-02-30",
    "the first day": "0001-01-01",
    "the last day": "9999-12-31",
    "a moment before time": "0001-01-01T00:00:00+14:00",
    "a moment after time": "9999-12-31T23:59:59-14:00",
    "a moment without offset": "2026-03-10T17:00:00",
    "markup": "<img src=x onerror=alert(1)>",
    "a quote": "'; DROP TABLE student; --",
    "a path": "../../etc/passwd",
    "a formula": "=1+1",
    "a template": "{{ 7 * 7 }}",
    "a line break": "a\r\nSet-Cookie: b=c",
    "right to left": "\u202eabc",
    "a sign of four bytes": "\U0001f938",
    "combining marks": "e" + "\u0301" * 200,
    "a private sign": "\ue000",
    "many rows": [{}] * 501,
}
# Instead of the whole body.
BODIES = {
    "nothing": b"",
    "no object": b"[]",
    "a number": b"1",
    "half of it": b'{"rows": [',
    "brackets without end": b"[" * 100_000,
    "objects without end": b'{"a":' * 100_000,
    "a name twice": b'{"rows": [], "rows": [{}]}',
    "no number": b'{"rows": NaN}',
    "infinity": b'{"rows": -Infinity}',
    "too many digits": b'{"rows": ' + b"9" * 5_000 + b"}",
    "NUL": b'{"rows": "\\u0000"}',
    "half a surrogate": b'{"rows": [{"note": "\\ud800"}]}',
    "half a surrogate as a name": b'{"\\udc00": 1}',
    "no UTF-8": b'{"rows": "\xff"}',
    "UTF-16": '{"rows": []}'.encode("utf-16"),
    "a mark of order first": b'\xef\xbb\xbf{"rows": []}',
    "a megabyte": b'{"rows": "' + b"x" * 1_100_000 + b'"}',
    "a polluted prototype": b'{"__proto__": {"is_head": true}, "constructor": 1}',
}
IDS = ["x", "0", "00000000-0000-0000-0000-000000000000", "%00", "..%2f", "9" * 400, "%F0%9F%A4%B8"]
QUERIES = {
    "cursor": ["x", "W10", "WyJcdTAwMDAiXQ", "%00", "x" * 5000, "eyJhIjoxfQ", "WzFlNDAwXQ"],
    "limit": ["0", "-1", "501", "1e3", "9" * 400, "NaN", "%00"],
    "on": ["2026-02-30", "9999-12-31", "0001-01-01", "today", "%00"],
    "class": ["x", "%00", "00000000-0000-0000-0000-000000000000"],
    "order": ["mass_kg", "-birth_month"],
    "mass_kg__gt": ["40"],
}
WITH_BODY = [row for row in ROWS if row.body is not None and row.content == "application/json"]
WITH_FILE = [row for row in ROWS if row.body is not None and row.content != "application/json"]
READING = [row for row in ROWS if row.method == "GET" and row.api]


def test_the_list_is_long_enough():
    assert len(VALUES) + len(BODIES) + sum(map(len, QUERIES.values())) >= 60


def check(response, about):
    assert response.status_code < 500, f"{about}: {response.content[:300]}"
    if response.status_code >= 400:
        assert response["Content-Type"] == "application/problem+json", about
        said = response.json()
        assert said["status"] == response.status_code, about
        assert {"type", "title", "code", "detail"} <= said.keys(), about


def send(client, right, url, body, content_type="application/json"):
    with transaction.atomic():
        response = client.generic(right.method, url, body, content_type=content_type)
        transaction.set_rollback(True)
    return response


def poisoned(body, poison):
    """The body with one field after the other, at all depths, holding something else."""
    for name, value in body.items():
        yield name, body | {name: poison}
        if isinstance(value, dict):
            yield from (
                (f"{name}/{at}", body | {name: inner}) for at, inner in poisoned(value, poison)
            )
        if isinstance(value, list) and value and isinstance(value[0], dict):
            for at, inner in poisoned(value[0], poison):
                yield f"{name}/0/{at}", body | {name: [inner, *value[1:]]}


@pytest.fixture
def no_limit(monkeypatch):
    monkeypatch.setattr("api.throttling.A_MINUTE", {"member": 10**9, "network": 10**9})


@pytest.mark.parametrize("right", WITH_BODY, ids=lambda right: right.label)
def test_fields(world, as_head, no_limit, right):
    url = reverse(f"api:{right.route}", kwargs=right.url(world.own))
    whole = right.body(world.own)
    for poison_name, poison in VALUES.items():
        for at, body in poisoned(whole, poison):
            response = send(as_head, right, url, json.dumps(body).encode())
            check(response, f"{right.label}: {poison_name} at {at}")
    unknown = send(as_head, right, url, json.dumps(whole | {"surprise": 1}).encode())
    check(unknown, right.label)
    assert unknown.status_code in (400, 428), "a field that nobody knows went through"


@pytest.mark.parametrize("right", [*WITH_BODY, *WITH_FILE], ids=lambda right: right.label)
def test_bodies(world, as_head, no_limit, right):
    url = reverse(f"api:{right.route}", kwargs=right.url(world.own))
    for name, body in BODIES.items():
        response = send(as_head, right, url, body, right.content)
        check(response, f"{right.label}: {name}")
    for kind in ("text/plain", "application/xml", "multipart/form-data; boundary=x", "x", ""):
        check(send(as_head, right, url, b"a,b\n1,2\n", kind), f"{right.label}: {kind}")


@pytest.mark.parametrize("right", READING, ids=lambda right: right.label)
def test_ids_and_queries(world, as_head, right):
    known = right.url(world.own)
    path = reverse(f"api:{right.route}", kwargs=known)
    for value in known.values():
        for bad in IDS:
            check(as_head.get(path.replace(str(value), bad)), f"{right.label}: {bad}")
    for name, values in QUERIES.items():
        for bad in values:
            response = as_head.get(f"{path}?{name}={bad}")
            check(response, f"{right.label}: {name}={bad}")
            if name in ("order", "mass_kg__gt"):
                assert response.status_code != 200, f"{right.label} takes {name}"


def test_every_list_opens_after_all_that(world, as_head, no_limit):
    """The same again, nothing rolled back: what was let in must be readable."""
    for right in WITH_BODY:
        if right.method == "DELETE":
            continue
        url = reverse(f"api:{right.route}", kwargs=right.url(world.own))
        for poison in VALUES.values():
            for _, body in poisoned(right.body(world.own), poison):
                as_head.generic(
                    right.method, url, json.dumps(body).encode(), content_type="application/json"
                )
    for right in READING:
        status = call(world, as_head, right, world.own).status_code
        assert status == right.statuses("head")["own"], right.label
