"""Falls and near misses, as phones hand them in and as teachers look at them."""

from datetime import date
from uuid import UUID, uuid4, uuid5

import pytest

from accounts.models import Event
from classes import falls
from classes.models import Erased, Fall, Student
from tests.api.cast import NOW, ON, SKILL, unknown_id


def row(place, **different):
    return {
        "id": str(uuid4()),
        "student": place.student,
        "skill_id": place.skill_id,
        "role": "flyer",
        "kind": "near_miss",
        "phase": "way_out",
        "class": place.klass,
        "on": place.on,
        **different,
    }


def hand_in(client, *rows):
    answer = client.post("/api/v1/falls/batch", {"rows": rows}, format="json")
    assert answer.status_code == 200, answer.content
    return answer.json()["rows"]


def stored(row):
    return {"id": row["id"], "status": "stored"}


def already(row):
    return {"id": row["id"], "status": "already_stored"}


def refused(row, code, pointer):
    return {"id": row["id"], "status": "refused", "code": code, "pointer": pointer}


def listed(client, **query):
    return client.get("/api/v1/falls", query).json()["rows"]


def test_an_assistant_says_that_somebody_fell(world, as_assistant):
    said = row(world.own, try_id=str(uuid4()), group=world.own.group, done="sat out, then went on")
    assert hand_in(as_assistant, said) == [stored(said)]
    before, after = listed(as_assistant)
    assert (before["id"], before["on"]) == (world.own.fall, "2026-03-03")
    assert after == {
        **{name: value for name, value in said.items() if name != "class"},
        "name": "Amparo",
        "skill": SKILL,
        "number": 1,
        "looked_at_on": None,
        "looked_at_by": None,
    }
    told = Event.objects.get(what="enter_fall")
    assert (str(told.about), told.details) == (world.own.student, {"fall": said["id"]})


def test_it_closes_the_skill_until_a_teacher_has_looked(world, as_assistant, as_teacher):
    said = row(world.own)
    hand_in(as_assistant, said)

    def closed():
        asked = {"student_ids": {Student.objects.get(id=world.own.student).id}, "on": ON}
        return {key for _, key, _ in falls.open_falls(world.scope("teacher"), **asked)}

    assert closed() == {SKILL}
    answer = as_teacher.post(f"/api/v1/falls/{said['id']}/look")
    assert answer.status_code == 200
    looked = answer.json()
    assert (looked["looked_at_on"], looked["looked_at_by"]) == (
        "2026-03-10",
        str(world.members["teacher"].id),
    )
    assert closed() == set()
    assert said["id"] not in [fall["id"] for fall in listed(as_teacher, open="true")]
    assert said["id"] in [fall["id"] for fall in listed(as_teacher)]


def test_who_looked_first_stays(world, as_head, as_teacher):
    url = f"/api/v1/falls/{world.own.fall}/look"
    first = as_teacher.post(url).json()
    assert as_head.post(url).json() == first
    assert Event.objects.filter(what="look_at_fall").count() == 1


def test_she_may_fall_twice_on_one_day(world, as_assistant):
    first, second = sorted((row(world.own), row(world.own)), key=lambda one: one["id"])
    other = row(world.own, role="base")
    assert hand_in(as_assistant, second, first, other) == [
        stored(second),
        stored(first),
        stored(other),
    ]
    third = row(world.own, phase="hold")
    hand_in(as_assistant, third)
    numbers = {str(fall.id): fall.number for fall in Fall.objects.all()}
    assert [numbers[one["id"]] for one in (first, second, other, third)] == [1, 2, 1, 3]


def test_the_same_row_again_and_another_with_its_id(world, as_assistant, as_teacher):
    one = row(world.own)
    assert hand_in(as_assistant, one, one) == [stored(one), already(one)]
    as_teacher.post(f"/api/v1/falls/{one['id']}/look")
    assert hand_in(as_assistant, one) == [already(one)]
    for name, value in (("phase", "hold"), ("student", world.own.student2), ("done", "rested")):
        assert hand_in(as_assistant, one | {name: value}) == [
            refused(one, "id_reused", "/rows/0/id")
        ]
    assert Fall.objects.get(id=one["id"]).phase == "way_out"


def test_what_a_file_has_corrected_since_was_taken(world, as_assistant):
    one = row(world.own)
    hand_in(as_assistant, one)
    lines = f"date,student,skill,role,kind,phase\n2026-03-10,Amparo,{SKILL},flyer,fall,hold\n"
    falls.load(world.scope("teacher"), content=lines.encode(), at=NOW)
    assert Fall.objects.get(id=one["id"]).phase == "hold"
    assert hand_in(as_assistant, one) == [already(one)]
    assert Fall.objects.get(id=one["id"]).phase == "hold"


