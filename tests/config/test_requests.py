"""One line a request, and the id by which it is found again."""

import json
import logging
import re

import pytest
from django.test import Client

from config.logs import JsonLines

PASSED_ON = "4f9b1c20-77aa-4c11-9c0e-1f2e3d4c5b6a"


@pytest.fixture
def lines(db):
    """What is written while the test runs, as it would stand in the log."""
    written = []

    class Kept(logging.Handler):
        def emit(self, record):
            written.append(self.format(record))

    handler = Kept()
    handler.setFormatter(JsonLines())
    logging.getLogger().addHandler(handler)
    yield written
    logging.getLogger().removeHandler(handler)


def get(url, **headers):
    return Client(raise_request_exception=False).get(url, headers=headers)


def test_an_id_that_is_one_is_taken_over(lines):
    response = get("/livez", **{"X-Request-Id": PASSED_ON})
    assert response.headers["X-Request-Id"] == PASSED_ON
    [line] = map(json.loads, lines)
    assert line.pop("ms") >= 0
    assert line.pop("at")
    assert line == {
        "level": "info",
        "logger": "config.requests",
        "said": "request",
        "request": PASSED_ON,
        "method": "GET",
        "route": "livez",
        "status": 200,
    }


@pytest.mark.parametrize("given", ["", "Quillonaria", "abc", "a" * 65, "0123abcd x", "'--"])
def test_any_other_is_replaced(lines, given):
    made = get("/livez", **{"X-Request-Id": given}).headers["X-Request-Id"]
    assert re.fullmatch("[0-9a-f]{32}", made)
    assert json.loads(lines[-1])["request"] == made
    assert made != get("/livez").headers["X-Request-Id"]


@pytest.mark.parametrize(
    "url",
    [
        "/Quillonaria",
        "/api/v1/Quillonaria?mass=41.7391",
        "/livez?name=Quillonaria&mass=41.7391",
        "/api/v1/openapi?name=Quillonaria",
    ],
)
def test_neither_address_nor_query_reaches_the_log(lines, url):
    response = get(url, Host="127.0.0.1")
    assert lines
    assert not [canary for canary in ("Quillonaria", "41.7391") if canary in "".join(lines)]
    [told] = [one for one in map(json.loads, lines) if one["said"] == "request"]
    assert told["status"] == response.status_code


def test_a_host_that_is_none_of_ours_is_not_named(lines):
    assert get("/livez", Host="quillonaria.example").status_code in (200, 400)
    assert "quillonaria" not in "".join(lines)


def test_what_breaks_is_told_without_what_it_held(lines, monkeypatch):
    def broken(*args):
        raise ValueError("Quillonaria 41.7391")

    monkeypatch.setattr("api.health._why_not", broken)
    response = get("/readyz")
    assert response.status_code == 500
    assert response.json()["code"] == "broken"
    error, request = map(json.loads, lines)
    assert error["error"]["classes"] == ["builtins.ValueError"]
    assert error["request"] == request["request"] == response.headers["X-Request-Id"]
    assert (request["status"], request["route"]) == (500, "readyz")
    assert not [canary for canary in ("Quillonaria", "41.7391") if canary in "".join(lines)]


def test_a_host_that_is_not_ours_gets_a_refusal_like_any_other(settings, db):
    settings.SECURE_SSL_REDIRECT = True
    response = get("/api/v1/me", Host="elsewhere.example")
    assert (response.status_code, response.json()["code"]) == (400, "invalid")
    assert response.headers["Content-Type"] == "application/problem+json"
