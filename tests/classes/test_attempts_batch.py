"""Rows as phones write them: what is refused, what is held, and that no order matters."""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from uuid import UUID, uuid4

import pytest
from django.db import transaction
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from accounts.models import Member, MemberStudio, Studio
from accounts.scope import scope_of_member
from classes import attempts, replay
from classes.attempts import Answer
from classes.models import Attempt, HeldRow, Lesson, Student
from classes.tries import counted
from tests.classes import log_rows
from tests.classes.fact_school import strangers
from tests.classes.log_rows import RECEIVED, STARTS, receive, row, said, store
from tests.classes.log_school import THIRD
from tests.once import once

DAY = timedelta(days=1)
MISSING = object()


built, school = once(log_rows.build)


def statuses(answers):
    return [answer.code or answer.status for answer in answers]


def test_a_batch_is_the_same_as_rows_of_a_file(school):
    """What a phone says and what a loader says of one try are one content."""
    happened_at = STARTS + timedelta(seconds=1)
    receive(school, said(school))
    assert store(school, row(school, happened_at=happened_at)) == [attempts.ALREADY_STORED]
    assert store(school, row(school, happened_at=STARTS)) == [attempts.ID_REUSED]


def test_who_sends_a_row_again_says_nothing_new(school):
    receive(school, said(school), scope=school.assistant)
    assert statuses(receive(school, said(school), scope=school.teacher)) == ["already_stored"]
    assert Attempt.objects.get().member_id == school.assistant.member_id


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("id", MISSING),
        ("id", 7),
        ("id", "0195803a7c0070008000000000000001"),
        ("id", "{0195803a-7c00-7000-8000-00000000000}"),
        ("id", "0195803a-7c00-7000-8000-00000000_001"),
        ("attempt", None),
        ("revision", 0),
        ("revision", True),
        ("revision", 1.0),
        ("revision", "1"),
        ("revision", 2**31),
        ("student", ""),
        ("skill_id", ["table"]),
        ("role", "lifter"),
        ("role", ["base"]),
        ("spot", "no spot"),
        ("spot", None),
        ("outcome", "fine"),
        ("measure", "12"),
        ("measure", -0.5),
        ("measure", True),
        ("measure", 10**400),
        ("measure", float("nan")),
        ("weight", 1),
        ("try_id", MISSING),
        ("way_in", "x" * 61),
        ("way_out", None),
        ("surface", "mat\n"),
        ("surface", "\ud800"),
        ("class", "Tuesday beginners"),
        ("local_date", None),
        ("local_date", "10.3.2026"),
        ("local_date", "2026-02-30"),
        ("local_date", "1999-12-31"),
        ("local_date", "9999-12-31"),
        ("happened_at", "2026-03-10T17:00:00"),
        ("happened_at", "2026-03-10"),
        ("happened_at", "2026-03-10T25:00:00Z"),
        ("happened_at", "1969-12-31T23:00:00Z"),
        ("happened_at", "2200-01-01T00:00:00Z"),
        ("happened_at", 1773162000),
        ("clock_offset_ms", 1.5),
        ("clock_offset_ms", 10**13),
        ("clock_offset_ms", MISSING),
        ("note", "she was tired"),
        ("a~b/c", 1),
    ],
)
def test_a_wrong_value_refuses_its_row_alone(school, field, value):
    good, bad = said(school), said(school, number=2) | {field: value}
    if value is MISSING:
        del bad[field]
    pointer = "/" + field.replace("~", "~0").replace("/", "~1")
    id_ = None if field == "id" else UUID(int=2)
    assert receive(school, bad, good) == (
        Answer(id_, "refused", "invalid", pointer),
        Answer(UUID(int=1), "stored"),
    )
    assert Attempt.objects.count() == 1


@pytest.mark.parametrize("value", [None, [], "row", 7, True])
def test_what_is_no_row(school, value):
    assert receive(school, value) == (Answer(None, "refused", "invalid", ""),)


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("revision", 2**31 - 1),
        ("measure", 0),
        ("measure", 1e6),
        ("surface", "sprung floor, ½ mat"),
        ("surface", "x" * 60),
        ("outcome", "removed"),
        ("happened_at", "1970-01-01T00:00:00Z"),
        ("happened_at", "2199-12-31T23:59:59.999999-12:00"),
        ("happened_at", "2026-03-10T22:30:00.5+05:30"),
        ("clock_offset_ms", -(10**9)),
        ("local_date", "2199-12-31"),
        ("id", "0195803A-7C00-7000-8000-00000000000F"),
    ],
)
def test_what_lies_at_the_edge_is_stored(school, field, value):
    assert statuses(receive(school, said(school) | {field: value})) == ["stored"]
    assert statuses(receive(school, said(school) | {field: value})) == ["already_stored"]


