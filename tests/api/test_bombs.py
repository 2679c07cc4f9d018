"""Small files that would become large, and large ones, at every route that takes a file."""

import tracemalloc
from contextlib import contextmanager

import pytest
from django.urls import reverse

from tests.accounts.test_tables import (
    bomb,
    lying_sizes,
    many_styles,
    one_long_row,
    rows_numbered_one,
)
from tests.api.test_rights import ROWS

MOST = 100_000_000
XLSX = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
TABLES = [row for row in ROWS if row.content == "text/csv"]
DOCUMENTS = [row for row in ROWS if row.content == "application/yaml"]
BOMBS = {
    "unpacks": (XLSX, bomb),
    "lies about its size": (XLSX, lying_sizes),
    "rows all numbered 1": (XLSX, rows_numbered_one),
    "one long row": (XLSX, one_long_row),
    "many styles": (XLSX, many_styles),
    "NUL": ("text/csv", lambda: b"student,kind\nA\x00,b\n"),
    "one cell": ("text/csv", lambda: b"student,kind\n" + b"x" * 2_000_000),
    "marks": ("text/csv", lambda: ("student\n" + ("e" + "\u0301\u0327" * 32_000 + "\n")).encode()),
    "columns": ("text/csv", lambda: b",".join(b"c%d" % n for n in range(100_000))),
    "rows": ("text/csv", lambda: b"student\n" + b"\n" * 1_900_000),
    "a quote without end": ("text/csv", lambda: b'student\n"' + b"\n" * 1_900_000),
    "too large": ("text/csv", lambda: b"student\n" + b"x\n" * 1_500_000),
}
# What takes long to refuse goes to one route: they all read with the same reader.
COSTLY = {"rows all numbered 1", "one long row"}
DEEP = {
    "aliases": b"a: &a [x, x]\nb: &b [*a, *a]\nc: [*b, *b]\n",
    "tag": b"a: !!python/object/apply:os.system ['true']\n",
    "key twice": b"format: curriculum/1\nformat: curriculum/1\n",
    "brackets": b"[" * 1_000,
    "mappings": b"{a: " * 1_000,
    "keys that ask": b"? " * 100_000,
    "documents": b"---\n" * 400_000,
    "directives": b"%YAML 1.1\n" * 190_000,
    "NUL": b"a: \x00\n",
    "half a surrogate": b'a: "\\ud800"\n',
    "too large": b"# x\n" * 600_000,
}


@pytest.fixture(autouse=True)
def no_limit(monkeypatch):
    monkeypatch.setattr("api.throttling.A_MINUTE", {"member": 10**9, "network": 10**9})


@contextmanager
def in_little_memory():
    tracemalloc.start()
    try:
        yield
        _, peak = tracemalloc.get_traced_memory()
    finally:
        tracemalloc.stop()
    assert peak < MOST, f"{peak / 1e6:.0f} MB"


def refused(world, client, right, content, kind):
    place = world.own
    url = reverse(f"api:{right.route}", kwargs=right.url(place))
    headers, query = right.headers(place), right.query(place)
    response = client.generic(
        right.method, url, content, content_type=kind, headers=headers, query_params=query
    )
    assert response.status_code in (400, 413), response.content[:300]
    assert response["Content-Type"] == "application/problem+json"
    assert len(response.content) < 5_000


@pytest.mark.parametrize("name", BOMBS)
def test_tables(world, as_head, name):
    kind, content = BOMBS[name]
    content = content()
    with in_little_memory():
        refused(world, as_head, TABLES[0], content, kind)
    for right in () if name in COSTLY else TABLES[1:]:
        refused(world, as_head, right, content, kind)


@pytest.mark.parametrize("name", DEEP)
def test_documents(world, as_head, name):
    with in_little_memory():
        refused(world, as_head, DOCUMENTS[0], DEEP[name], "application/yaml")
    for right in DOCUMENTS[1:]:
        refused(world, as_head, right, DEEP[name], "application/yaml")