def test_one_bad_row_never_sinks_the_others(world, as_assistant):
    good = row(world.own)
    bad = {
        "role": row(world.own, role="catcher"),
        "kind": row(world.own, kind="bump"),
        "phase": row(world.own, phase="after"),
        "done": row(world.own, done="x" * 81),
        "on": row(world.own, on="2026-03-12"),
        "try_id": row(world.own, try_id="one"),
        "number": row(world.own, number=1),
    }
    assert hand_in(as_assistant, *bad.values(), good) == [
        refused(one, "invalid", f"/rows/{place}/{name}")
        for place, (name, one) in enumerate(bad.items())
    ] + [stored(good)]


def test_yesterday_in_the_east_is_today(world, as_assistant):
    said = row(world.own, on="2026-03-11")
    assert hand_in(as_assistant, said) == [stored(said)]
    ancient = row(world.own, on="2005-12-31")
    assert hand_in(as_assistant, ancient) == [refused(ancient, "invalid", "/rows/0/on")]


@pytest.mark.parametrize("where", ["sister", "foreign"])
def test_what_cannot_be_seen_is_unknown_like_what_is_not_there(world, as_assistant, where):
    place = world.places[where]
    rows = {
        "student": [place.student, str(unknown_id())],
        "class": [place.klass, str(unknown_id())],
        "skill_id": [world.foreign.skill_id, str(unknown_id())],
    }
    for name, ids in rows.items():
        for id_ in ids:
            one = row(world.own, **{name: id_})
            assert hand_in(as_assistant, one) == [refused(one, "unknown", f"/rows/0/{name}")]
    assert Fall.objects.count() == 3


def test_an_erased_child_is_not_brought_back(world, as_assistant):
    Student.objects.filter(id=world.own.student).delete()
    Erased.objects.create(school_id=world.own.school, student_id=world.own.student, erased_at=NOW)
    one = row(world.own)
    assert hand_in(as_assistant, one) == [refused(one, "erased", "/rows/0/student")]


def test_an_id_that_another_school_has_is_free(world, as_assistant, as_teacher, as_head):
    """The phone is told nothing of it, and goes on with the id that it made up."""
    one = row(world.own, id=world.foreign.fall)
    good = row(world.own)
    assert hand_in(as_assistant, one, good, one) == [stored(one), stored(good), already(one)]
    assert hand_in(as_assistant, one) == [already(one)]
    other = one | {"phase": "hold"}
    assert hand_in(as_assistant, other) == [refused(one, "id_reused", "/rows/0/id")]
    assert str(Fall.objects.get(id=world.foreign.fall).school_id) == world.foreign.school
    kept = Fall.objects.get(id=uuid5(UUID(world.own.school), one["id"]))
    assert (str(kept.school_id), kept.phase) == (world.own.school, "way_out")
    told = Event.objects.filter(what="enter_fall").values_list("details__fall", flat=True)
    assert set(told) == {str(kept.id), good["id"]}
    assert as_teacher.post(f"/api/v1/falls/{kept.id}/look").status_code == 200
    assert hand_in(as_assistant, one) == [already(one)]


def test_the_falls_of_one_child(world, as_teacher, as_head):
    child = Fall.objects.get(id=world.own.fall).student_id
    found = as_teacher.get(f"/api/v1/students/{child}/falls").json()
    assert ([fall["id"] for fall in found["rows"]], found["next"]) == ([world.own.fall], None)
    assert as_teacher.get(f"/api/v1/students/{world.own.student}/falls").json()["rows"] == []
    for foreign in (world.foreign.student, unknown_id()):
        answer = as_head.get(f"/api/v1/students/{foreign}/falls")
        assert (answer.status_code, answer.json()["detail"]) == (404, "no such child")


def test_falls_come_in_pages(world, as_head):
    assert [fall["name"] for fall in listed(as_head)] == ["Dorotea", "Hideaki"]
    first = as_head.get("/api/v1/falls", {"limit": 1}).json()
    second = as_head.get("/api/v1/falls", {"limit": 1, "cursor": first["next"]}).json()
    assert [page["rows"][0]["name"] for page in (first, second)] == ["Dorotea", "Hideaki"]
    assert second["next"] is None
    answer = as_head.get("/api/v1/falls", {"open": "perhaps"})
    assert answer.json()["errors"][0]["parameter"] == "open"


@pytest.mark.parametrize(
    ("zone", "on", "looked"),
    [
        # At 17:05 UTC it is the same morning in Honolulu, and the next morning in Auckland.
        ("Pacific/Honolulu", date(2026, 3, 10), date(2026, 3, 10)),
        ("Pacific/Auckland", date(2026, 3, 11), date(2026, 3, 11)),
        ("Pacific/Auckland", date(2026, 3, 9), date(2026, 3, 11)),
    ],
)
def test_the_day_is_the_studios_own(world, as_teacher, zone, on, looked):
    world.members["teacher"].studios.get().studio.__class__.objects.filter(
        id=world.own.studio
    ).update(zone=zone)
    Fall.objects.filter(id=world.own.fall).update(on=on)
    as_teacher.post(f"/api/v1/falls/{world.own.fall}/look")
    assert Fall.objects.get(id=world.own.fall).looked_at_on == looked
