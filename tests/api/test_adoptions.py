"""Adoptions over HTTP: a studio takes an edition into use from a local date."""

from datetime import date

import pytest

from accounts.models import Event
from classes.models import Attempt
from curriculum.models import Adoption, Edition
from tests.api.test_drafts import send
from tests.factories import every_row

FIRST = {"number": 1, "name": "curriculum, spring 2026", "from_date": "2000-01-01"}
SECOND = {"number": 2, "name": "spring", "from_date": "2026-09-01"}
TO_COME = FIRST | {"from_date": "2027-01-04"}


@pytest.fixture
def published(world, as_head):
    """Edition 2 of the school, which the other school has not."""
    return send(as_head, "POST", f"/{world.own.draft}/publish", version=1).json()


def adopt(client, studio, **said):
    return client.post(f"/api/v1/studios/{studio}/adoptions", said, format="json")


def take_back(client, studio, from_date):
    return client.delete(f"/api/v1/studios/{studio}/adoptions/{from_date}")


def test_an_edition_is_taken_into_use_from_a_date(world, published, as_head, as_assistant):
    response = adopt(as_head, world.own.studio, number=2, from_date="2026-09-01")
    assert response.status_code == 201
    assert response.json() == {"rows": [FIRST, SECOND, TO_COME], "held_back": []}
    path = "/api/v1/studios/{}/adoptions"
    assert as_assistant.get(path.format(world.own.studio)).json() == response.json()
    assert as_head.get(path.format(world.sister.studio)).json()["rows"] == [FIRST, TO_COME]
    event = Event.objects.filter(what="adopt_edition").latest("id")
    assert (str(event.about), event.details) == (world.own.studio, {"number": 2})


def test_the_same_again_changes_nothing_and_another_takes_its_place(world, published, as_head):
    asked = {"number": 2, "from_date": "2026-09-01"}
    first = adopt(as_head, world.own.studio, **asked)
    before = Adoption.objects.count(), Event.objects.count()
    again = adopt(as_head, world.own.studio, **asked)
    assert (again.status_code, again.json()) == (201, first.json())
    assert (Adoption.objects.count(), Event.objects.count()) == before
    back = adopt(as_head, world.own.studio, number=1, from_date="2026-09-01").json()["rows"]
    assert [(row["number"], row["from_date"]) for row in back] == [
        (1, "2000-01-01"),
        (1, "2026-09-01"),
        (1, "2027-01-04"),
    ]


def test_a_wrong_one_is_taken_back_before_its_day(world, published, as_head, as_teacher):
    studio = world.own.studio
    adopt(as_head, studio, number=2, from_date="2026-03-11")
    assert take_back(as_teacher, studio, "2026-03-11").status_code == 403
    response = take_back(as_head, studio, "2026-03-11")
    assert (response.status_code, response.content) == (204, b"")
    path = f"/api/v1/studios/{studio}/adoptions"
    assert as_head.get(path).json()["rows"] == [FIRST, TO_COME]
    event = Event.objects.filter(what="take_back_edition").get()
    assert (str(event.about), event.details) == (studio, {"number": 2})
    assert take_back(as_head, studio, "2026-03-11").status_code == 404


def test_at_once_and_back_until_a_try_names_it(world, published, as_head):
    studio = world.own.studio
    path = f"/api/v1/studios/{studio}/adoptions"
    rows = adopt(as_head, studio, number=2).json()["rows"]
    assert rows == [FIRST, SECOND | {"from_date": "2026-03-10"}, TO_COME]
    assert take_back(as_head, studio, "2026-03-10").status_code == 204
    assert as_head.get(path).json()["rows"] == [FIRST, TO_COME]
    adopt(as_head, studio, number=2)
    second = Edition.objects.get(school_id=world.own.school, number=2)
    Attempt.objects.filter(lesson_id=world.own.met).update(
        edition=second, local_date=date(2026, 3, 10)
    )
    before = every_row()["curriculum.Adoption"]
    response = take_back(as_head, studio, "2026-03-10")
    assert (response.status_code, response.json()["code"]) == (409, "conflict")
    assert response.json()["detail"] == (
        "tries since 2026-03-10 name it: take on edition 1 instead, from today or a day to come"
    )
    assert take_back(as_head, studio, "2000-01-01").status_code == 409
    assert every_row()["curriculum.Adoption"] == before