def test_without_a_class_there_is_no_lesson(school):
    """The day is then that of the moment as it is written."""
    receive(
        school,
        said(school, **{"class": None, "local_date": None})
        | {"happened_at": "2026-03-10T00:30:00+01:00"},
        said(school, number=2, **{"class": None, "local_date": "2026-03-09"}),
    )
    found = {one.id.int: one for one in Attempt.objects.all()}
    assert (found[1].lesson_id, found[1].local_date) == (None, date(2026, 3, 10))
    assert found[1].at == datetime(2026, 3, 9, 23, 30, tzinfo=UTC)
    assert (found[2].lesson_id, found[2].local_date) == (None, date(2026, 3, 9))


def test_the_edition_is_the_one_in_use_on_the_day(school):
    receive(school, said(school))
    assert Attempt.objects.get().edition_id == school.edition(THIRD).id


def test_a_wrong_clock_counts_at_the_start_of_a_lesson_that_is_made(school):
    on = date(2026, 2, 17)
    answers = receive(school, said(school, local_date=on.isoformat(), clock_offset_ms=10**9))
    assert answers[0].flags == ("clock",)
    assert Attempt.objects.get().at == datetime(2026, 2, 17, 17, 0, tzinfo=UTC)


def test_nothing_counts_later_than_it_was_received(school):
    """The lesson of tomorrow may be entered: a minute before midnight a clock may be ahead."""
    tomorrow = {"local_date": "2026-03-11", "happened_at": "2026-03-11T20:00:00Z"}
    (answer,) = receive(school, said(school, **tomorrow))
    found = Attempt.objects.get()
    assert (answer.status, answer.flags) == ("stored", ("clock",))
    assert found.lesson_id == school.lesson_id(date(2026, 3, 11))
    assert (found.at, found.local_date) == (RECEIVED, date(2026, 3, 11))


@pytest.mark.parametrize("day", ["2026-03-12", "2026-04-09", "2150-05-05"])
@pytest.mark.parametrize("happened", [STARTS, STARTS + 30 * DAY])
def test_a_day_still_to_come_is_not_believed(school, day, happened):
    """It happened, and so it is stored; no lesson is made that is still to come."""
    lessons_before = Lesson.objects.count()
    sent = said(school, local_date=day, happened_at=happened.isoformat())
    (answer,) = receive(school, sent)
    assert (answer.status, answer.flags) == ("stored", ("clock",))
    found = Attempt.objects.get()
    assert (found.at, found.local_date, found.lesson_id) == (RECEIVED, THIRD, None)
    assert (found.happened_at, found.edition_id) == (happened, school.edition(THIRD).id)
    assert Lesson.objects.count() == lessons_before
    # The same row is known again on whatever day it comes, another one with its id is not.
    for days in (0, 1, 40, 50_000):
        received_at = RECEIVED + days * DAY
        assert statuses(receive(school, sent, received_at=received_at)) == ["already_stored"]
        other = sent | {"spot": "hands_on"}
        assert statuses(receive(school, other, received_at=received_at)) == ["id_reused"]


def test_the_day_is_that_of_the_studio(school):
    Studio.objects.filter(id=school.studio_id).update(zone="Pacific/Auckland")
    receive(school, said(school, local_date="2150-05-05", **{"class": None}))
    assert Attempt.objects.get().local_date == date(2026, 3, 11)  # 9 o'clock there


def test_a_day_still_to_come_opens_no_class_of_others(school):
    (answer,) = receive(
        school, said(school, local_date="2150-05-05", **{"class": str(UUID(int=9))})
    )
    assert answer == Answer(UUID(int=1), "refused", "unknown", "/class")


def test_strangers_store_nothing(school):
    for stranger in strangers(school):
        (answer,) = receive(school, said(school), scope=stranger)
        assert answer == Answer(UUID(int=1), "refused", "unknown", "/student")
    assert not Attempt.objects.exists()


# -- who has lost the right --------------------------------------------------------------------


def lost(school, at):
    """The scope of the assistant after she has lost the studio."""
    MemberStudio.objects.filter(member_id=school.assistant.member_id).update(ended_at=at)
    return replace(school.assistant, studio_ids=frozenset())


