"""What nobody should send, to every route that takes a body, an id or a query.

The list was made by hand: a fuzzer does not think of a lone surrogate in the third row. No answer
is a server error, every refusal is a problem document, and what was taken can be read afterwards.
"""

import json
from copy import deepcopy
from pathlib import Path
from uuid import uuid4

import pytest
from django.db import transaction
from django.urls import reverse
from django.utils import timezone
from rest_framework.test import APIClient

from accounts.tokens import holder
from tests.api.test_rights import ROWS, call
from tests.depth import DEEP

CONTRACT = json.loads((Path(__file__).parents[2] / "docs" / "openapi.json").read_text("utf-8"))
LONG = 10_000
MARK = "here stands what is wrong"
# Instead of the value of a field.
VALUES = {
    "nothing": None,
    "true": True,
    "a number": 7,
    "a number as a text": "7",
    "minus one": -1,
    "a fraction": 0.5,
    "the largest double": 1.7e308,
    "more than 32 bits": 2**31,
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
    "an early day": "1900-01-01",
    "a late day": "2199-12-31",
    "a moment before time": "0001-01-01T00:00:00+14:00",
    "a moment after time": "9999-12-31T23:59:59-14:00",
    "a moment without offset": "2026-03-10T17:00:00",
    "an early moment": "1900-01-01T00:00:00+14:00",
    "a late moment": "2199-12-31T23:59:59-12:00",
    "markup": "<img src=x onerror=alert(1)>",
    "a quote": "'; DROP TABLE student; --",
    "a path": "../../etc/passwd",
    "a formula": "=1+1",
    "a template": "{{ 7 * 7 }}",
    "a line break": "a\r\nSet-Cookie: b=c",
    "NUL in a text": "a\x00b",
    "half a surrogate in a text": "a\ud800b",
    "right to left": "\u202eabc",
    "a sign of four bytes": "\U0001f938",
    "combining marks": "e" + "\u0301" * 200,
    "a private sign": "\ue000",
    "many rows": [{}] * 501,
}
# The same, as no encoder writes it.
RAW = {
    "no number": b"NaN",
    "infinity": b"-Infinity",
    "beyond the largest double": b"1e999",
    "too many digits": b"9" * 5_000,
    "a name twice": b'{"a": 1, "a": 2}',
    "no UTF-8": b'"\xff"',
    "half a surrogate as a name": b'{"\\udc00": 1}',
    "marks without end": ('"e' + "\u0301\u0327" * 15_000 + '"').encode(),
    "brackets": b"[" * 100_000 + b"]" * 100_000,
} | {name: json.dumps(value).encode() for name, value in VALUES.items()}
# Instead of the whole body.
BODIES = {
    "nothing": b"",
    "no object": b"[]",
    "a number": b"1",
    "half of it": b'{"rows": [',
    "brackets without end": b"[" * 100_000,
    "objects without end": b'{"a":' * 100_000,
    "a name twice": b'{"rows": [], "rows": [{}]}',
    "UTF-16": '{"rows": []}'.encode("utf-16"),
    "a mark of order first": b'\xef\xbb\xbf{"rows": []}',
    "a megabyte": b'{"rows": "' + b"x" * 1_100_000 + b'"}',
    "a polluted prototype": b'{"__proto__": {"is_head": true}, "constructor": 1}',
}
KINDS = ("text/plain", "application/xml", "multipart/form-data; boundary=x", "x", "")
IDS = ["x", "0", "00000000-0000-0000-0000-000000000000", "%00", "..%2f", "9" * 400, "%F0%9F%A4%B8"]
QUERIES = {
    "cursor": ["x", "W10", "WyJcdTAwMDAiXQ", "%00", "x" * 5000, "eyJhIjoxfQ", "WzFlNDAwXQ"],
    "limit": ["0", "-1", "501", "1e3", "9" * 400, "NaN", "%00"],
    "on": ["2026-02-30", "9999-12-31", "0001-01-01", "today", "%00"],
    "class": ["x", "%00", "00000000-0000-0000-0000-000000000000"],
    "order": ["mass_kg", "-birth_month"],
    "mass_kg__gt": ["40"],
}
# Signing in has a list of its own: each of its answers hashes a password.
BODIED = [row for row in ROWS if row.body is not None and row.api]
WITH_BODY = [row for row in BODIED if row.content == "application/json"]
WITH_FILE = [row for row in BODIED if row.content != "application/json"]
READING = [row for row in ROWS if row.method == "GET" and row.api]
BY_ROW = [row for row in WITH_BODY if row.route.endswith("batch") or row.route == "attempts-rescue"]
OWN_IDS = ("id", "attempt", "try_id")  # what a phone makes up for each row


