"""What went in a break, without a database."""

from dataclasses import replace
from datetime import date, timedelta
from uuid import uuid4

import pytest

from classes.lessons import lesson_id
from planning.progress.chains import Log, When
from planning.progress.holidays import holidays
from tests.planning.build import KLASS, ON, STARTS, Pupil, Tried, clean, evening, id_of, tries_of

EDITION = evening().edition
DAY = timedelta(days=1)


def went(*children, days=0, elsewhere=False):
    """The holidays of a class some days after `ON`; Zola may have been in another class."""
    tries = sorted((one for child in children for one in tries_of(child)), key=lambda one: one.at)
    if elsewhere:
        other = uuid4()
        tries = [
            replace(one, lesson_id=lesson_id(other, one.local_date))
            if one.student_id == id_of("Zola")
            else one
            for one in tries
        ]
    log, now = Log(tries, EDITION), When(date.max, STARTS + days * DAY, ON + days * DAY)
    read = log.read({(key, now) for key in log.chains})

    def counted(*, since, skills):
        return [
            one
            for one in tries
            if (since is None or one.local_date >= since) and one.skill_key in skills
        ]

    return holidays(
        {key: own for (key, _), own in read.items()},
        counted,
        {
            one.local_date: one.at
            for one in tries
            if one.lesson_id == lesson_id(KLASS.id, one.local_date)
        },
        EDITION,
        names={id_of(child.name): child.name for child in children},
        on=now.on,
    )


def told(found):
    return [(one.student.name, one.skill, one.before, one.now, one.tried) for one in found.went]


def lost(week, times):
    return (Tried("bridge", "solo", week, outcome="not_there"),) * times


BEFORE = clean("bridge", weeks=(8, 7, 6))
CAME = clean("tight", weeks=(8, 7, 6, 3, 2, 1))  # somebody of the class was there


@pytest.mark.parametrize(
    ("after", "expected"),
    [
        (lost(3, 2), [("hands_near", True)]),
        # It went later than in the holidays.
        ((*clean("bridge", weeks=(3,)), *lost(1, 3)), []),
        # It has come back.
        ((*lost(3, 2), *clean("bridge", weeks=(2, 2, 1, 1, 1))), []),
        # Three weeks alone take nothing that was there three times.
        ((), []),
    ],
)
def test_what_went_by_the_first_tries_after_it(after, expected):
    found = went(Pupil("Amara", (*BEFORE, *after)), Pupil("Bao", CAME))
    assert (found.last, found.first) == (ON - 6 * 7 * DAY, ON - 3 * 7 * DAY)
    assert [(now, tried) for *_, now, tried in told(found)] == expected


def test_what_went_by_the_days_alone_while_the_break_lasts():
    """A skill that was only just there goes in a long summer; a habit never does."""
    shaky = Tried("bridge", "solo", 1, outcome="shaky")
    known = (*clean("bridge", weeks=(3,)), shaky, *clean("stop_word", role="partner"))
    found = went(Pupil("Amara", known), days=100)
    assert (found.last, found.first) == (ON - 7 * DAY, None)
    assert found.says == "since 3 March"
    assert told(found) == [("Amara", "bridge", "no_spot", "hands_near", False)]
    assert found.went[0].says == (
        "bridge: with no spot before, with hands near now, not tried since"
    )


def test_one_day_before_it_proves_nothing():
    once = Tried("bridge", "solo", 6)
    assert told(went(Pupil("Amara", (once, once, *lost(3, 2))), Pupil("Bao", CAME))) == []


def test_which_break():
    """The last one of two weeks or more between evenings of this class, wherever else she was."""
    assert went(Pupil("Amara", CAME[:3]), days=6) is not None
    assert went(Pupil("Amara", clean("tight", weeks=(3, 2, 1))), days=6) is None
    assert went(Pupil("Amara")) is None
    both = clean("tight", weeks=(12, 9, 8, 6, 5))
    assert went(Pupil("Amara", both), days=-28).first == ON - 6 * 7 * DAY
    zola = Pupil("Zola", clean("tight", weeks=(4,)))
    assert went(Pupil("Amara", CAME), zola).first == ON - 4 * 7 * DAY
    assert went(Pupil("Amara", CAME), zola, elsewhere=True).first == ON - 3 * 7 * DAY


def test_by_name_and_in_teaching_order():
    gone = [Tried(key, "solo", 3, outcome="not_there") for key in ("tight", "bridge")] * 3
    known = (*clean("bridge", "tight", weeks=(8, 7, 6)), *gone)
    children = [Pupil(name, known) for name in ("Zoé", "Amara")]
    assert [one[:2] for one in told(went(*children, days=-14))] == [
        ("Zoé", "tight"),
        ("Zoé", "bridge"),
        ("Amara", "tight"),
        ("Amara", "bridge"),
    ]
