from datetime import timedelta

import pytest
import time_machine
from rest_framework.test import APIClient

from accounts.models import Invitation, Member
from tests.api.cast import NOW
from tests.factories import every_row

ACCEPT = "/api/v1/invitations/accept"
WORDS = "five cold lanterns"


def invite(by, member):
    return by.post(f"/api/v1/staff/{member.id}/invitations")


def accept(client, secret):
    return client.post(ACCEPT, {"secret": secret}, format="json")


@pytest.fixture
def newcomer(world):
    """One of a teacher's own studio who has had no token yet."""
    return Member.objects.get(id=world.own.member)


def rows():
    return {label: rows for label, rows in every_row().items() if label != "accounts.Rate"}


def test_it_gives_a_token_of_whom_it_was_made_for(newcomer, as_teacher, as_nobody):
    answer = invite(as_teacher, newcomer)
    assert answer.status_code == 201
    invited = answer.json()
    assert invited == {"secret": invited["secret"], "expires_at": "2026-03-17T17:05:00Z"}
    accepted = accept(as_nobody, invited["secret"])
    assert (accepted.status_code, accepted.json().keys()) == (201, {"token"})
    client = APIClient()
    client.credentials(HTTP_AUTHORIZATION=f"Token {accepted.json()['token']}")
    assert client.get("/api/v1/me").json()["name"] == newcomer.name


def test_reading_it_changes_nothing(world, as_head, as_nobody):
    secret = invite(as_head, world.members["assistant"]).json()["secret"]
    before = rows()
    for method in ("get", "head", "options"):
        answer = getattr(as_nobody, method)(ACCEPT, {"secret": secret})
        assert answer.status_code in (200, 405), method
    assert as_nobody.get(ACCEPT).status_code == 405
    assert rows() == before
    assert accept(as_nobody, secret).status_code == 201


def test_one_that_was_used_has_run_out_is_void_or_never_was_is_answered_alike(
    world, newcomer, as_head, as_teacher, as_nobody
):
    people = world.members
    used = invite(as_head, people["sister_teacher"]).json()["secret"]
    accept(as_nobody, used)
    void = invite(as_teacher, newcomer).json()["secret"]
    replaced = invite(as_head, people["sister_teacher"]).json()["secret"]
    late = invite(as_head, people["sister_teacher"]).json()["secret"]
    as_head.post(f"/api/v1/staff/{people['teacher'].id}/revoke")
    before = rows()
    answers = [accept(as_nobody, secret) for secret in (used, void, replaced, "of nobody")]
    with time_machine.travel(NOW + timedelta(days=7), tick=False):
        answers.append(accept(as_nobody, late))
    assert {answer.status_code for answer in answers} == {404}
    assert len({answer.content for answer in answers}) == 1
    assert answers[0].json()["code"] == "unknown"
    assert rows() == before


def test_how_often_one_may_guess(world, as_nobody):
    for _ in range(10):
        assert accept(as_nobody, "of nobody").status_code == 404
    answer = accept(as_nobody, "of nobody")
    assert (answer.status_code, answer.json()["code"]) == (429, "too_many")
    assert answer.headers["Retry-After"] == "60"
    other = APIClient(REMOTE_ADDR="192.0.2.7")
    assert accept(other, "of nobody").status_code == 404
    with time_machine.travel(NOW + timedelta(minutes=1), tick=False):
        assert accept(as_nobody, "of nobody").status_code == 404


def with_email(client, secret, email="aroha@lantern.example", password=WORDS):
    said = {"secret": secret, "email": email, "password": password}
    return client.post(ACCEPT, said, format="json")


def test_with_an_email_and_a_password_she_signs_in_from_then_on(newcomer, as_teacher):
    secret = invite(as_teacher, newcomer).json()["secret"]
    browser = APIClient()
    answer = with_email(browser, secret, "Aroha@Lantern.example", " five cold lanterns ")
    assert (answer.status_code, answer.json()) == (201, {"email": "aroha@lantern.example"})
    said = {"email": "aroha@lantern.example", "password": "five cold lanterns"}
    assert browser.post("/_allauth/browser/v1/auth/login", said, format="json").status_code == 200
    assert browser.get("/api/v1/me").json()["name"] == newcomer.name


