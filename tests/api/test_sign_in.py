"""Signing in and out with a browser: nothing is told of who is known here, and how often."""

import json
from datetime import timedelta

import pytest
import time_machine
from django.contrib.auth.hashers import Argon2PasswordHasher
from django.contrib.sessions.models import Session
from django.db import OperationalError
from rest_framework.test import APIClient

from accounts.models import Account, Cached
from tests.api.cast import NOW

AUTH = "/_allauth/browser/v1"
LOGIN, SIGNED_IN, CHANGE = (
    f"{AUTH}/auth/login",
    f"{AUTH}/auth/session",
    f"{AUTH}/account/password/change",
)
SESSION, ME = "/api/v1/session", "/api/v1/me"
EMAIL, PASSWORD, OTHER = "teacher@lantern.example", "five cold lanterns", "six warm kettles"


@pytest.fixture(autouse=True)
def account(world):
    teacher = world.members["teacher"]
    teacher.account = Account.objects.create_user(EMAIL, PASSWORD)
    teacher.save()
    return teacher.account


def new_browser(network="192.0.2.1"):
    client = APIClient(enforce_csrf_checks=True, REMOTE_ADDR=network)
    client.get(SESSION)
    return client


@pytest.fixture
def browser():
    return new_browser()


def ask(browser, method, url, said=None, **headers):
    body = "" if said is None else json.dumps(said)
    headers = {"X-CSRFToken": browser.cookies["csrftoken"].value} | headers
    kind = "application/json" if body else ""
    return browser.generic(method, url, body, content_type=kind, headers=headers)


def sign_in(browser, email=EMAIL, password=PASSWORD):
    return ask(browser, "POST", LOGIN, {"email": email, "password": password})


def test_she_signs_in_asks_and_signs_out(world, browser):
    answer = sign_in(browser)
    assert (answer.status_code, answer.json()["meta"]) == (200, {"is_authenticated": True})
    assert browser.get(ME).json()["member"] == str(world.members["teacher"].id)
    assert browser.get(SIGNED_IN).status_code == 200
    # The library says so: nobody is signed in any more.
    assert ask(browser, "DELETE", SIGNED_IN).status_code == 401
    assert browser.get(ME).status_code == 401
    assert not Session.objects.exists()


@pytest.mark.parametrize("email", ["TEACHER@lantern.example", " teacher@Lantern.Example "])
def test_an_email_is_the_same_in_capitals(browser, email):
    assert sign_in(browser, email).status_code == 200


def test_cookies_are_new_and_no_script_reads_the_session(browser):
    before = browser.cookies["csrftoken"].value
    cookies = sign_in(browser).cookies
    assert cookies["csrftoken"].value != before
    session = cookies["sessionid"]
    assert (session["httponly"], session["samesite"], session["path"]) == (True, "Lax", "/")
    assert session["domain"] == ""
    first = session.value
    ask(browser, "DELETE", SIGNED_IN)
    assert sign_in(browser).cookies["sessionid"].value != first


def test_a_second_one_has_to_wait_until_the_first_is_signed_out(browser):
    sign_in(browser)
    refused = sign_in(browser)
    assert (refused.status_code, refused.json()["code"]) == (409, "conflict")


class TestWhoIsKnownHere:
    @pytest.fixture
    def hashed(self, monkeypatch):
        """How often a password was hashed: nearly all of the time that an answer takes."""
        calls = []
        hash_ = Argon2PasswordHasher.encode
        verify = Argon2PasswordHasher.verify
        monkeypatch.setattr(
            Argon2PasswordHasher, "encode", lambda *said: calls.append("hash") or hash_(*said)
        )
        monkeypatch.setattr(
            Argon2PasswordHasher, "verify", lambda *said: calls.append("hash") or verify(*said)
        )
        return calls

    def test_is_told_neither_by_words_nor_by_work(self, world, browser, hashed):
        without_a_password = world.members["assistant"]
        without_a_password.account = Account.objects.create_user("tokens@lantern.example")
        without_a_password.save()
        Account.objects.create_user("closed@lantern.example", PASSWORD)
        Account.objects.filter(email="closed@lantern.example").update(is_active=False)
        answers, works = [], []
        for name in ("teacher", "nobody", "tokens", "closed"):
            hashed.clear()
            answers.append(sign_in(browser, f"{name}@lantern.example", OTHER))
            works.append(len(hashed))
        assert {answer.status_code for answer in answers} == {400}
        assert len({answer.content for answer in answers}) == 1
        assert works == [1, 1, 1, 1]
        told = [set(answer.headers) - {"X-Request-Id"} for answer in answers]
        assert told == [told[0]] * 4
        assert answers[0].json()["errors"] == [
            {
                "pointer": "/password",
                "code": "email_password_mismatch",
                "detail": "The email address and/or password you specified are not correct.",
            }
        ]

    def test_nor_by_the_limit(self):
        for name in ("teacher", "nobody"):
            browser = new_browser(f"192.0.2.{len(name)}")
            said = [sign_in(browser, f"{name}@lantern.example", OTHER) for _ in range(6)]
            assert [answer.status_code for answer in said] == [400] * 5 + [429]

    def test_a_closed_account_is_not_signed_in(self, account, browser):
        account.is_active = False
        account.save()
        assert sign_in(browser).status_code == 401
        assert browser.get(ME).status_code == 401


