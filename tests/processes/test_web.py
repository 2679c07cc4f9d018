"""The web server as phones meet it: what time it is, and who signs in how often."""

import http.client
import json
import time
from email.utils import parsedate_to_datetime

import pytest

from tests.processes.machine import PATIENCE

LOGIN = "/_allauth/browser/v1/auth/login"


@pytest.fixture(scope="module")
def web(machine):
    machine.start_web()
    return machine


def ask(web, method, path, said=None, **headers):
    """Status, headers and body of an answer."""
    connection = http.client.HTTPConnection("127.0.0.1", web.ports["web"], timeout=PATIENCE)
    try:
        body = None if said is None else json.dumps(said)
        connection.request(method, path, body, {"Content-Type": "application/json"} | headers)
        response = connection.getresponse()
        return response.status, response.headers, json.loads(response.read())
    finally:
        connection.close()


@pytest.mark.parametrize(
    ("path", "status"),
    [("/livez", 200), ("/api/v1/session", 200), ("/api/v1/me", 401), ("/api/v1/nothing", 404)],
)
def test_every_answer_tells_the_time_by_which_phones_correct_theirs(web, path, status):
    before = int(time.time())
    found, headers, _ = ask(web, "GET", path)
    assert found == status
    assert before <= parsedate_to_datetime(headers["Date"]).timestamp() <= time.time()


def test_wrong_passwords_are_counted_in_the_database(web):
    _, headers, _ = ask(web, "GET", "/api/v1/session")
    token = headers["Set-Cookie"].partition(";")[0].partition("=")[2]
    said = {"email": "nobody@lantern.example", "password": "five cold lanterns"}
    sent = {"Cookie": f"csrftoken={token}", "X-CSRFToken": token}
    answers = [ask(web, "POST", LOGIN, said, **sent)[0] for _ in range(6)]
    assert answers == [400] * 5 + [429]
    web.kill("web")
    web.start_web()
    status, _, document = ask(web, "POST", LOGIN, said, **sent)
    assert (status, document["code"]) == (429, "too_many")
