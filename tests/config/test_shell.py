"""The client's one page, its files, and what every answer tells a browser to leave."""

import pytest
from django.test import Client

PAGE = "<!doctype html><title>Counterpoise</title>" + "<p>" * 100
POLICY = {
    "default-src": {"'none'"},
    "script-src": {"'self'"},
    "style-src": {"'self'"},
    "img-src": {"'self'", "data:"},
    "connect-src": {"'self'"},
    "font-src": {"'self'"},
    "manifest-src": {"'self'"},
    "worker-src": {"'self'"},
    "form-action": {"'self'"},
    "base-uri": {"'none'"},
    "frame-ancestors": {"'none'"},
    "require-trusted-types-for": {"'script'"},
    "trusted-types": {"counterpoise", "svelte-trusted-html"},
}
FILES = {
    "index.html": "no-cache",
    "sw.js": "no-cache",
    "manifest.webmanifest": "max-age=3600, public",
    "icon-192.png": "max-age=3600, public",
    "assets/index-4xm2BIx.js": "max-age=315360000, public, immutable",
    "assets/index-DgQ44KWc.css": "max-age=315360000, public, immutable",
}


def policy(response):
    said = response.headers["Content-Security-Policy"].split("; ")
    return {name: set(values) for name, *values in map(str.split, said)}


@pytest.fixture
def built(db, settings, tmp_path):
    """What vite makes, and a process that starts after it."""
    settings.WEB_BUILT = settings.WHITENOISE_ROOT = tmp_path
    (tmp_path / "assets").mkdir()
    for name in FILES:
        (tmp_path / name).write_text(PAGE if name == "index.html" else name)
    (tmp_path / "assets/index-4xm2BIx.js.gz").write_bytes(b"the same, smaller")
    return tmp_path


@pytest.fixture
def client(built):
    return Client()


@pytest.mark.parametrize(
    "path", ["/", "/today", "/lesson/01a2/groups", "/invitation", "/today/", "/sign-in?next=%2F"]
)
def test_one_page_answers_at_every_address_of_the_client(client, path):
    response = client.get(path)
    assert (response.status_code, response.content.decode()) == (200, PAGE)
    assert response.headers["Content-Type"] == "text/html; charset=utf-8"
    assert response.headers["Cache-Control"] == "no-cache"
    assert not response.cookies
    assert client.get(path, headers={"If-None-Match": response["ETag"]}).status_code == 304


@pytest.mark.parametrize(
    "path",
    [
        *("/api", "/api/", "/api/v1", "/api/v1/nothing", "/api/v2/me", "/_allauth/app/v1/config"),
        *("/assets/index-gone.js", "/assets", "/favicon.ico", "/.git/config", "/../etc/passwd"),
        *("/robots.txt", "/assets/../index.html", "/lesson/a.b"),
    ],
)
def test_what_is_no_page_of_it_is_not_found(client, path):
    response = client.get(path)
    assert (response.status_code, response.json()["code"]) == (404, "unknown")


def test_nothing_is_sent_to_a_page(client):
    assert client.post("/today").status_code == 405
    assert client.head("/today").content == b""


def test_where_it_is_not_built_that_is_said_and_the_api_answers(settings, tmp_path, db):
    settings.WEB_BUILT = tmp_path / "built"
    response = Client().get("/today")
    assert response.status_code == 503
    assert response.headers["Content-Type"] == "text/plain; charset=utf-8"
    assert response.headers["Cache-Control"] == "no-store"
    assert "Run `make web`" in response.content.decode()
    assert Client().get("/api/v1/session").status_code == 200


@pytest.mark.parametrize(("name", "kept"), FILES.items())
def test_how_long_a_browser_keeps_a_file(client, name, kept):
    response = client.get(f"/{name}")
    assert response.status_code == 200
    assert response.headers["Cache-Control"] == kept
    assert "Access-Control-Allow-Origin" not in response.headers
    assert policy(response) == POLICY
    response.close()


def test_a_smaller_form_is_sent_to_whoever_reads_it(client):
    response = client.get("/assets/index-4xm2BIx.js", headers={"Accept-Encoding": "gzip"})
    assert response.headers["Content-Encoding"] == "gzip"
    assert b"".join(response.streaming_content) == b"the same, smaller"


def test_what_kind_of_file_the_manifest_is(client):
    response = client.get("/manifest.webmanifest")
    assert response.headers["Content-Type"] == "application/manifest+json"
    response.close()


@pytest.mark.parametrize(
    "path",
    [
        "/",
        "/livez",
        "/api/v1/me",
        "/api/v1/session",
        "/nothing.txt",
        "/_allauth/browser/v1/auth/login",
    ],
)
def test_what_every_answer_tells_a_browser(client, path):
    response = client.get(path)
    assert policy(response) == POLICY
    said = response.headers
    assert said["X-Content-Type-Options"] == "nosniff"
    assert said["X-Frame-Options"] == "DENY"
    assert said["Referrer-Policy"] == "same-origin"
    assert said["Cross-Origin-Opener-Policy"] == "same-origin"
    assert said["Cross-Origin-Resource-Policy"] == "same-origin"
    features = dict(one.split("=") for one in said["Permissions-Policy"].split(", "))
    assert features.pop("screen-wake-lock") == "(self)"
    assert set(features.values()) == {"()"}
    assert {"camera", "microphone", "geolocation"} <= features.keys()
    assert "Clear-Site-Data" not in said