def test_the_list_is_long_enough():
    assert len(RAW) + len(BODIES) + sum(map(len, QUERIES.values())) >= 80


@pytest.fixture
def asker(world, right):
    """Whose right it is: a head teacher's, but for what is of a browser alone."""
    if right.route == "session":
        return world.browser("head")
    # Who she is was asked thousands of times: a quarter of all the work here.
    account, asks = holder(text=world.tokens["head"], now=timezone.now())
    client = APIClient()
    client.force_authenticate(account, token=asks)
    return client


@pytest.fixture(autouse=True)
def no_limit(monkeypatch):
    never = dict.fromkeys(("member", "account", "network"), 10**9)
    monkeypatch.setattr("api.throttling.A_MINUTE", never)


def check(response, about):
    assert response.status_code < 500, f"{about}: {response.content[:300]}"
    if response.status_code >= 400:
        assert response["Content-Type"] == "application/problem+json", about
        said = response.json()
        assert said["status"] == response.status_code, about
        assert {"type", "title", "code", "detail"} <= said.keys(), about


def send(world, client, right, body, kind="application/json", *, kept=False):
    place = world.own
    url = reverse(f"api:{right.route}", kwargs=right.url(place))
    headers, query = right.headers(place), right.query(place)
    with transaction.atomic():
        response = client.generic(
            right.method, url, body, content_type=kind, headers=headers, query_params=query
        )
        transaction.set_rollback(not kept)
    return response


def places(value, at=()):
    """Where in a body values stand: leaves, and all that holds others."""
    inside = value.items() if isinstance(value, dict) else enumerate(value[:1])
    for step, inner in inside:
        if isinstance(inner, dict | list) and inner:
            yield (*at, step), False
            yield from places(inner, (*at, step))
        else:
            yield (*at, step), True


def unsaid(right, place, body):
    """Where the contract takes a field that the body leaves out, in the body and its first row."""
    path = reverse(f"api:{right.route}", kwargs=right.url(place))
    for name, value in right.url(place).items():
        path = path.replace(f"/{value}", f"/{{{name}}}")
    media = CONTRACT["paths"][path][right.method.lower()]["requestBody"]["content"]
    return list(_unsaid(media["application/json"]["schema"], body, ()))


def _unsaid(schema, value, at):
    if "$ref" in schema:
        schema = CONTRACT["components"]["schemas"][schema["$ref"].rpartition("/")[2]]
    if isinstance(value, dict):
        for name, inner in schema.get("properties", {}).items():
            if name in value:
                yield from _unsaid(inner, value[name], (*at, name))
            else:
                yield (*at, name)
    elif isinstance(value, list) and value and "items" in schema:
        yield from _unsaid(schema["items"], value[0], (*at, 0))


def spoil(body, *where):
    """The body with the mark at these places."""
    body = deepcopy(body)
    for *way, last in where:
        holder = body
        for step in way:
            holder = holder[step]
        holder[last] = MARK
    return body


def written(body, raw):
    return json.dumps(body).encode().replace(json.dumps(MARK).encode(), raw)