class TestHowOften:
    def test_five_wrong_passwords_for_an_email_from_a_network(self, browser):
        for _ in range(5):
            assert sign_in(browser, password=OTHER).status_code == 400
        refused = sign_in(browser)  # not even the right one
        assert (refused.status_code, refused.json()["code"]) == (429, "too_many")
        assert refused.headers["Retry-After"] == "300"
        assert sign_in(new_browser("192.0.2.2")).status_code == 200  # she is elsewhere
        with time_machine.travel(NOW + timedelta(minutes=5), tick=False):
            assert sign_in(browser).status_code == 200

    def test_ten_wrong_ones_a_minute_from_a_network(self, browser):
        for number in range(10):
            answer = sign_in(browser, f"{number}@lantern.example", OTHER)
            assert answer.status_code == 400
        assert sign_in(browser).status_code == 429
        with time_machine.travel(NOW + timedelta(minutes=1), tick=False):
            assert sign_in(browser).status_code == 200

    def test_the_right_ones_do_not_count(self, browser):
        for _ in range(12):
            assert sign_in(browser).status_code == 200
            ask(browser, "DELETE", SIGNED_IN)

    def test_thirty_requests_a_minute_whatever_they_say(self, browser):
        statuses = [ask(browser, "POST", LOGIN, {"email": "x"}).status_code for _ in range(31)]
        assert statuses == [400] * 30 + [429]
        assert ask(browser, "POST", LOGIN, {}).headers["Retry-After"] == "60"

    def test_what_is_counted_names_nobody(self, browser):
        sign_in(browser, password=OTHER)
        kept = " ".join(map(str, Cached.objects.values_list()))
        assert "lantern" not in kept
        assert "192.0.2.1" in kept


class TestANewPassword:
    def change(self, browser, current=PASSWORD, new=OTHER):
        return ask(browser, "POST", CHANGE, {"current_password": current, "new_password": new})

    def test_ends_the_other_sessions(self, browser):
        other = new_browser()
        for one in (browser, other):
            assert sign_in(one).status_code == 200
        assert self.change(browser).status_code == 200
        assert browser.get(ME).status_code == 200
        assert other.get(ME).status_code == 401
        assert sign_in(other).status_code == 400
        assert sign_in(other, password=OTHER).status_code == 200

    @pytest.mark.parametrize("new", ["short", "password1234", "123456789012", ""])
    def test_is_not_one_of_the_usual(self, browser, new):
        sign_in(browser)
        refused = self.change(browser, new=new)
        assert refused.status_code == 400
        assert {error["pointer"] for error in refused.json()["errors"]} == {"/new_password"}

    def test_needs_the_old_one(self, browser):
        sign_in(browser)
        refused = self.change(browser, current=OTHER)
        assert [error["pointer"] for error in refused.json()["errors"]] == ["/current_password"]

    def test_needs_somebody_who_is_signed_in(self, browser):
        assert self.change(browser).status_code == 401


class TestWhatIsSent:
    @pytest.mark.parametrize(
        ("body", "kind", "status"),
        [
            (b"", "application/json", 400),
            (b"[]", "application/json", 400),
            (b'{"email": ', "application/json", 400),
            (b"[" * 100_000, "application/json", 400),
            (b'{"email": "a@b.example", "email": "c@d.example"}', "application/json", 400),
            (b'{"email": "a@b.example", "password": "\\ud800"}', "application/json", 400),
            (b'{"email": "a@b.example", "password": "a\\u0000b"}', "application/json", 400),
            (b'{"email": {"a": 1}, "password": [1]}', "application/json", 400),
            (b'{"email": "' + b"x" * 300_000 + b'"}', "application/json", 413),
            (b"email=a@b.example&password=x", "application/x-www-form-urlencoded", 415),
            (b"x", "", 415),
        ],
    )
    def test_is_read_as_strictly_as_everywhere(self, browser, body, kind, status):
        token = browser.cookies["csrftoken"].value
        answer = browser.generic(
            "POST", LOGIN, body, content_type=kind, headers={"X-CSRFToken": token}
        )
        assert answer.status_code == status, answer.content
        assert answer.headers["Content-Type"] == "application/problem+json"
        assert answer.json()["status"] == status

    def test_a_page_of_others_signs_nobody_in(self):
        browser = APIClient(enforce_csrf_checks=True)
        answer = browser.post(LOGIN, {"email": EMAIL, "password": PASSWORD}, format="json")
        assert (answer.status_code, answer.json()["code"]) == (403, "csrf_failed")

    @pytest.mark.parametrize("method", ["GET", "PUT", "OPTIONS", "TRACE"])
    def test_no_other_method(self, browser, method):
        answer = ask(browser, method, LOGIN, {"email": EMAIL, "password": PASSWORD})
        assert (answer.status_code, answer.json()["code"]) == (405, "method")
        assert answer.headers["Allow"] == "POST"

    def test_the_database_may_be_away(self, browser, monkeypatch):
        def away(*said, **more):
            raise OperationalError("no route to 10.0.0.7")

        monkeypatch.setattr("accounts.adapter.Adapter.authenticate", away)
        monkeypatch.setattr("api.errors.connection.close", lambda: None)
        answer = sign_in(browser)
        assert (answer.status_code, answer.headers["Retry-After"]) == (503, "5")


@pytest.mark.parametrize(
    "path", ["auth/signup", "auth/password/request", "account/email", "config", "auth/code/confirm"]
)
def test_nothing_else_of_the_library_is_there(browser, path):
    answer = browser.get(f"{AUTH}/{path}")
    assert (answer.status_code, answer.json()["code"]) == (404, "unknown")
