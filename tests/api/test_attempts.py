"""Tries over HTTP: handed in row by row, read by child, lesson and revision."""

import json
from datetime import date, timedelta
from pathlib import Path
from uuid import UUID, uuid4

import pytest

from accounts.models import MemberStudio
from api.attempts import AttemptEntry
from classes import attempt_rows, replay
from classes.lessons import lesson_id
from classes.models import Attempt, Erased, HeldRow, Lesson
from curriculum.models import Skill
from tests.api.cast import NOW, unknown_id

SAMPLES = Path(__file__).parent / "samples" / "attempts_v1.json"
BATCH = "/api/v1/attempts/batch"


def row(place, **different):
    return {
        "id": str(uuid4()),
        "attempt": str(uuid4()),
        "revision": 1,
        "student": place.student,
        "skill_id": place.skill_id,
        "role": "base",
        "spot": "hands_on",
        "outcome": "clean",
        "measure": None,
        "weight": "own",
        "try_id": str(uuid4()),
        "way_in": "",
        "way_out": "",
        "surface": "",
        "class": place.klass,
        "local_date": place.on,
        "happened_at": "2026-03-10T17:04:00Z",
        "clock_offset_ms": 0,
        **different,
    }


def hand_in(client, *rows):
    answer = client.post(BATCH, {"rows": rows}, format="json")
    assert answer.status_code == 200, answer.content
    return answer.json()["rows"]


def stored(said, *flags, status="stored"):
    return {"id": said["id"], "status": status} | ({"flags": list(flags)} if flags else {})


def already(said, *flags):
    return stored(said, *flags, status="already_stored")


def held(said):
    return {"id": said["id"], "status": "held"}


def refused(said, code, pointer):
    return {"id": said["id"], "status": "refused", "code": code, "pointer": pointer}


def sample(place):
    text = SAMPLES.read_text()
    names = {"student": place.student, "student2": place.student2, "class": place.klass}
    for name, said in (names | {"skill_id": place.skill_id}).items():
        text = text.replace(f'"{{{name}}}"', f'"{said}"')
    return json.loads(text)["rows"]


def test_rows_as_they_were_released_are_taken_for_ever(world, as_assistant):
    rows = sample(world.own)
    answers = hand_in(as_assistant, *rows)
    assert [(one["id"], one["status"]) for one in answers] == [
        (one["id"], "stored") for one in rows
    ]
    first = Attempt.objects.get(id=rows[0]["id"])
    assert (first.lesson_id, first.measure) == (UUID(world.own.lesson), 12.5)
    assert first.happened_at - first.at == timedelta(milliseconds=1500)
    assert (first.member_id, first.sent_by_id) == (world.members["assistant"].id,) * 2
    assert first.edition_id == UUID(world.own.edition)
    last = Attempt.objects.get(id=rows[3]["id"])
    assert (last.lesson_id, last.edition_id, last.local_date) == (None, None, date(2026, 3, 9))
    assert [one["status"] for one in hand_in(as_assistant, *rows)] == ["already_stored"] * 4


def test_the_contract_names_the_fields_that_are_read():
    fields = AttemptEntry().fields
    assert set(fields) == set(attempt_rows.PHONE)
    needed = {
        name for name, (_, default) in attempt_rows.PHONE.items() if default is attempt_rows.NEEDED
    }
    assert {name for name, field in fields.items() if field.required} == needed


def test_each_row_is_answered_by_itself_in_the_order_sent(world, as_assistant):
    good, again, bad = row(world.own), row(world.own), row(world.own, outcome="fine")
    foreign = row(world.foreign)
    other = good | {"spot": "none"}
    rows = [bad, good, foreign, again, other, good, 7, {"id": "x"}, {}]
    assert hand_in(as_assistant, *rows) == [
        refused(bad, "invalid", "/rows/0/outcome"),
        stored(good),
        refused(foreign, "unknown", "/rows/2/student"),
        stored(again),
        refused(other, "id_reused", "/rows/4/id"),
        already(good),
        refused({"id": None}, "invalid", "/rows/6"),
        refused({"id": None}, "invalid", "/rows/7/id"),
        refused({"id": None}, "invalid", "/rows/8/id"),
    ]
    assert Attempt.objects.filter(id__in=[good["id"], again["id"]]).count() == 2
    assert Attempt.objects.get(id=good["id"]).spot == "hands_on"


def test_nothing_sent_is_nothing_answered(as_assistant):
    assert hand_in(as_assistant) == []


def test_a_batch_has_its_bounds(world, as_assistant):
    many = [{}] * 501
    answer = as_assistant.post(BATCH, {"rows": many}, format="json")
    assert (answer.status_code, answer.json()["code"]) == (413, "too_large")
    long = [row(world.own, surface="x" * 60) for _ in range(500)]
    answer = as_assistant.post(BATCH, {"rows": long}, format="json")
    assert answer.status_code == 413  # over 256 KB
    assert not Attempt.objects.filter(surface__startswith="x").exists()
    for body in ({}, {"rows": {}}, {"rows": [], "more": 1}):
        answer = as_assistant.post(BATCH, body, format="json")
        assert (answer.status_code, answer.json()["code"]) == (400, "invalid")


