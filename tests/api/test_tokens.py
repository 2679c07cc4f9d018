from datetime import timedelta

import time_machine
from rest_framework.test import APIClient

from tests.api.cast import NOW

ME = "/api/v1/me"


def client(token):
    found = APIClient()
    found.credentials(HTTP_AUTHORIZATION=f"Token {token}")
    return found


def issue(by, member):
    return by.post(f"/api/v1/staff/{member.id}/tokens")


def test_a_token_asks_as_its_member(world, as_head):
    answer = issue(as_head, world.members["assistant"])
    assert (answer.status_code, answer.json().keys()) == (201, {"token"})
    assert answer.headers["Cache-Control"] == "no-store"
    assert client(answer.json()["token"]).get(ME).json()["role"] == "assistant"


def test_each_makes_and_ends_her_own(world, as_teacher, as_assistant):
    teacher = world.members["teacher"]
    token = issue(as_teacher, teacher).json()["token"]
    other = client(token)
    assert as_assistant.delete(f"/api/v1/staff/{teacher.id}/tokens").status_code == 403
    assert other.get(ME).status_code == 200
    assert other.delete(f"/api/v1/staff/{teacher.id}/tokens").status_code == 204
    assert other.get(ME).status_code == as_teacher.get(ME).status_code == 401
    assert as_assistant.get(ME).status_code == 200


def test_signing_out_ends_this_token_alone(world, as_teacher):
    other = client(issue(as_teacher, world.members["teacher"]).json()["token"])
    assert other.delete("/api/v1/tokens/current").status_code == 204
    assert other.get(ME).status_code == 401
    assert other.delete("/api/v1/tokens/current").status_code == 401
    assert as_teacher.get(ME).status_code == 200


def test_a_token_ends_after_ninety_days(world, as_teacher):
    with time_machine.travel(NOW + timedelta(days=89, hours=23), tick=False):
        assert as_teacher.get(ME).status_code == 200
    with time_machine.travel(NOW + timedelta(days=90, seconds=1), tick=False):
        assert as_teacher.get(ME).status_code == 401


def test_whose_access_was_taken_away_gets_none(world, as_head):
    teacher = world.members["teacher"]
    as_head.post(f"/api/v1/staff/{teacher.id}/revoke")
    answer = issue(as_head, teacher)
    assert (answer.status_code, answer.json()["code"]) == (409, "conflict")
