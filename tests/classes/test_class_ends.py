"""A class ends on a day: nothing of it is deleted, and until then it can be taken back."""

from datetime import UTC, date, datetime, time, timedelta

import pytest

from accounts.faults import BadDocument
from accounts.scope import Conflict
from classes import enrolments, lessons, roster, tallies, timetable
from classes.classes import enrolled, find
from tests.factories import (
    AT,
    ClassFactory,
    MemberFactory,
    StudentFactory,
    every_row,
    scope,
)

LAST = date(2026, 3, 20)
TUESDAYS = date(2026, 3, 10), date(2026, 3, 17), date(2026, 3, 24), date(2026, 3, 31)


@pytest.fixture
def klass(db):
    return ClassFactory(name="Tuesday beginners")


@pytest.fixture
def head(klass):
    return scope(MemberFactory(school=klass.school))


@pytest.fixture
def child(klass):
    return StudentFactory(school=klass.school, identity__given_name="Sunniva", classes=[klass])


def end(head, klass, until, *, at=AT, confirmed=True):
    return timetable.change(
        head, kind="class", row_id=klass.id, said={"until": until}, at=at, confirmed=confirmed
    )


def meetings(head):
    found = lessons.between(head, first=TUESDAYS[0], last=TUESDAYS[-1])
    return {lesson.on: lesson.closed for lesson in found}


def test_what_goes_with_it_is_asked_about_first(head, klass, child):
    view = find(head, class_id=klass.id)
    for on in TUESDAYS[1:]:
        lessons.ensure(head, klass=view, on=on)
    lessons.change(
        head,
        lesson_id=lessons.lesson_id(klass.id, TUESDAYS[3]),
        said={"state": "cancelled"},
        at=AT,
    )
    before = every_row()
    with pytest.raises(Conflict) as caught:
        end(head, klass, LAST, confirmed=False)
    assert str(caught.value) == (
        "After 2026-03-20 Tuesday beginners does not meet: the places in it end (1), and what is"
        " prepared for 2026-03-24 is not used."
    )
    assert every_row() == before


def test_later_lessons_are_neither_made_nor_held(head, klass):
    lessons.ensure(head, klass=find(head, class_id=klass.id), on=TUESDAYS[2])
    end(head, klass, LAST)
    over = "the class ended on 2026-03-20"
    assert meetings(head) == {TUESDAYS[0]: None, TUESDAYS[1]: None, TUESDAYS[2]: over}
    stored, planned = (lessons.lesson_id(klass.id, on) for on in TUESDAYS[2:])
    assert lessons.find(head, lesson_id=planned, around=AT.date()).closed == over
    assert lessons.to_come(head, lesson_ids=[stored], at=AT) == ()
    for lesson_id in (stored, planned):
        with pytest.raises(Conflict, match=over):
            lessons.change(head, lesson_id=lesson_id, said={"note": "outside"}, at=AT)
    with pytest.raises(BadDocument, match=f"/on: {over}"):
        lessons.add(head, class_id=klass.id, on=TUESDAYS[3], at=AT)


def test_its_places_end_and_what_was_stays(head, klass, child):
    end(head, klass, LAST)
    [place] = enrolled(head, class_id=klass.id, on=LAST)
    assert (place.student_id, place.until) == (child.id, LAST)
    assert enrolled(head, class_id=klass.id, on=TUESDAYS[2]) == ()
    assert enrolments.at_studio(head, studio_id=klass.studio_id, on=TUESDAYS[2]) == {}
    [told] = enrolments.places(head, student_ids=[child.id])[child.id]
    assert told.until == LAST
    [counted] = tallies.places(head, first=LAST, last=TUESDAYS[3])
    assert counted.until == LAST
    assert tallies.places(head, first=TUESDAYS[2], last=TUESDAYS[3]) == ()


def test_nobody_comes_to_it_afterwards(head, klass, child):
    end(head, klass, LAST)
    sooner, later = {"from_date": LAST}, {"from_date": TUESDAYS[2]}
    other = StudentFactory(school=klass.school, identity__given_name="Bao")
    about = {"student_id": other.id, "class_id": klass.id, "trial": False, "at": AT}
    enrolments.give(head, **about, **sooner)
    for call in (
        lambda: enrolments.give(head, **about, **later),
        lambda: roster.load(
            head,
            content=b"name,born,joined\nFarid,2017-05,2026-03-24\n",
            klass=find(head, class_id=klass.id),
            at=AT,
        ),
    ):
        with pytest.raises(BadDocument, match="the last day of Tuesday beginners is 2026-03-20"):
            call()


def test_a_place_that_a_phone_enters_too_late_is_never_held(head, klass):
    end(head, klass, LAST)
    StudentFactory(school=klass.school, classes=[klass], joined_on=TUESDAYS[2])
    assert tallies.places(head, first=LAST, last=TUESDAYS[3]) == ()


def test_it_is_taken_back_until_the_day_is_over(head, klass, child):
    lessons.ensure(head, klass=find(head, class_id=klass.id), on=TUESDAYS[2])
    meetings_before, places_before = (
        meetings(head),
        enrolled(head, class_id=klass.id, on=TUESDAYS[3]),
    )
    end(head, klass, LAST)
    on_the_day = datetime.combine(LAST, AT.timetz())
    end(head, klass, None, at=on_the_day)
    assert meetings(head) == meetings_before
    assert enrolled(head, class_id=klass.id, on=TUESDAYS[3]) == places_before
    end(head, klass, LAST, at=on_the_day)
    afterwards = on_the_day.replace(day=LAST.day + 1)
    for until in (None, TUESDAYS[3]):
        with pytest.raises(BadDocument) as caught:
            end(head, klass, until, at=afterwards)
        assert str(caught.value) == (
            "/until: it ended on 2026-03-20: one that begins again is a new class"
        )


@pytest.mark.parametrize(
    ("zone", "hour", "over"), [("Pacific/Auckland", 12, True), ("America/Vancouver", 28, False)]
)
def test_the_day_is_over_when_it_is_at_the_studio(head, klass, zone, hour, over):
    type(klass.studio).objects.filter(id=klass.studio_id).update(zone=zone)
    end(head, klass, LAST)
    at = datetime.combine(LAST, time.min, UTC) + timedelta(hours=hour)
    if over:
        with pytest.raises(BadDocument, match="/until: it ended on 2026-03-20"):
            end(head, klass, None, at=at)
    else:
        end(head, klass, None, at=at)
        assert find(head, class_id=klass.id).until is None


def test_which_days_cannot_be_its_last(head, klass):
    with pytest.raises(BadDocument, match="/until: 2026-03-10 is over: today, or a day to come"):
        end(head, klass, TUESDAYS[0])
    StudentFactory(school=klass.school, classes=[klass], joined_on=TUESDAYS[2])
    with pytest.raises(BadDocument, match="/until: a child's place in it begins on 2026-03-24"):
        end(head, klass, LAST)


def test_a_file_says_it_too(head, klass):
    file = (
        f"format: classes/1\nclasses: [{{name: Tuesday beginners, studio: {klass.studio.name},"
        " weekday: Tuesday, starts: 17:00%s}]"
    )

    def load(said):
        loaded = timetable.load(head, content=(file % said).encode(), at=AT)
        return loaded.changed, find(head, class_id=klass.id).until

    assert load(", until: 2026-03-20") == (("class Tuesday beginners",), LAST)
    assert load("") == ((), LAST)
    assert load(", until: null") == (("class Tuesday beginners",), None)