def test_an_edition_is_held_back_with_a_reason(world, published, as_head, as_assistant):
    path = f"/api/v1/studios/{world.own.studio}"
    said = {"number": 2, "reason": "no mats before June"}
    held = {"reason": said["reason"], "from_date": "2026-03-10", "by": "Head Ours"}
    response = as_head.post(f"{path}/held-back", said, format="json")
    assert response.status_code == 201
    assert response.json() == {
        "rows": [FIRST, TO_COME],
        "held_back": [{"number": 2, "name": "spring"} | held],
    }
    rows = as_assistant.get("/api/v1/editions").json()["rows"]
    assert [row["held_back"] for row in rows] == [[{"studio": world.own.studio} | held], []]
    assert as_head.delete(f"{path}/held-back/2").status_code == 204
    assert as_head.delete(f"{path}/held-back/2").status_code == 404
    assert as_head.get(f"{path}/adoptions").json()["held_back"] == []


def test_an_edition_is_withdrawn_with_a_reason(world, published, as_head, as_assistant):
    path = "/api/v1/editions"
    assert as_head.post(f"{path}/2/withdraw", {"reason": ""}, format="json").status_code == 400
    said = {"reason": "a slip in a spot"}
    assert as_head.post(f"{path}/2/withdraw", said, format="json").status_code == 204
    rows = as_assistant.get(path).json()["rows"]
    assert [row["withdrawn"] for row in rows] == [said | {"at": "2026-03-10T17:05:00Z"}, None]
    refused = adopt(as_head, world.own.studio, number=2).json()["errors"]
    assert [fault["detail"] for fault in refused] == ["it was withdrawn"]
    begun = as_head.post(f"{path}/2/draft")
    assert (begun.status_code, begun["ETag"]) == (201, '"v1"')


def test_a_day_too_far_off_is_a_slip(world, published, as_head):
    path = f"/api/v1/studios/{world.own.studio}/adoptions"
    said = {"number": 2, "from_date": "2099-01-01"}
    answer = as_head.post(path, said, format="json")
    (fault,) = answer.json()["errors"]
    assert (answer.status_code, fault["pointer"]) == (400, "/from_date")
    assert fault["detail"] == "2099-01-01 is more than 20 years from now"


@pytest.mark.parametrize("from_date", ["2026-12-01", "2026-02-30", "0000-00-00", "soon"])
def test_a_day_from_which_nothing_is_taken_on(world, as_head, from_date):
    response = take_back(as_head, world.own.studio, from_date)
    assert (response.status_code, response.json()["code"]) == (404, "unknown")


@pytest.mark.parametrize("number", [2, 99, 2**31 - 1])
def test_only_what_is_published(world, as_head, number):
    response = adopt(as_head, world.own.studio, number=number, from_date="2026-09-01")
    assert response.status_code == 400
    assert response.json()["errors"] == [
        {"pointer": "/number", "code": "invalid", "detail": "unknown"}
    ]


def test_another_school_s_edition_is_like_none(world, published, as_stranger):
    response = adopt(as_stranger, world.foreign.studio, number=2, from_date="2026-09-01")
    assert response.json()["errors"] == [
        {"pointer": "/number", "code": "invalid", "detail": "unknown"}
    ]


def test_all_that_is_wrong_at_once(world, as_head):
    before = every_row()["curriculum.Adoption"]
    response = adopt(as_head, world.own.studio, number="1", from_date="soon", member="x")
    assert response.status_code == 400
    assert {error["pointer"] for error in response.json()["errors"]} >= {"/member"}
    response = adopt(as_head, world.own.studio, number="1", from_date="soon")
    assert [error["pointer"] for error in response.json()["errors"]] == ["/number", "/from_date"]
    assert every_row()["curriculum.Adoption"] == before
