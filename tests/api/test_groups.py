"""Groups over HTTP: what is answered, versions, bad bodies, and what nobody may read out of it."""

import json
from uuid import UUID

import pytest
from django.urls import reverse

from accounts.models import Event
from classes.models import Measurement, PairCheck, Restriction, Wish, Yes
from planning.models import Group, Grouping
from planning.words import CAUTION
from tests.planning.read_aloud import assert_fit_to_read_aloud

ABSENT = "00000000-0000-4000-8000-000000000000"


def send(client, method, name, body=None, version=None, **kwargs):
    headers = {} if version is None else {"If-Match": f'"v{version}"'}
    said = {} if body is None else {"data": json.dumps(body), "content_type": "application/json"}
    return client.generic(method, reverse(f"api:{name}", kwargs=kwargs), headers=headers, **said)


@pytest.fixture
def own(world):
    """The own studio, where nothing rests, nobody is wished apart and no pair is agreed."""
    for facts in (Restriction, Wish, PairCheck):
        facts.objects.all().delete()
    return world.own


def of(place, key="chest_rest"):
    return {"lesson": place.lesson, "skill": key}


def pair(base, flyer, **more):
    return {"seats": {"base": [base], "flyer": [flyer]}, **more}


def seats(group):
    return {one["role"]: [child["name"] for child in one["students"]] for one in group["seats"]}


def sentences(found):
    """Everything in an answer that is said."""
    if isinstance(found, dict):
        for name, value in found.items():
            if isinstance(value, str) and name not in ("id", "code", "skill", "as_of", "reason"):
                yield value
            else:
                yield from sentences(value)
    elif isinstance(found, list):
        for one in found:
            yield from sentences(one)


def test_a_proposal_says_all_that_is_needed_beside_the_mat(own, as_teacher):
    Grouping.objects.all().delete()
    response = send(as_teacher, "POST", "groups", {"skill": "chest_rest"}, lesson=own.lesson)
    assert response.status_code == 200, response.content
    assert response.headers["ETag"] == '"v0"'
    found = response.json()
    assert (found["name"], found["clean_when"]) == ("Chest rest", "3 s, arms long")
    assert (found["proven"], found["stops"], found["changes"]) == (True, [], [])
    assert found["spot"] == "at the shoulders"
    assert found["foot"] == CAUTION
    assert found["as_of"] == "2026-03-10T17:00:00Z"
    assert found["groups"] == []
    assert {one["reason"] for one in found["still_to_place"]} == {"no_fitting_partner", "barred"}
    assert [one["student"]["name"] for one in found["still_to_place"]] == list(own.names[:4])
    assert_fit_to_read_aloud("\n".join(sentences(found)))


def test_groups_are_kept_read_and_changed_by_version(own, as_teacher, as_head):
    [kept] = send(as_teacher, "GET", "groups", lesson=own.lesson).json()["rows"]
    assert (kept["version"], len(kept["groups"])) == (1, 1)
    first = send(as_teacher, "GET", "groups-skill", **of(own))
    assert first.headers["ETag"] == '"v1"'
    assert first.json() == kept
    [group] = kept["groups"]
    assert seats(group) == {"base": ["Amparo"], "flyer": ["Benedikt"]}
    assert (group["turn"], group["spot"], group["locked"]) == (1, "hands_on", False)
    assert group["spotters"] == ["Assistant at Quayside Hall"]
    [ask] = group["asks"]
    assert (ask["code"], ask["students"], ask["role"]) == ("not_ready", [own.student2], "flyer")

    swap = {"a": own.student, "b": own.student3}
    changed = send(as_teacher, "POST", "groups-swap", swap, version=1, **of(own))
    assert (changed.status_code, changed.headers["ETag"]) == (200, '"v2"')
    assert seats(changed.json()["groups"][0]) == {"base": ["Chiamaka"], "flyer": ["Benedikt"]}
    late = send(as_head, "POST", "groups-swap", swap, version=1, **of(own))
    assert (late.status_code, late.json()["code"]) == (412, "stale")
    assert send(as_head, "POST", "groups-swap", swap, **of(own)).status_code == 428
    assert send(as_teacher, "GET", "groups-skill", **of(own)).headers["ETag"] == '"v2"'