@pytest.mark.parametrize("field", ["student", "skill_id", "class"])
def test_absent_and_foreign_and_not_yours_answer_alike(world, as_assistant, field):
    key = {"student": "student", "skill_id": "skill_id", "class": "klass"}[field]
    theirs = [getattr(world.foreign, key), str(unknown_id())]
    theirs += [] if field == "skill_id" else [getattr(world.sister, key)]
    rows = [row(world.own, **{field: id_}) for id_ in theirs]
    assert hand_in(as_assistant, *rows) == [
        refused(one, "unknown", f"/rows/{place}/{field}") for place, one in enumerate(rows)
    ]


def test_an_id_that_another_school_knows_is_free(world, as_assistant, as_stranger):
    theirs = row(world.foreign)
    assert hand_in(as_stranger, theirs) == [stored(theirs)]
    ours = row(world.own, id=theirs["id"], attempt=theirs["attempt"])
    assert hand_in(as_assistant, ours) == [stored(ours)]


def test_an_erased_child_does_not_come_back(world, as_assistant):
    gone = row(world.own, student=str(uuid4()))
    Erased.objects.create(
        school_id=UUID(world.own.school), student_id=UUID(gone["student"]), erased_at=NOW
    )
    assert hand_in(as_assistant, gone) == [refused(gone, "erased", "/rows/0/student")]


def test_a_lesson_that_is_not_there_yet_is_made(world, as_assistant):
    rows = [row(world.own, local_date="2026-02-17") for _ in (1, 2)]
    assert [one["status"] for one in hand_in(as_assistant, *rows)] == ["stored"] * 2
    made = Lesson.objects.get(on=date(2026, 2, 17), group_class_id=world.own.klass)
    assert made.id == lesson_id(UUID(world.own.klass), date(2026, 2, 17))
    assert {one.lesson_id for one in Attempt.objects.filter(id__in=[r["id"] for r in rows])} == {
        made.id
    }


def test_a_sister_phone_that_sends_the_same_row_again(world, as_assistant, as_teacher):
    one = row(world.own)
    hand_in(as_assistant, one)
    assert hand_in(as_teacher, one) == [already(one)]
    assert Attempt.objects.get(id=one["id"]).member_id == world.members["assistant"].id


def test_what_breaks_the_policy_is_stored_with_flags(world, as_assistant):
    seat = str(Skill.objects.get(school_id=world.own.school, key="seat").id)
    lifted = row(world.own, student=world.own.student2, skill_id=seat)  # not for now: the wrists
    early = row(world.own, happened_at="2026-03-10T20:00:00Z")
    told = hand_in(as_assistant, lifted, early)
    assert told == [stored(lifted, "no_yes", "restricted"), stored(early, "clock")]
    assert hand_in(as_assistant, lifted) == [already(lifted, "no_yes", "restricted")]


def ends(world, who, ago):
    MemberStudio.objects.filter(member=world.members[who]).update(ended_at=NOW - ago)


def test_who_has_lost_the_studio_may_hand_in_for_fourteen_days(world, as_assistant, as_head):
    before, after = row(world.own), row(world.own, happened_at="2026-03-10T17:04:31Z")
    ends(world, "assistant", timedelta(seconds=30))
    assert hand_in(as_assistant, before, after) == [stored(before, "late"), held(after)]
    assert hand_in(as_assistant, before, after) == [already(before, "late"), held(after)]
    (kept,) = HeldRow.objects.filter(row_id=after["id"])
    assert (kept.reason, kept.payload) == ("after_end", after)
    assert (kept.member_id, kept.received_at) == (world.members["assistant"].id, NOW)
    other = after | {"spot": "none"}
    assert hand_in(as_assistant, other) == [refused(other, "id_reused", "/rows/0/id")]
    (late,) = as_head.get("/api/v1/attempts/late").json()["rows"]
    assert (late["id"], late["flags"]) == (before["id"], ["late"])
    assert as_assistant.get(f"/api/v1/students/{world.own.student}/tries").status_code == 404


@pytest.mark.parametrize(
    ("ago", "answer"),
    [(timedelta(days=14), "stored"), (timedelta(days=14, microseconds=1), "held")],
)
def test_fourteen_days_to_the_microsecond(world, as_assistant, ago, answer):
    one = row(world.own, happened_at="2026-02-24T17:04:00Z", local_date="2026-02-24")
    ends(world, "assistant", ago)
    assert [told["status"] for told in hand_in(as_assistant, one)] == [answer]
    assert [kept.reason for kept in HeldRow.objects.filter(row_id=one["id"])] == (
        ["too_late"] if answer == "held" else []
    )


def test_a_cover_teacher_whose_days_are_over_may_still_hand_in(world, as_teacher):
    member = world.members["teacher"]
    member.until = date(2026, 3, 9)
    member.save()
    during = row(world.own, happened_at="2026-03-09T17:00:00Z", local_date="2026-03-09")
    after = row(world.own)
    assert hand_in(as_teacher, during, after) == [stored(during, "late"), held(after)]
    assert as_teacher.get(f"/api/v1/students/{world.own.student}/tries").status_code == 401


