import json

import pytest

from accounts.models import Event, School
from api.policy import PolicyChange
from classes import timetable

POLICY = "/api/v1/policy"


def change(client, **said):
    return client.patch(POLICY, said, format="json")


def test_what_is_sent_changes_and_the_rest_stays(world, as_head):
    before = as_head.get(POLICY).json()
    answer = change(as_head, bar=0.9, adults_in_room=3, agreements_kept_elsewhere=True)
    assert answer.status_code == 200
    said = {"bar": 0.9, "adults_in_room": 3, "agreements_kept_elsewhere": True}
    assert answer.json() == as_head.get(POLICY).json() == before | said
    events = Event.objects.filter(what="change_policy", member=world.members["head"])
    assert {event.details["column"] for event in events} == set(said)


def test_masses_ask_for_a_page_to_be_read(world, as_head):
    School.objects.filter(id=world.own.school).update(uses_mass=False)
    for said in ({}, {"confirmed": False}):
        answer = change(as_head, uses_mass=True, **said)
        assert answer.status_code == 409
        assert answer.json()["code"] == "conflict"
        assert answer.json()["detail"].startswith("Nobody needs to be weighed to learn")
    assert as_head.get(POLICY).json()["uses_mass"] is False
    assert change(as_head, uses_mass=True, confirmed=True).json()["uses_mass"] is True
    assert change(as_head, uses_mass=False).json()["uses_mass"] is False


@pytest.mark.parametrize(
    ("said", "pointers"),
    [
        (
            {"bar": 1, "adults_in_room": 0, "mass_from_age": 10},
            ["/adults_in_room", "/bar", "/mass_from_age"],
        ),
        (
            {"bar": "0.9", "adults_in_room": 2.5, "uses_mass": 1},
            ["/adults_in_room", "/bar", "/uses_mass"],
        ),
        ({"adults_in_room": True, "uses_mass": None}, ["/adults_in_room", "/uses_mass"]),
        ({"weigh": True, "school": "other"}, ["/school", "/weigh"]),
    ],
)
def test_what_is_refused_with_a_pointer_to_each(as_head, said, pointers):
    before = as_head.get(POLICY).json()
    answer = change(as_head, **said)
    assert answer.status_code == 400
    assert sorted(error["pointer"] for error in answer.json()["errors"]) == pointers
    assert as_head.get(POLICY).json() == before


def test_the_bounds_are_those_of_the_file():
    schema = json.loads(timetable.SCHEMA.read_text())["$defs"]["policy"]["properties"]
    fields = PolicyChange().fields
    assert fields.keys() - {"confirmed"} == schema.keys()
    for name, said in schema.items():
        bounds = (said.get("minimum"), said.get("maximum"))
        field = fields[name]
        assert (getattr(field, "min_value", None), getattr(field, "max_value", None)) == bounds