def test_groups_that_a_stop_is_in_are_not_kept(own, as_teacher):
    Restriction.objects.create(
        school_id=own.school,
        student_id=own.student,
        blocks="base",
        from_date=own.on,
        until="2026-05-03",
    )
    body = {"groups": [pair(own.student, own.student2)]}
    response = send(as_teacher, "PUT", "groups-skill", body, version=1, **of(own, "seat"))
    assert response.status_code == 412
    Group.objects.all().delete()
    response = send(as_teacher, "PUT", "groups-skill", body, version=1, **of(own))
    assert (response.status_code, response.json()["code"]) == (409, "conflict")
    assert response.json()["detail"] == "Amparo: not as base until 3 May"
    check = {"skill": "chest_rest", **body}
    told = send(as_teacher, "POST", "groups-check", check, lesson=own.lesson).json()
    [group] = told["groups"]
    assert group["stops"] == [
        {
            "code": "restricted",
            "sentence": "Amparo: not as base until 3 May",
            "students": [own.student],
            "role": "base",
        }
    ]
    assert [one["sentence"] for one in told["changes"]] == [
        "group 1: another base, Chiamaka instead of Amparo",
        "still to place: Amparo",
    ]
    assert_fit_to_read_aloud("\n".join(sentences(told)))


def test_an_answered_ask_is_asked_no_more(own, as_teacher):
    body = {
        "skill": "chest_rest",
        "code": "not_ready",
        "students": [own.student2],
        "role": "flyer",
        "reason": "in_parts",
    }
    for _ in range(2):
        response = send(as_teacher, "POST", "lesson-asks", body, lesson=own.lesson)
        assert response.status_code == 201
        assert response.json() == body | {"sentence": "done in parts first"}
    assert Yes.objects.filter(student_id=own.student2, lesson_id=own.lesson).count() == 1
    [kept] = send(as_teacher, "GET", "groups", lesson=own.lesson).json()["rows"]
    assert kept["groups"][0]["asks"] == []


@pytest.mark.parametrize(
    ("body", "pointers"),
    [
        ({}, ["/groups"]),
        ({"groups": []}, ["/groups"]),
        ({"groups": {}}, ["/groups"]),
        ({"groups": [{}]}, ["/groups/0/seats"]),
        ({"groups": [{"seats": []}]}, ["/groups/0/seats"]),
        ({"groups": [{"seats": {"pilot": []}}]}, ["/groups/0/seats/pilot"]),
        ({"groups": [{"seats": {"base": "x"}}]}, ["/groups/0/seats/base"]),
        ({"groups": [{"seats": {"base": ["x"]}}]}, ["/groups/0/seats/base/0"]),
        ({"groups": [{"seats": {}}]}, ["/groups/0/seats"]),
        ({"groups": [pair(ABSENT, ABSENT)]}, ["/groups/0/seats/base/0", "/groups/0/seats/flyer/0"]),
        ({"groups": [{"seats": {"front": []}}, {"seats": {"back": [ABSENT]}}]},
         ["/groups/0/seats", "/groups/0/seats/front", "/groups/1/seats/back",
          "/groups/1/seats/back/0"]),
        ({"groups": [pair(ABSENT, ABSENT, name="x")]}, ["/groups/0/name"]),
    ],
)  # fmt: skip
def test_bad_groups(own, as_teacher, body, pointers):
    response = send(as_teacher, "PUT", "groups-skill", body, version=1, **of(own))
    assert response.status_code == 400, response.content
    assert [one["pointer"] for one in response.json()["errors"]] == pointers
    checked = send(
        as_teacher, "POST", "groups-check", {"skill": "chest_rest"} | body, lesson=own.lesson
    )
    assert [one["pointer"] for one in checked.json()["errors"]] == pointers


def test_absent_and_foreign_children_read_alike(world, own, as_teacher):
    told = []
    for child in (ABSENT, world.sister.student, world.foreign.student):
        bodies = (
            ("groups-check", {"skill": "chest_rest", "groups": [pair(own.student, child)]}, False),
            ("groups-swap", {"a": own.student, "b": child}, True),
            ("groups-move", {"student": child, "group": own.group, "role": "base"}, True),
            ("groups-latecomer", {"student": child}, True),
            (
                "lesson-asks",
                {"skill": "chest_rest", "code": "back", "students": [child], "reason": "seen"},
                False,
            ),
        )
        for name, body, skilled in bodies:
            where = of(own) if skilled else {"lesson": own.lesson}
            response = send(as_teacher, "POST", name, body, version=1, **where)
            assert response.status_code == 400
            told.append((name, response.content.replace(child.encode(), b"-")))
    assert len(set(told)) == 5
    assert b'"unknown"' in told[0][1]


