"""What the environment makes of the settings, in a process of its own."""

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
HOSTS = "ALLOWED_HOSTS"
TELL = """
from config import settings as s
told = [s.DEBUG, s.SECURE_SSL_REDIRECT, s.SESSION_COOKIE_SECURE, s.SECURE_HSTS_SECONDS > 0]
print(json.dumps([told, s.SECRET_KEY]))
"""
# A browser's first answer over https, and over http.
COOKIES = """
from wsgiref.util import setup_testing_defaults
from config.wsgi import application

environ = {"PATH_INFO": "/api/v1/session", "HTTP_HOST": "localhost"}
environ["wsgi.url_scheme"] = SCHEME
setup_testing_defaults(environ)
head = []
application(environ, lambda *said: head.extend(said))
print(json.dumps([said for name, said in head[1] if name == "Set-Cookie"]))
"""
# The web server's own door, with a fault behind one route of it.
ASK = """
from wsgiref.util import setup_testing_defaults
from config.wsgi import application
from api import health

def broken():
    name = "Quillonaria"
    raise RuntimeError(name)

health._why_not = broken
answers = []
for path in ("/api/v1/no-such-route", "/no.such.file", "/readyz"):
    environ = {"PATH_INFO": path}
    setup_testing_defaults(environ)
    environ["HTTP_HOST"] = "localhost"
    head = []
    body = b"".join(application(environ, lambda *said: head.extend(said))).decode()
    answers.append([head[0][:3], dict(head[1])["Content-Type"], body])
print(json.dumps(answers))
"""


def said(code, **environ):
    """What such a process prints, beside what is not told to it."""
    ours = ("DEBUG", "SECRET_KEY", "HTTPS", HOSTS, "BEHIND_PROXY")
    inherited = {name: value for name, value in os.environ.items() if name not in ours}
    done = subprocess.run(
        [sys.executable, "-c", f"import json\n{code}"],
        cwd=ROOT,
        env=inherited | environ,
        capture_output=True,
        text=True,
        check=True,
    )
    return json.loads(done.stdout.splitlines()[-1])


@pytest.mark.parametrize(
    ("environ", "https"),
    [
        ({}, False),
        ({HOSTS: "localhost,[::1]"}, False),
        ({HOSTS: "127.0.0.1,dance.example"}, True),
        ({HOSTS: "*"}, True),
        ({HOSTS: "dance.example", "HTTPS": "0"}, False),
        ({"HTTPS": "1"}, True),
    ],
)
def test_https_is_off_by_itself_on_this_machine_alone(environ, https):
    told, _ = said(TELL, **environ)
    assert told == [False, https, https, https]


@pytest.mark.parametrize(("environ", "believed"), [({}, False), ({"BEHIND_PROXY": "1"}, True)])
def test_only_a_proxy_of_ours_is_believed_from_where_somebody_asks(environ, believed):
    told = "from config import settings as s\nprint(json.dumps(s.MIDDLEWARE))"
    assert ("config.proxy.ClientAddress" in said(told, **environ)) == believed


def test_over_https_no_other_host_can_set_a_cookie_of_ours():
    [token] = said(f'SCHEME = "https"\n{COOKIES}', HTTPS="1")
    name, *attributes = token.strip().split("; ")
    assert name.startswith("__Host-csrftoken=")
    assert {"Path=/", "SameSite=Lax", "Secure"} <= set(attributes)
    assert not [one for one in attributes if one.startswith("Domain")]
    [token] = said(f'SCHEME = "http"\n{COOKIES}')
    assert token.strip().startswith("csrftoken=")
    told = "from config import settings as s\nprint(json.dumps(s.SESSION_COOKIE_NAME))"
    assert said(told, HTTPS="1") == "__Host-sessionid"
    assert said(told) == "sessionid"


def test_a_key_is_kept_where_none_is_set():
    keys = [said(TELL, **environ)[1] for environ in ({}, {}, {"SECRET_KEY": "of ours"})]
    assert keys[0] == keys[1] == (ROOT / "var" / "secret_key").read_text()
    assert keys[2] == "of ours"


@pytest.mark.parametrize("environ", [{}, {"DEBUG": "1"}])
def test_no_page_tells_of_routes_or_of_what_went_wrong(environ):
    for status, kind, body in (answers := said(ASK, **environ)):
        assert kind == "application/problem+json"
        document = json.loads(body)
        assert document.keys() == {"type", "title", "status", "code", "detail"}
        assert document["status"] == int(status)
        assert "Quillonaria" not in body
    assert [status for status, _, _ in answers] == ["404", "404", "500"]
