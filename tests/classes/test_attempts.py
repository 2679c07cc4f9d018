"""The log of tries as a register: nothing lost, nothing twice, in whatever order it comes."""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta, timezone
from uuid import UUID, uuid4
from zoneinfo import ZoneInfo

import pytest
from django.db import transaction
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from classes import attempts, replay
from classes.attempts import Answer, AttemptRow
from classes.models import Attempt, Enrolment, Erased, Replay
from classes.tries import counted
from tests.classes import fact_school
from tests.classes.fact_school import FactSchool, strangers
from tests.curriculum.build import draft_of
from tests.once import once

TUESDAY = date(2026, 3, 3)
BEGINS = datetime(2026, 3, 3, 17, 0, tzinfo=UTC)
RECEIVED = datetime(2026, 3, 3, 18, 0, tzinfo=UTC)


built, school = once(fact_school.build)


def row(school: FactSchool, name: str = "Amara", *, skill: str = "table", **changes) -> AttemptRow:
    """A try of a child in a lesson, as it is frozen when it is logged."""
    values = {
        "id": uuid4(),
        "attempt": uuid4(),
        "revision": 1,
        "student_id": school.children[name],
        "skill_id": school.skills[skill],
        "role": "solo",
        "spot": "none",
        "outcome": "clean",
        "measure": None,
        "weight": "own",
        "try_id": uuid4(),
        "way_in": "",
        "way_out": "",
        "surface": "",
        "lesson_id": school.lesson(TUESDAY).id,
        "edition_id": None,
        "member_id": school.teacher.member_id,
        "happened_at": BEGINS + timedelta(minutes=5),
        "clock_offset_ms": 0,
        "local_date": TUESDAY,
    }
    return AttemptRow(**(values | changes))


def store(school, *rows, received_at=RECEIVED, scope=None):
    return attempts.store(scope or school.assistant, rows=rows, received_at=received_at)


def says(answers):
    return [(answer.status, answer.code) for answer in answers]


STORED, ALREADY = (attempts.STORED, None), (attempts.ALREADY_STORED, None)
REUSED = (attempts.REFUSED, "id_reused")
UNKNOWN, ERASED = (attempts.REFUSED, "unknown"), (attempts.REFUSED, "erased")


def test_each_row_is_answered_by_itself_in_the_order_sent(school):
    first, second = row(school, "Bao"), row(school, "Amara")
    assert store(school, second, first) == (
        Answer(second.id, attempts.STORED),
        Answer(first.id, attempts.STORED),
    )
    third = row(school, "Hana")
    other = replace(first, outcome="shaky")
    assert says(store(school, second, third, other, third)) == [ALREADY, STORED, REUSED, ALREADY]
    assert Attempt.objects.count() == 3
    assert Attempt.objects.get(id=first.id).outcome == "clean"


def test_nothing_sent_is_nothing_stored(school):
    assert store(school) == ()


def test_of_two_contents_with_one_id_the_first_sent_stays(school):
    one = row(school)
    answers = store(school, one, replace(one, spot="hands_on"))
    assert says(answers) == [STORED, REUSED]
    assert Attempt.objects.get().spot == "none"


@pytest.mark.parametrize(
    "change",
    [
        {"attempt": UUID(int=1)},
        {"revision": 2},
        {"role": "base"},
        {"spot": "hands_near"},
        {"outcome": "shaky"},
        {"measure": 12.0},
        {"weight": "together"},
        {"try_id": UUID(int=1)},
        {"way_in": "a"},
        {"way_out": "a"},
        {"surface": "a"},
        {"lesson_id": None},
        {"happened_at": BEGINS},
        {"clock_offset_ms": 1},
        {"local_date": date(2026, 3, 4)},
    ],
    ids=lambda change: next(iter(change)),
)
def test_whatever_the_phone_froze_is_content(school, change):
    one = row(school)
    store(school, one)
    assert says(store(school, replace(one, **change))) == [REUSED]


def test_the_child_and_the_skill_are_content(school):
    one = row(school)
    store(school, one)
    for change in (
        {"student_id": school.children["Bao"]},
        {"skill_id": school.skills["standing_tight"]},
    ):
        assert says(store(school, replace(one, **change))) == [REUSED]


def test_the_edition_is_not_content(school):
    one = row(school)
    store(school, one)
    edition = school.edition(TUESDAY).id
    assert says(store(school, replace(one, edition_id=edition))) == [ALREADY]