@pytest.mark.parametrize("group", ["sister", "foreign", None])
def test_groups_of_elsewhere_are_unknown(world, own, as_teacher, group):
    id_ = world.places[group].group if group else ABSENT
    for name, body in (
        ("groups-lock", {"group": id_, "locked": True}),
        ("groups-move", {"student": own.student, "group": id_, "role": "base"}),
    ):
        response = send(as_teacher, "POST", name, body, version=1, **of(own))
        [error] = response.json()["errors"]
        assert (error["pointer"], error["detail"]) == ("/group", "unknown")
    if group:
        body = {"groups": [pair(own.student, own.student2, id=id_)]}
        response = send(as_teacher, "PUT", "groups-skill", body, version=1, **of(own))
        [error] = response.json()["errors"]
        assert (error["pointer"], error["detail"]) == ("/groups/0/id", "unknown")


def test_a_mass_cannot_be_read_out_of_a_check(own, as_assistant):
    """No mass, one inside the limit and one above it: the same bytes."""
    body = {"skill": "seat", "groups": [pair(own.student, own.student2)]}
    told = set()
    for mass in (None, 20.0, 41.73, 90.0):
        flyer = Measurement.objects.filter(student_id=own.student2, kind="mass_kg")
        if mass is None:
            kept = list(flyer)
            flyer.delete()
        else:
            if not flyer.exists():
                Measurement.objects.bulk_create(kept)
            flyer.update(value=mass)
        response = send(as_assistant, "POST", "groups-check", body, lesson=own.lesson)
        told.add(response.content)
    assert len(told) == 1
    asked = [ask["code"] for ask in json.loads(told.pop())["groups"][0]["asks"]]
    assert "pair" in asked


def test_a_wish_is_told_to_no_assistant(world, as_assistant):
    Restriction.objects.all().delete()
    body = {"skill": "chest_rest", "groups": [pair(world.own.student, world.own.student3)]}
    found = send(as_assistant, "POST", "groups-check", body, lesson=world.own.lesson)
    assert found.json()["groups"][0]["says"] == []
    assert b"kept" not in found.content
    assert b"wish" not in found.content


def test_groups_made_offline(own, as_teacher):
    row = {
        "id": "00000000-0000-4000-8000-0000000000aa",
        "class": own.klass,
        "on": own.on,
        "skill_id": own.skill_id,
        "groups": [pair(own.student3, own.student2, id="00000000-0000-4000-8000-0000000000cc")],
        "based_on": 1,
    }
    bad = row | {"groups": "x"}
    newer = row | {"groups": [pair(own.student, own.student2)]}
    response = send(as_teacher, "POST", "groups-batch", {"rows": [row, bad, newer, row]})
    assert response.status_code == 200
    assert response.json()["rows"] == [
        {"id": row["id"], "status": "stored", "version": 2},
        {"id": row["id"], "status": "refused", "code": "invalid", "pointer": "/rows/1/groups"},
        {
            "id": row["id"],
            "status": "refused",
            "code": "newer",
            "pointer": "/rows/2/based_on",
            "version": 2,
        },
        {"id": row["id"], "status": "already_stored", "version": 2},
    ]
    assert Group.objects.filter(id=row["groups"][0]["id"]).exists()
    many = {"rows": [row] * 51}
    assert send(as_teacher, "POST", "groups-batch", many).status_code == 413


def test_events_hold_ids_keys_and_numbers(own, as_teacher):
    send(as_teacher, "POST", "groups-regroup", version=1, **of(own))
    body = {"skill": "seat", "code": "pair", "students": [own.student, own.student2]}
    response = send(as_teacher, "POST", "lesson-asks", body | {"reason": "seen"}, lesson=own.lesson)
    assert response.status_code == 201
    assert PairCheck.objects.filter(lesson_id=own.lesson).count() == 1
    for event in Event.objects.filter(what__in=("change_groups", "answer_ask")):
        assert event.about == UUID(own.lesson)
        said = json.dumps(event.details)
        assert not any(name in said for name in own.names)