def poisoned(world, client, right):
    """Ask with each bad value at each place. Yields what was sent, what came, and about what.

    All leaves at once first, then those together that were not refused: they may pass without the
    others. Where they are refused after all, each alone.
    """
    whole = right.body(world.own)
    leaves = [at for at, leaf in places(whole) if leaf] + unsaid(right, world.own, whole)
    holders = [at for at, leaf in places(whole) if not leaf]
    for name, raw in RAW.items():
        body = written(spoil(whole, *leaves), raw)
        response = send(world, client, right, body)
        yield body, response, f"{right.label}: {name} everywhere"
        said = response.json() if response.status_code == 400 else {}
        if said and "errors" not in said:
            continue  # no JSON at all
        refused = {fault.get("pointer") for fault in said.get("errors", ())}
        alone = [
            at
            for at in [*holders, *leaves]
            if pointer(at) not in refused and not (right in BY_ROW and at[:1] == ("rows",) != at)
        ]
        together = [at for at in alone if at in leaves]
        if len(together) > 1:
            body = written(spoil(whole, *together), raw)
            response = send(world, client, right, body)
            yield body, response, f"{right.label}: {name} wherever it is not refused"
            if response.status_code < 300:
                alone = [at for at in alone if at not in together]
        for at in alone:
            body = written(spoil(whole, at), raw)
            yield body, send(world, client, right, body), f"{right.label}: {name} at {pointer(at)}"


def pointer(at):
    return "".join(f"/{step}" for step in at)


def rows_poisoned(world, client, right):
    """The same for rows that are answered by themselves: a row for each place, all in one go."""
    whole = right.body(world.own)
    row = whole["rows"][0]
    wheres = [at for at, _ in places(row)]
    wheres += [at[2:] for at in unsaid(right, world.own, whole) if at[:2] == ("rows", 0)]
    for name, raw in RAW.items():
        rows = []
        for at in wheres:
            own = {known: str(uuid4()) for known in OWN_IDS if known in row}
            rows.append(spoil(row | own, at))
        body = written(whole | {"rows": rows}, raw)
        response = send(world, client, right, body)
        yield body, response, f"{right.label}: {name} in a row"
        if response.status_code == 200:
            assert len(response.json()["rows"]) == len(rows)


def told_of(right, place):
    """The readings whose address names what the right is about, and the sheet, which tells all;
    every reading where there is time."""
    if DEEP:
        return READING

    def nouns(row):
        return set(reverse(f"api:{row.route}", kwargs=row.url(place)).split("/")[3:])

    own = {one for one in nouns(right) if not any(map(str.isdigit, one))}
    return [row for row in READING if nouns(row) & own or row.route == "lesson-sheet"]


@pytest.mark.parametrize("right", WITH_BODY, ids=lambda right: right.label)
def test_fields(world, as_head, asker, right):
    taken = []
    asked = list(poisoned(world, asker, right))
    if right in BY_ROW:
        asked += rows_poisoned(world, asker, right)
    for body, response, about in asked:
        check(response, about)
        if response.status_code < 300:
            taken.append(body)
    unknown = written(right.body(world.own) | {"surprise": 1}, b"")
    assert send(world, asker, right, unknown).status_code == 400
    for body in taken:
        check(send(world, asker, right, body, kept=True), f"{right.label} once more")
    # What was taken stands there still; where nothing was, nothing can spoil a reading.
    for reading in told_of(right, world.own) if taken else ():
        response = call(world, as_head, reading, world.own)
        assert response.status_code == reading.statuses("head")["own"], (
            f"{reading.label} after {right.label}: {response.content[:300]}"
        )


@pytest.mark.parametrize("right", [*WITH_BODY, *WITH_FILE], ids=lambda right: right.label)
def test_bodies(world, asker, right):
    for name, body in BODIES.items():
        check(send(world, asker, right, body, right.content), f"{right.label}: {name}")
    for kind in KINDS:
        check(send(world, asker, right, b"a,b\n1,2\n", kind), f"{right.label}: {kind}")


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