def test_a_moment_is_compared_by_value_whatever_its_offset(school):
    # In the hour that Lisbon's clock repeats, Python calls no two zones' moments equal.
    repeated = datetime(2025, 10, 26, 1, 30, tzinfo=ZoneInfo("Europe/Lisbon"), fold=1)
    for moment in (BEGINS.astimezone(timezone(timedelta(hours=5, minutes=30))), repeated):
        one = row(school, happened_at=moment)
        assert says(store(school, one, one)) == [STORED, ALREADY]
        assert says(store(school, one)) == [ALREADY]
        again = replace(one, happened_at=moment.astimezone(UTC))
        assert says(store(school, again)) == [ALREADY]


def test_an_id_that_another_school_knows_is_free(school):
    theirs = fact_school.build("Another School")
    one = row(theirs)
    store(theirs, one)
    assert says(store(school, row(school, id=one.id, attempt=one.attempt))) == [STORED]
    assert Attempt.objects.filter(id=one.id).count() == 2
    # Nobody there is marked by what is logged here.
    assert Replay.objects.get(student_id=theirs.children["Amara"]).log_version == 1


def test_what_one_may_not_see_is_unknown(school):
    theirs = fact_school.build("Another School")
    foreign_lesson = theirs.lesson(TUESDAY).id
    good = row(school)
    answers = store(
        school,
        row(school, student_id=uuid4()),
        row(school, student_id=theirs.children["Amara"]),
        row(school, skill_id=theirs.skills["table"]),
        row(school, lesson_id=foreign_lesson),
        row(school, lesson_id=uuid4()),
        row(school, edition_id=theirs.edition(TUESDAY).id),
        row(school, edition_id=draft_of(school.head).id),
        row(school, member_id=theirs.teacher.member_id),
        good,
    )
    assert says(answers) == [UNKNOWN] * 8 + [STORED]
    assert [found.id for found in Attempt.objects.all()] == [good.id]


def test_a_teacher_of_another_studio_stores_nothing(school):
    for stranger in strangers(school):
        assert says(store(school, row(school), scope=stranger)) == [UNKNOWN]
    assert not Attempt.objects.exists()


def test_an_erased_child_does_not_come_back(school):
    gone = uuid4()
    Erased.objects.create(school_id=school.id, student_id=gone, erased_at=RECEIVED)
    assert says(store(school, row(school, student_id=gone), row(school))) == [ERASED, STORED]


# -- the clock ---------------------------------------------------------------------------------


def counts_at(school, **changes):
    one = row(school, **{"clock_offset_ms": 0, **changes})
    store(school, one)
    return Attempt.objects.get(id=one.id).at


def test_a_row_counts_when_it_happened_by_a_corrected_clock(school):
    assert counts_at(school, happened_at=BEGINS, clock_offset_ms=-1500) == BEGINS - timedelta(
        milliseconds=1500
    )


def test_a_clock_up_to_five_minutes_ahead_is_believed(school):
    edge = RECEIVED + timedelta(minutes=5)
    assert counts_at(school, happened_at=edge) == edge
    assert counts_at(school, happened_at=edge + timedelta(microseconds=1)) == BEGINS
    assert counts_at(school, happened_at=RECEIVED, clock_offset_ms=300_001) == BEGINS


def test_without_a_lesson_a_wrong_clock_gives_way_to_the_first_receipt(school):
    ahead = RECEIVED + timedelta(days=30)
    assert counts_at(school, happened_at=ahead, lesson_id=None) == RECEIVED


def test_nothing_counts_before_the_child_had_a_place(school):
    Enrolment.objects.filter(student_id=school.children["Amara"]).update(from_date=TUESDAY)
    midnight = datetime(2026, 3, 3, tzinfo=UTC)  # in Lisbon in winter
    for early in (midnight - timedelta(seconds=1), datetime(1970, 1, 1, tzinfo=UTC)):
        assert counts_at(school, happened_at=early) == BEGINS
    assert counts_at(school, happened_at=midnight) == midnight


def test_the_time_is_fixed_when_the_row_first_comes(school):
    one = row(school, happened_at=RECEIVED + timedelta(hours=1), lesson_id=None)
    store(school, one)
    store(school, one, received_at=RECEIVED + timedelta(days=1))
    found = Attempt.objects.get()
    assert (found.at, found.received_at) == (RECEIVED, RECEIVED)


# -- who is marked -----------------------------------------------------------------------------


def marks(school):
    by_id = {id_: name for name, id_ in school.children.items()}
    return {by_id[found.student_id]: found.log_version for found in Replay.objects.all()}


def test_a_batch_marks_each_of_its_children_once(school):
    store(school, row(school, "Bao"), row(school, "Amara"), row(school, "Bao"))
    assert marks(school) == {"Amara": 1, "Bao": 1}


def test_a_row_that_is_there_already_or_refused_marks_nobody(school):
    one = row(school)
    store(school, one)
    store(school, one, replace(one, outcome="shaky"), row(school, "Bao", skill_id=uuid4()))
    assert marks(school) == {"Amara": 1}