@pytest.mark.parametrize(
    ("happened", "received", "status", "reason"),
    [
        (-timedelta(milliseconds=1), timedelta(days=14), "stored", None),
        (timedelta(0), timedelta(0), "held", "after_end"),
        (timedelta(0), timedelta(days=15), "held", "after_end"),
        (-DAY, timedelta(days=14, microseconds=1), "held", "too_late"),
    ],
)
def test_late_rows(school, happened, received, status, reason):
    end = STARTS + timedelta(minutes=30)
    one = said(school, happened_at=(end - timedelta(hours=1)).isoformat())
    offset = (happened + timedelta(hours=1)) // timedelta(milliseconds=1)
    one["clock_offset_ms"] = offset  # the corrected moment decides
    late = lost(school, end)
    (answer,) = receive(school, one, scope=late, received_at=end + received)
    assert (answer.status, answer.code) == (status, None)
    assert [held.reason for held in HeldRow.objects.all()] == ([reason] if reason else [])
    if status == "stored":
        assert answer.flags == ("late",)


def test_late_rows_of_what_she_never_saw_are_unknown(school):
    late = lost(school, RECEIVED - DAY)
    child = Student.objects.create(
        school_id=school.id, birth_year=2017, birth_month=1, joined_on=THIRD
    )
    (answer,) = receive(school, said(school, student=child.id), scope=late)
    assert (answer.status, answer.code, answer.pointer) == ("refused", "unknown", "/student")


def test_a_head_teacher_whose_days_are_over(school):
    member = Member.objects.get(id=school.head.member_id)
    member.until = THIRD - DAY
    member.save()
    late = scope_of_member(member_id=member.id, now=RECEIVED, late=True)
    on = THIRD - 7 * DAY
    before = said(school, happened_at=(STARTS - 7 * DAY).isoformat(), local_date=on.isoformat())
    answers = receive(school, before, said(school, number=2), scope=late)
    assert [(answer.status, answer.flags) for answer in answers] == [
        ("stored", ("late",)),
        ("held", ()),
    ]


def test_held_rows_count_for_nothing_and_mark_nobody(school):
    late = lost(school, STARTS - DAY)
    receive(school, said(school), scope=late)
    assert counted(school.head, student_ids=school.ids, since=None) == ()
    assert replay.check(school.head).stale == 0


# -- laws --------------------------------------------------------------------------------------


def some_rows(school):
    """Tries of three children, with corrections by phones that did not know each other."""
    rows = [
        said(school, name, number, spot=spot, outcome=outcome)
        for number, (name, spot, outcome) in enumerate(
            (name, spot, outcome)
            for name in ("Amara", "Bao")
            for spot, outcome in (
                ("hands_on", "not_there"),
                ("hands_near", "clean"),
                ("none", "shaky"),
            )
        )
    ]
    a, b, c, *_ = rows
    return [
        *rows,
        a | {"id": str(uuid4()), "revision": 2, "outcome": "clean"},
        a | {"id": str(uuid4()), "revision": 2, "outcome": "removed"},  # by another phone
        b | {"id": str(uuid4()), "revision": 2, "student": str(school.children["Hana"])},
        b | {"id": str(uuid4()), "revision": 3, "student": str(school.children["Bao"])},
        c | {"id": str(uuid4()), "revision": 2, "skill_id": str(school.skills["standing_tight"])},
    ]


def state_of(school):
    in_memory = replay.beliefs(school.teacher, student_ids=school.ids)
    replay.refresh(school.teacher)
    assert replay.beliefs(school.teacher, student_ids=school.ids) == in_memory
    return counted(school.teacher, student_ids=school.ids, since=None), in_memory


@pytest.fixture
def eleven(school):
    rows = some_rows(school)
    undo = transaction.savepoint()
    receive(school, *rows)
    expected = state_of(school)
    transaction.savepoint_rollback(undo)
    return school, rows, expected


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(data=st.data())
def test_any_order_split_and_repetition_comes_to_the_same(eleven, data):
    school, rows, expected = eleven
    sent = data.draw(st.permutations(rows))
    sent += data.draw(st.lists(st.sampled_from(rows), max_size=8))
    cuts = sorted(data.draw(st.sets(st.integers(1, len(sent) - 1), max_size=6)))
    undo = transaction.savepoint()
    for start, end in zip([0, *cuts], [*cuts, len(sent)], strict=True):
        asking = data.draw(st.sampled_from([school.assistant, school.teacher, school.head]))
        answers = receive(school, *sent[start:end], scope=asking)
        assert set(statuses(answers)) <= {"stored", "already_stored"}
        if data.draw(st.booleans()):
            replay.refresh(school.teacher)
    assert state_of(school) == expected
    assert not replay.check(school.teacher).differences
    transaction.savepoint_rollback(undo)
