"""Adoptions over HTTP: a studio takes an edition into use from a local date."""

import pytest

from accounts.models import Event
from curriculum.models import Adoption
from tests.api.test_drafts import send
from tests.factories import every_row

FIRST = {"number": 1, "name": "curriculum, spring 2026", "from_date": "2000-01-01"}
SECOND = {"number": 2, "name": "spring", "from_date": "2026-09-01"}


@pytest.fixture
def published(world, as_head):
    """Edition 2 of the school, which the other school has not."""
    return send(as_head, "POST", f"/{world.own.draft}/publish", version=1).json()


def adopt(client, studio, **said):
    return client.post(f"/api/v1/studios/{studio}/adoptions", said, format="json")


def test_an_edition_is_taken_into_use_from_a_date(world, published, as_head, as_assistant):
    response = adopt(as_head, world.own.studio, number=2, from_date="2026-09-01")
    assert response.status_code == 201
    assert response.json() == {"rows": [FIRST, SECOND]}
    path = "/api/v1/studios/{}/adoptions"
    assert as_assistant.get(path.format(world.own.studio)).json() == {"rows": [FIRST, SECOND]}
    assert as_head.get(path.format(world.sister.studio)).json() == {"rows": [FIRST]}
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
    ]


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
