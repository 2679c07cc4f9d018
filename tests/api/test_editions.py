"""Editions over HTTP: whole documents that a phone may keep for good."""

from datetime import timedelta

import pytest
import time_machine

from tests.api.cast import NOW
from tests.api.test_drafts import send
from tests.factories import AT
from tests.planning.school import DOCUMENTS, FAMILIES

ALWAYS = "private, max-age=31536000, immutable"


def test_the_published_editions_the_newest_first(world, as_head, as_assistant):
    send(as_head, "POST", f"/{world.own.draft}/publish", version=1)
    said = {"number": 2, "from_date": "2026-03-10"}
    as_head.post(f"/api/v1/studios/{world.sister.studio}/adoptions", said, format="json")
    rows = as_head.get("/api/v1/editions").json()["rows"]
    assert [(row["number"], row["name"], row["in_use"]) for row in rows] == [
        (2, "spring", [{"studio": world.sister.studio, "from_date": "2026-03-10"}]),
        (
            1,
            "curriculum, spring 2026",
            [{"studio": world.own.studio, "from_date": "2000-01-01"}],
        ),
    ]
    assert rows[0]["published_at"] == "2026-03-10T17:05:00Z"
    # Of studios that she cannot see nothing is told.
    rows = as_assistant.get("/api/v1/editions").json()["rows"]
    assert [[used["studio"] for used in row["in_use"]] for row in rows] == [
        [],
        [world.own.studio],
    ]


def test_a_whole_edition(world, as_assistant):
    response = as_assistant.get("/api/v1/editions/1")
    assert response.status_code == 200
    said = response.json()
    assert {family["key"]: family["name"] for family in said["families"]} == FAMILIES
    assert [card["skill"] for card in said["cards"]] == list(DOCUMENTS)
    assert {card["skill"]: card["document"] for card in said["cards"]} == DOCUMENTS
    assert {card["skill_id"] for card in said["cards"] if card["skill"] == world.own.skill} == {
        world.own.skill_id
    }
    assert (said["number"], said["note"], said["successions"]) == (1, "", [])
    assert said["published_at"] == f"{AT:%Y-%m-%dT%H:%M:%SZ}"


@pytest.mark.parametrize("path", ["", "/cards/chest_rest"])
def test_it_never_changes(as_teacher, path):
    response = as_teacher.get(f"/api/v1/editions/1{path}")
    assert response["Cache-Control"] == ALWAYS
    again = as_teacher.get(f"/api/v1/editions/1{path}", headers={"If-None-Match": response["ETag"]})
    assert (again.status_code, again.content) == (304, b"")
    assert (again["ETag"], again["Cache-Control"]) == (response["ETag"], ALWAYS)


@pytest.mark.parametrize("path", ["", "/cards/chest_rest"])
def test_what_one_member_keeps_is_not_shown_to_another(as_teacher, path):
    """Two schools may be read from one phone, and both have an edition 1."""
    response = as_teacher.get(f"/api/v1/editions/1{path}")
    assert "Authorization" in response["Vary"]


def test_one_card(world, as_assistant):
    assert as_assistant.get("/api/v1/editions/1/cards/chest_rest").json() == {
        "skill": "chest_rest",
        "skill_id": world.own.skill_id,
        "document": DOCUMENTS["chest_rest"],
    }


@pytest.mark.parametrize(
    "path", ["2", "0", "9" * 30, "1/cards/tower", "2/cards/chest_rest", "1/cards/" + "x" * 500]
)
def test_what_is_not_published(as_head, path):
    response = as_head.get(f"/api/v1/editions/{path}")
    assert (response.status_code, response.json()["code"]) == (404, "unknown")


def test_the_edition_of_a_studio_on_a_day(world, as_head, as_teacher):
    send(as_head, "POST", f"/{world.own.draft}/publish", version=1)
    path = f"/api/v1/studios/{world.own.studio}"
    said = {"number": 2, "from_date": "2026-03-11"}
    assert as_head.post(f"{path}/adoptions", said, format="json").status_code == 201

    def number(**query):
        return as_teacher.get(f"{path}/edition", query).json()["number"]

    assert as_teacher.get(f"{path}/edition").json() == {
        "number": 1,
        "name": "curriculum, spring 2026",
        "from_date": "2000-01-01",
    }
    assert [number(on="2026-03-10"), number(on="2026-03-11")] == [1, 2]
    with time_machine.travel(NOW + timedelta(hours=7), tick=False):  # past midnight in Lisbon
        assert number() == 2


@pytest.mark.parametrize("query", [{"on": "2026-02-30"}, {"on": "today"}, {"at": "2026-03-10"}])
def test_a_day_that_is_none(world, as_teacher, query):
    response = as_teacher.get(f"/api/v1/studios/{world.own.studio}/edition", query)
    assert response.status_code == 400
    assert [error["parameter"] for error in response.json()["errors"]] == list(query)


def test_before_anything_was_in_use(world, as_teacher):
    response = as_teacher.get(f"/api/v1/studios/{world.own.studio}/edition", {"on": "1999-12-31"})
    assert response.status_code == 404
    assert response.json()["detail"] == "no curriculum was in use on 1999-12-31"
