"""Rows as released builds of the client have kept them: the service takes each for ever."""

import json
from pathlib import Path

import pytest

from classes.models import PairCheck, Restriction, Wish
from planning.models import Grouping

RELEASED = Path(__file__).parents[2] / "web" / "src" / "store" / "released.json"
VERSIONS = [name for name in json.loads(RELEASED.read_text()) if name.isdigit()]
KINDS = ("students", "attendance", "attempts", "falls", "groups")  # as they are sent


def waiting(world, version):
    """The samples of one version, with ids of our own studio in place of those they were given."""
    text = RELEASED.read_text()
    place, adult = world.own, world.members["assistant"]
    real = {
        "class": place.klass,
        "student": place.student,
        "student2": place.student2,
        "student3": place.student3,
        "skill_id": place.skill_id,
        "lesson": place.lesson,
        "adult": str(adult.id),
    }
    for name, said in json.loads(text)["names"].items():
        text = text.replace(said, real[name])
    return json.loads(text)[version]["waiting"]


@pytest.fixture
def untouched(world):
    """Nothing that would stop the groups of the samples, and none that are newer."""
    for facts in (Restriction, Wish, PairCheck, Grouping):
        facts.objects.all().delete()
    return world


@pytest.mark.parametrize("version", VERSIONS)
def test_every_row_that_a_released_build_has_kept_is_stored(untouched, as_teacher, version):
    rows = waiting(untouched, version)
    for kind in KINDS:
        bodies = [row["body"] for row in rows if row["kind"] == kind]
        answer = as_teacher.post(f"/api/v1/{kind}/batch", {"rows": bodies}, format="json")
        assert answer.status_code == 200, answer.content
        said = [(one["id"], one["status"], one.get("code")) for one in answer.json()["rows"]]
        assert said == [(body["id"], "stored", None) for body in bodies]
    for row in (row for row in rows if row["kind"] == "lesson"):
        url = f"/api/v1/lessons/{row['lesson']}"
        answer = as_teacher.patch(url, row["body"]["said"], format="json")
        assert answer.status_code == 200, answer.content
    assert {row["kind"] for row in rows} == {*KINDS, "lesson"}
