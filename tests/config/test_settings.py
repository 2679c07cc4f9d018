"""What the environment makes of the settings."""

import json
import os
import subprocess
import sys
from pathlib import Path
from runpy import run_path

import pytest

ROOT = Path(__file__).parents[2]
HOSTS = "ALLOWED_HOSTS"
OURS = ("DEBUG", "SECRET_KEY", "HTTPS", HOSTS, "BEHIND_PROXY")
# The web server's own door over https, with a fault behind one route of it.
ASK = """
import json
from wsgiref.util import setup_testing_defaults
from config.wsgi import application
from api import health

def broken():
    name = "Quillonaria"
    raise RuntimeError(name)

health._why_not = broken
answers = []
for path in ("/api/v1/session", "/api/v1/no-such-route", "/no.such.file", "/readyz"):
    environ = {"PATH_INFO": path, "HTTP_HOST": "localhost", "wsgi.url_scheme": "https"}
    setup_testing_defaults(environ)
    head = []
    body = b"".join(application(environ, lambda *said: head.extend(said))).decode()
    answers.append([head[0][:3], head[1], body])
print(json.dumps(answers))
"""


@pytest.fixture
def told(monkeypatch):
    """What the settings are where nothing but this is told to them."""

    def told(**environ):
        for name in OURS:
            monkeypatch.delenv(name, raising=False)
        for name, value in environ.items():
            monkeypatch.setenv(name, value)
        return run_path(str(ROOT / "config" / "settings.py"))

    return told


@pytest.mark.parametrize(
    ("environ", "https"),
    [
        ({}, False),
        ({"DEBUG": "1"}, False),
        ({HOSTS: "localhost,[::1]"}, False),
        ({HOSTS: "127.0.0.1,dance.example"}, True),
        ({HOSTS: "*"}, True),
        ({HOSTS: "dance.example", "HTTPS": "0"}, False),
        ({"HTTPS": "1"}, True),
    ],
)
def test_https_is_off_by_itself_on_this_machine_alone(told, environ, https):
    found = told(**environ)
    assert found["DEBUG"] is False
    assert found["SECURE_SSL_REDIRECT"] is found["SESSION_COOKIE_SECURE"] is https
    assert (found["SECURE_HSTS_SECONDS"] > 0) is https


@pytest.mark.parametrize(("environ", "believed"), [({}, False), ({"BEHIND_PROXY": "1"}, True)])
def test_only_a_proxy_of_ours_is_believed_from_where_somebody_asks(told, environ, believed):
    assert ("config.proxy.ClientAddress" in told(**environ)["MIDDLEWARE"]) == believed


def test_a_key_is_kept_where_none_is_set(told):
    keys = [told(**environ)["SECRET_KEY"] for environ in ({}, {}, {"SECRET_KEY": "of ours"})]
    assert keys[0] == keys[1] == (ROOT / "var" / "secret_key").read_text()
    assert keys[2] == "of ours"


def test_over_https_alone_a_cookie_is_for_this_host_alone(told):
    for environ, prefix in (({"HTTPS": "1"}, "__Host-"), ({}, "")):
        found = told(**environ)
        assert found["SESSION_COOKIE_NAME"] == f"{prefix}sessionid"
        assert found["CSRF_COOKIE_NAME"] == f"{prefix}csrftoken"


@pytest.fixture(scope="module")
def answers():
    """What a web server of its own process answers over https, asked for its worst."""
    inherited = {name: value for name, value in os.environ.items() if name not in OURS}
    done = subprocess.run(
        [sys.executable, "-c", ASK],
        cwd=ROOT,
        env=inherited | {"HTTPS": "1", "DEBUG": "1"},
        capture_output=True,
        text=True,
        check=True,
    )
    return json.loads(done.stdout.splitlines()[-1])


def test_over_https_no_other_host_can_set_a_cookie_of_ours(answers):
    [token] = [value for name, value in answers[0][1] if name == "Set-Cookie"]
    name, *attributes = token.strip().split("; ")
    assert name.startswith("__Host-csrftoken=")
    assert {"Path=/", "SameSite=Lax", "Secure"} <= set(attributes)
    assert not [one for one in attributes if one.startswith("Domain")]


def test_no_page_tells_of_routes_or_of_what_went_wrong(answers):
    for status, head, body in answers[1:]:
        assert ["Content-Type", "application/problem+json"] in head
        document = json.loads(body)
        assert document.keys() == {"type", "title", "status", "code", "detail"}
        assert document["status"] == int(status)
        assert "Quillonaria" not in body
    assert [status for status, _, _ in answers[1:]] == ["404", "404", "500"]