def test_a_correction_marks_every_child_of_any_revision(school):
    one = row(school, "Amara")
    store(school, one)
    store(school, replace(one, id=uuid4(), revision=2, student_id=school.children["Bao"]))
    assert marks(school) == {"Amara": 2, "Bao": 1}
    store(school, replace(one, id=uuid4(), revision=3, student_id=school.children["Hana"]))
    assert marks(school) == {"Amara": 3, "Bao": 2, "Hana": 1}


def test_rows_and_marks_come_together_or_not_at_all(school, monkeypatch):
    def fail(*args, **kwargs):
        raise RuntimeError

    monkeypatch.setattr(attempts, "run", fail)
    with pytest.raises(RuntimeError):
        store(school, row(school))
    assert not Attempt.objects.exists()


def test_more_rows_than_sqlite_takes_parameters(school):
    rows = [row(school, skill="standing_tight") for _ in range(1000)]
    assert set(says(store(school, *rows))) == {STORED}
    assert set(says(store(school, *rows))) == {ALREADY}
    assert marks(school) == {"Amara": 1}
    found = attempts.revisions(school.teacher, attempts={one.attempt for one in rows})
    assert len(found) == 1000


# -- laws --------------------------------------------------------------------------------------


def state_of(school):
    """What everybody sees at the end: the counted tries and the beliefs, cached or not."""
    tries = counted(school.teacher, student_ids=school.ids, since=None)
    in_memory = replay.beliefs(school.teacher, student_ids=school.ids)
    replay.refresh(school.teacher)
    assert replay.beliefs(school.teacher, student_ids=school.ids) == in_memory
    return tries, in_memory


def some_rows(school):
    """A dozen tries of three children, with corrections by phones that did not know each other."""
    rows = [
        row(
            school,
            name,
            outcome=outcome,
            spot=spot,
            happened_at=BEGINS + timedelta(days=7 * week - 14, seconds=second),
            local_date=TUESDAY + timedelta(days=7 * week - 14),
        )
        for second, (name, week, spot, outcome) in enumerate(
            (name, week, spot, outcome)
            for name in ("Amara", "Bao")
            for week, spot, outcome in (
                (0, "hands_on", "not_there"),
                (0, "hands_on", "clean"),
                (1, "hands_near", "shaky"),
                (2, "none", "clean"),
            )
        )
    ]
    a, b, c, d, *_ = rows
    return [
        *rows,
        replace(a, id=uuid4(), revision=2, outcome="clean"),
        replace(a, id=uuid4(), revision=2, outcome="removed"),  # by another phone
        replace(b, id=uuid4(), revision=2, student_id=school.children["Hana"]),
        replace(b, id=uuid4(), revision=3, student_id=school.children["Bao"]),
        replace(c, id=uuid4(), revision=5, outcome="removed"),
        replace(d, id=uuid4(), revision=2, skill_id=school.skills["standing_tight"]),
    ]


@pytest.fixture
def fourteen(school):
    rows = some_rows(school)
    undo = transaction.savepoint()
    store(school, *rows)
    expected = state_of(school)
    transaction.savepoint_rollback(undo)
    return school, rows, expected


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(data=st.data())
def test_any_order_split_and_repetition_comes_to_the_same(fourteen, data):
    school, rows, expected = fourteen
    sent = data.draw(st.permutations(rows))
    sent += data.draw(st.lists(st.sampled_from(rows), max_size=8))
    cuts = sorted(data.draw(st.sets(st.integers(1, len(sent) - 1), max_size=6)))
    undo = transaction.savepoint()
    for start, end in zip([0, *cuts], [*cuts, len(sent)], strict=True):
        answers = store(school, *sent[start:end])
        assert {answer.status for answer in answers} <= {attempts.STORED, attempts.ALREADY_STORED}
        if data.draw(st.booleans()):
            replay.refresh(school.teacher)
    assert state_of(school) == expected
    assert not replay.check(school.teacher).differences
    transaction.savepoint_rollback(undo)


@pytest.mark.parametrize("first", [0, 1])
def test_two_phones_that_correct_one_try_leave_one_answer(school, first):
    one = row(school, "Amara", outcome="not_there")
    store(school, one)
    corrections = [
        replace(one, id=UUID(int=7), revision=2, outcome="clean"),
        replace(one, id=UUID(int=0xF0 << 120), revision=2, student_id=school.children["Bao"]),
    ]
    for correction in (corrections[first], corrections[1 - first]):
        store(school, correction)
    tries, beliefs = state_of(school)
    assert [(found.student_id, found.outcome) for found in tries] == [
        (school.children["Bao"], "not_there")
    ]
    assert beliefs[school.children["Amara"]] == {}
    assert beliefs[school.children["Bao"]]["table", "solo"].counted == 1