def test_an_email_that_is_known_is_answered_like_a_secret_that_is_not(world, as_head, as_nobody):
    people = world.members
    with_email(as_nobody, invite(as_head, people["teacher"]).json()["secret"])
    secret = invite(as_head, people["assistant"]).json()["secret"]
    answers = [
        with_email(as_nobody, secret, password="six warm kettles"),
        with_email(as_nobody, "of nobody", password="six warm kettles"),
        with_email(as_nobody, "of nobody", "nobody@lantern.example"),
        accept(as_nobody, "of nobody"),
    ]
    assert {answer.status_code for answer in answers} == {404}
    assert len({answer.content for answer in answers}) == 1
    assert with_email(as_nobody, secret, "mine@lantern.example").status_code == 201


@pytest.mark.parametrize(
    ("said", "pointers"),
    [
        ({"email": "a@b.example"}, ["/password"]),
        ({"password": "five cold lanterns"}, ["/email"]),
        ({"email": "a@b.example", "password": "short"}, ["/password"]),
        ({"email": "a@b.example", "password": "password1234"}, ["/password"]),
        ({"email": "nobody", "password": "five cold lanterns"}, ["/email"]),
        ({"email": 7, "password": 7}, ["/email", "/password"]),
        ({"email": "a" * 250 + "@b.example", "password": "x" * 201}, ["/email", "/password"]),
    ],
)
def test_what_is_wrong_is_told_whether_the_secret_holds_or_not(
    world, as_head, as_nobody, said, pointers
):
    held = invite(as_head, world.members["assistant"]).json()["secret"]
    answers = [
        as_nobody.post(ACCEPT, {"secret": secret, **said}, format="json")
        for secret in (held, "of nobody")
    ]
    assert [answer.status_code for answer in answers] == [400, 400]
    assert answers[0].content == answers[1].content
    assert sorted({error["pointer"] for error in answers[0].json()["errors"]}) == pointers


@pytest.mark.parametrize("said", [{}, {"secret": 7}, {"secret": ""}, {"secret": "x" * 201}])
def test_what_is_no_secret(world, as_nobody, said):
    answer = as_nobody.post(ACCEPT, said, format="json")
    assert answer.status_code == 400
    assert [error["pointer"] for error in answer.json()["errors"]] == ["/secret"]


def test_a_teacher_does_not_come_to_a_colleagues_token(world, as_head, as_teacher):
    colleague = world.members["sister_teacher"]
    both = {"studios": [world.own.studio, world.sister.studio]}
    as_head.patch(f"/api/v1/staff/{colleague.id}", both, format="json")
    before = rows()
    answer = invite(as_teacher, colleague)
    assert (answer.status_code, answer.json()["code"]) == (403, "not_allowed")
    world.client("assistant")  # who asks already
    assert invite(as_teacher, world.members["assistant"]).content == answer.content
    assert Invitation.objects.count() == len(before["accounts.Invitation"]) == 0


def test_before_her_first_day_she_gets_her_token_and_asks_from_then_on(world, as_head, as_nobody):
    member = world.members["assistant"]
    as_head.patch(f"/api/v1/staff/{member.id}", {"from_date": "2026-03-30"}, format="json")
    token = accept(as_nobody, invite(as_head, member).json()["secret"]).json()["token"]
    client = APIClient(headers={"Authorization": f"Token {token}"})
    assert client.get("/api/v1/me").status_code == 401
    with time_machine.travel("2026-03-30T08:00:00Z", tick=False):
        assert client.get("/api/v1/me").json()["role"] == "assistant"


def test_an_assistant_invites_nobody_and_nobody_a_role_above_hers(world, as_teacher, as_assistant):
    assert invite(as_assistant, world.members["assistant"]).status_code == 403
    assert invite(as_teacher, world.members["head"]).status_code == 403
    assert invite(as_teacher, world.members["sister_teacher"]).status_code == 404
    assert not Invitation.objects.exists()
