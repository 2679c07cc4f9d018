"""What was worked out overnight for a lesson, told to who teaches it."""

from uuid import UUID

import pytest

from accounts.scope import scope_of_school
from planning import preparation
from tests.api.cast import NOW


@pytest.fixture
def prepared(world):
    job = scope_of_school(school_id=UUID(world.own.school))
    preparation.prepare(job, lesson_id=UUID(world.own.lesson), now=NOW)


def url(place):
    return f"/api/v1/lessons/{place.lesson}/preparation"


def test_nothing_was_worked_out_yet(world, as_teacher):
    response = as_teacher.get(url(world.own))
    assert response.status_code == 200
    said = response.json()
    assert said.pop("caution").startswith("Partner work can injure.")
    assert said == {
        "lesson": world.own.lesson,
        "made_at": None,
        "spotters_named": False,
        "together": [],
        "alone": [],
        "first_back": [],
        "old_heights": [],
        "yeses": [],
        "pairs": [],
    }


def test_keys_and_ids_come_with_names(world, prepared, as_teacher):
    said = as_teacher.get(url(world.own)).json()
    assert (said["made_at"], said["spotters_named"]) == ("2026-03-10T17:05:00Z", True)
    names = {one["skill"]: one["name"] for one in (*said["together"], *said["alone"])}
    assert names["tight"] == "Standing tight"
    assert said["old_heights"] == []


def test_it_says_nothing_of_masses_and_nothing_to_an_assistant(
    world, prepared, as_head, as_assistant
):
    response = as_head.get(url(world.own))
    assert not [word for word in ("mass", "41.73", "kg") if word in response.content.decode()]
    assert as_assistant.get(url(world.own)).status_code == 403