def test_whose_access_was_taken_away_hands_in_nothing(world, as_teacher):
    member = world.members["teacher"]
    member.revoked_at = NOW
    member.save()
    answer = as_teacher.post(BATCH, {"rows": [row(world.own)]}, format="json")
    assert (answer.status_code, answer.json()["code"]) == (401, "signed_out")


# -- what may be asked -------------------------------------------------------------------------


def tries(client, address, **query):
    answer = client.get(f"/api/v1/{address}", query)
    assert answer.status_code == 200, answer.content
    return answer.json()


def test_a_try_as_it_is_told(world, as_assistant):
    one = row(world.own, measure=12, way_in="a", way_out="b", surface="mat")
    hand_in(as_assistant, one)
    (told,) = tries(as_assistant, f"lessons/{world.own.lesson}/tries")["rows"]
    assert told == {
        "id": one["id"],
        "attempt": one["attempt"],
        "revision": 1,
        "student": world.own.student,
        "skill_id": world.own.skill_id,
        "skill": "chest_rest",
        "role": "base",
        "spot": "hands_on",
        "outcome": "clean",
        "measure": 12.0,
        "weight": "own",
        "try_id": one["try_id"],
        "way_in": "a",
        "way_out": "b",
        "surface": "mat",
        "lesson": world.own.lesson,
        "edition": world.own.edition,
        "member": str(world.members["assistant"].id),
        "member_name": "assistant of Quayside Hall",
        "sent_by": str(world.members["assistant"].id),
        "happened_at": "2026-03-10T17:04:00Z",
        "clock_offset_ms": 0,
        "at": "2026-03-10T17:04:00Z",
        "local_date": "2026-03-10",
        "received_at": "2026-03-10T17:05:00Z",
        "flags": [],
    }


def test_the_tries_of_a_child_in_pages(world, as_assistant):
    rows = [
        row(world.own, happened_at=f"2026-03-10T17:0{minute}:00Z", role=role)
        for minute, role in enumerate(("base", "flyer", "base", "base"))
    ]
    hand_in(as_assistant, *rows)
    address = f"students/{world.own.student}/tries"
    first = tries(as_assistant, address, since="2026-03-10", role="base", limit=2)
    then = tries(
        as_assistant, address, since="2026-03-10", role="base", limit=2, cursor=first["next"]
    )
    assert [one["id"] for one in first["rows"] + then["rows"]] == [
        rows[place]["id"] for place in (0, 2, 3)
    ]
    assert then["next"] is None
    assert len(tries(as_assistant, address)["rows"]) == 5  # one from the week before
    assert tries(as_assistant, address, skill="nothing_so_called")["rows"] == []
    answer = as_assistant.get(f"/api/v1/{address}", {"role": "lifter", "since": "soon"})
    assert {one["parameter"] for one in answer.json()["errors"]} == {"role", "since"}


def test_two_phones_that_correct_one_try(world, as_assistant, as_teacher):
    one = row(world.own, outcome="not_there")
    hand_in(as_assistant, one)
    low, high = str(UUID(int=7)), str(UUID(int=0xF0 << 120))
    ours = one | {"id": low, "revision": 2, "outcome": "clean"}
    theirs = one | {"id": high, "revision": 2, "student": world.own.student2}
    hand_in(as_teacher, theirs)
    hand_in(as_assistant, ours)
    told = tries(as_assistant, f"attempts/{one['attempt']}")["rows"]
    assert [(row["revision"], row["id"]) for row in told] == [(1, one["id"]), (2, low), (2, high)]
    (counts,) = tries(as_teacher, f"lessons/{world.own.lesson}/tries")["rows"]
    assert (counts["id"], counts["student"]) == (high, world.own.student2)
    replay.refresh(world.scope("head"))
    assert not replay.check(world.scope("head")).differences


def test_a_try_taken_back_is_told_as_a_revision_alone(world, as_assistant):
    one = row(world.own)
    gone = one | {"id": str(uuid4()), "revision": 2, "outcome": "removed"}
    hand_in(as_assistant, gone, one)
    assert tries(as_assistant, f"lessons/{world.own.lesson}/tries")["rows"] == []
    told = tries(as_assistant, f"attempts/{one['attempt']}")["rows"]
    assert [row["outcome"] for row in told] == ["clean", "removed"]


def test_revisions_about_a_child_of_another_studio_are_not_told(world, as_head, as_teacher):
    one = row(world.own)
    moved = one | {
        "id": str(uuid4()),
        "revision": 2,
        "student": world.sister.student,
        "class": world.sister.klass,
    }
    hand_in(as_head, one, moved)
    told = tries(as_teacher, f"attempts/{one['attempt']}")["rows"]
    assert [row["id"] for row in told] == [one["id"]]
    assert len(tries(as_head, f"attempts/{one['attempt']}")["rows"]) == 2
