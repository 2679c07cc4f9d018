from dataclasses import replace
from datetime import UTC, date, datetime, time, timedelta
from uuid import UUID, uuid5
from zoneinfo import ZoneInfo, available_timezones

import pytest
from hypothesis import given
from hypothesis import strategies as st

from accounts.faults import BadDocument
from accounts.scope import Unknown
from classes import lessons
from classes.classes import class_named
from classes.models import Closure, Lesson, Term
from tests.factories import ClassFactory, MemberFactory, SchoolFactory, StudioFactory, scope

FIRST, SECOND, THIRD = date(2026, 3, 3), date(2026, 3, 10), date(2026, 3, 17)


@pytest.fixture
def row(db):
    studio = StudioFactory(name="Far Orrow Hall", zone="Atlantic/Azores")
    return ClassFactory(studio=studio, name="Friday mixed")


@pytest.fixture
def head(row):
    return scope(MemberFactory(school=row.school))


@pytest.fixture
def klass(row, head):
    return class_named(head, name=row.name)


@pytest.fixture
def stranger(row):
    """A teacher of another studio of the school."""
    studio = StudioFactory(school=row.school)
    return scope(MemberFactory(school=row.school, role="teacher", studios=[studio]))


# -- local time is the truth ---------------------------------------------------------------------


def utc(day, hour, minute=0):
    return datetime(day.year, day.month, day.day, hour, minute, tzinfo=UTC)


@pytest.mark.parametrize(
    ("zone", "on", "starts_at", "moment"),
    [
        ("Europe/Lisbon", FIRST, time(17), utc(FIRST, 17)),
        ("Atlantic/Azores", FIRST, time(17), utc(FIRST, 18)),
        ("Europe/Lisbon", date(2026, 7, 7), time(17), utc(date(2026, 7, 7), 16)),
        ("Atlantic/Azores", date(2026, 7, 7), time(17), utc(date(2026, 7, 7), 17)),
        # West of the date line the local evening is the next day in UTC, east of it the day before.
        ("Pacific/Honolulu", FIRST, time(17), utc(date(2026, 3, 4), 3)),
        ("Pacific/Auckland", FIRST, time(9), utc(date(2026, 3, 2), 20)),
    ],
)
def test_the_moment_follows_from_local_date_time_and_zone(zone, on, starts_at, moment):
    assert lessons.moment(on, starts_at, zone) == moment
    assert lessons.moment(on, starts_at, zone).tzinfo is UTC


# Summer time of the European Union begins and ends at 01:00 UTC on the last Sundays of March and
# October (Directive 2000/84/EC): in Lisbon 01:00 to 02:00 is left out on 29 March 2026 and comes
# twice on 25 October 2026; in the Azores 00:00 to 01:00 is.
SPRING, AUTUMN = date(2026, 3, 29), date(2026, 10, 25)


@pytest.mark.parametrize(
    ("zone", "on", "starts_at", "moment", "clock"),
    [
        ("Europe/Lisbon", SPRING, time(0, 59), utc(SPRING, 0, 59), time(0, 59)),
        ("Europe/Lisbon", SPRING, time(1, 30), utc(SPRING, 1, 30), time(2, 30)),
        ("Europe/Lisbon", SPRING, time(2, 0), utc(SPRING, 1, 0), time(2, 0)),
        ("Atlantic/Azores", SPRING, time(0, 30), utc(SPRING, 1, 30), time(1, 30)),
        ("Europe/Lisbon", AUTUMN, time(1, 30), utc(AUTUMN, 0, 30), time(1, 30)),
        ("Europe/Lisbon", AUTUMN, time(2, 0), utc(AUTUMN, 2, 0), time(2, 0)),
        ("Atlantic/Azores", AUTUMN, time(0, 30), utc(AUTUMN, 0, 30), time(0, 30)),
    ],
)
def test_the_night_in_which_the_clock_changes(zone, on, starts_at, moment, clock):
    found = lessons.moment(on, starts_at, zone)
    assert found == moment
    assert found.astimezone(ZoneInfo(zone)).time() == clock


@given(
    st.sampled_from(sorted(available_timezones() - {"localtime", "Factory"})),
    st.dates(date(1990, 1, 1), date(2040, 12, 31)),
    st.times().map(lambda clock: clock.replace(second=0, microsecond=0, fold=0)),
)
def test_the_clock_of_the_studio_shows_the_time_or_a_later_one(zone, on, starts_at):
    shown = lessons.moment(on, starts_at, zone).astimezone(ZoneInfo(zone))
    planned = datetime.combine(on, starts_at)
    late = shown.replace(tzinfo=None) - planned
    # Some zones once left out a whole day.
    assert timedelta(0) <= late <= timedelta(days=1)
    if late:
        local = planned.replace(tzinfo=ZoneInfo(zone))
        assert local.replace(fold=1).utcoffset() != local.utcoffset()


# -- stored and not stored -----------------------------------------------------------------------


def test_two_phones_name_a_lesson_alike():
    class_id = UUID("019a2f00-0000-7000-8000-000000000001")
    assert lessons.lesson_id(class_id, FIRST) == uuid5(class_id, "2026-03-03")


def test_a_lesson_is_stored_once(head, klass):
    seen = lessons.view(klass, FIRST)
    assert not Lesson.objects.exists()
    assert lessons.ensure(head, klass=klass, on=FIRST) == seen
    assert lessons.ensure(head, klass=klass, on=FIRST) == seen
    row = Lesson.objects.get()
    assert (row.id, row.group_class_id, row.on, row.minutes, row.state) == (
        lessons.lesson_id(klass.id, FIRST),
        klass.id,
        FIRST,
        45,
        "planned",
    )
    assert row.starts_at == seen.starts_at == utc(FIRST, 18)


def test_a_stored_lesson_keeps_what_became_of_it(head, klass):
    lessons.ensure(head, klass=klass, on=FIRST)
    Lesson.objects.update(state="cancelled", minutes=30)
    kept = lessons.ensure(head, klass=klass, on=FIRST)
    assert (kept.state, kept.minutes) == ("cancelled", 30)


def test_nobody_stores_a_lesson_of_a_studio_out_of_sight(klass, stranger):
    for by in (stranger, scope(MemberFactory(school=SchoolFactory()))):
        with pytest.raises(Unknown, match="no such class"):
            lessons.ensure(by, klass=klass, on=FIRST)
    assert not Lesson.objects.exists()


def test_past_lessons_newest_first(head, stranger, klass):
    for on in (SECOND, FIRST, THIRD, date(2026, 3, 24)):
        lessons.ensure(head, klass=klass, on=on)
    Lesson.objects.filter(on=SECOND).update(state="cancelled")
    asked = {"class_id": klass.id, "before": date(2026, 3, 24)}
    assert [lesson.on for lesson in lessons.past(head, most=6, **asked)] == [THIRD, FIRST]
    assert lessons.past(head, most=1, **asked) == (lessons.view(klass, THIRD),)
    assert lessons.past(stranger, most=6, **asked) == ()


# -- days without lessons ------------------------------------------------------------------------


def term(school, first, last):
    Term.objects.create(school=school, name=f"from {first}", first_on=first, last_on=last)


def closure(school, name, first, last, studio=None):
    Closure.objects.create(school=school, name=name, first_on=first, last_on=last, studio=studio)


def test_a_school_without_terms_is_never_outside_them(head, klass):
    term(SchoolFactory(), FIRST, SECOND)
    assert lessons.closed(head, klass=klass, on=THIRD) is None


def test_terms_and_closures_with_their_first_and_last_days(head, klass, row):
    term(row.school, FIRST, SECOND)
    term(row.school, THIRD, date(2026, 6, 30))
    closure(row.school, "storm", date(2026, 3, 5), date(2026, 3, 6), row.studio)
    closure(row.school, "elsewhere", FIRST, SECOND, StudioFactory(school=row.school))
    closure(row.school, "holidays", date(2026, 6, 29), date(2026, 7, 10))
    closure(SchoolFactory(), "another school's", FIRST, THIRD)
    days = {
        date(2026, 3, 2): "outside the terms",
        FIRST: None,
        date(2026, 3, 5): "storm",
        date(2026, 3, 6): "storm",
        date(2026, 3, 7): None,
        SECOND: None,
        date(2026, 3, 11): "outside the terms",
        THIRD: None,
        date(2026, 6, 29): "holidays",
        date(2026, 7, 10): "holidays",
        date(2026, 7, 11): "outside the terms",
    }

    def closed(on):
        return lessons.closed(head, klass=replace(klass, weekday=on.weekday()), on=on)

    assert {on: closed(on) for on in days} == days


def test_another_weekday_has_no_lesson_until_one_is_stored(head, klass):
    wednesday = date(2026, 3, 11)
    assert lessons.closed(head, klass=klass, on=wednesday) == "the class meets on Tuesdays"
    lessons.ensure(head, klass=klass, on=wednesday)
    assert lessons.closed(head, klass=klass, on=wednesday) is None


def test_what_is_stored_meets_unless_it_was_cancelled(head, klass, row):
    closure(row.school, "storm", FIRST, THIRD)
    lessons.ensure(head, klass=klass, on=FIRST)
    lessons.ensure(head, klass=klass, on=SECOND)
    Lesson.objects.filter(on=SECOND).update(state="cancelled")
    days = {on: lessons.closed(head, klass=klass, on=on) for on in (FIRST, SECOND, THIRD)}
    assert days == {FIRST: None, SECOND: "it was cancelled", THIRD: "storm"}


# -- lists ---------------------------------------------------------------------------------------


def test_planned_and_stored_lessons_of_some_weeks_in_order_of_time(head, klass, row):
    early = ClassFactory(studio=row.studio, name="Saturday small ones", starts_at=time(10))
    closure(row.school, "storm", SECOND, SECOND)
    lessons.ensure(head, klass=klass, on=date(2026, 3, 5))  # a Thursday
    found = lessons.between(head, first=FIRST, last=SECOND)
    assert [(lesson.class_id, lesson.on, lesson.closed) for lesson in found] == [
        (early.id, FIRST, None),
        (klass.id, FIRST, None),
        (klass.id, date(2026, 3, 5), None),
        (early.id, SECOND, "storm"),
        (klass.id, SECOND, "storm"),
    ]
    assert not Lesson.objects.exclude(on=date(2026, 3, 5)).exists()
    [one] = lessons.between(head, first=FIRST, last=FIRST, class_id=klass.id)
    assert one == lessons.named(lessons.view(klass, FIRST), klass)


def test_a_list_holds_only_what_can_be_seen(head, stranger, klass):
    lessons.ensure(head, klass=klass, on=FIRST)
    for by in (stranger, scope(MemberFactory(school=SchoolFactory()))):
        assert lessons.between(by, first=FIRST, last=THIRD) == ()
        assert lessons.between(by, first=FIRST, last=THIRD, class_id=klass.id) == ()
    assert lessons.between(head, first=SECOND, last=FIRST) == ()


def test_a_list_of_more_than_a_year_is_refused(head, klass):
    year = lessons.between(head, first=date(2026, 1, 1), last=date(2027, 1, 1))
    assert [year[0].on, year[-1].on, len(year)] == [date(2026, 1, 6), date(2026, 12, 29), 52]
    with pytest.raises(BadDocument, match="last: at most 366 days at once"):
        lessons.between(head, first=date(2026, 1, 1), last=date(2027, 1, 2))


# -- one lesson by its id ------------------------------------------------------------------------


def test_a_lesson_is_found_as_planned_until_it_is_stored(head, klass, row):
    closure(row.school, "storm", FIRST, FIRST)
    id_ = lessons.lesson_id(klass.id, FIRST)
    shut = replace(lessons.view(klass, FIRST), closed="storm")
    assert lessons.find(head, lesson_id=id_, around=THIRD) == lessons.named(shut, klass)
    assert not Lesson.objects.exists()
    lessons.ensure(head, klass=klass, on=FIRST)
    Lesson.objects.update(mats=3, surface="sprung floor", note="bring the long mat")
    found = lessons.find(head, lesson_id=id_, around=date(2031, 1, 1))
    assert (found.mats, found.surface, found.note) == (3, "sprung floor", "bring the long mat")
    assert (found.on, found.closed, found.spotters) == (FIRST, None, ())


@pytest.mark.parametrize("around", [FIRST - timedelta(days=366), FIRST + timedelta(days=366)])
def test_a_lesson_not_stored_is_found_within_a_year(head, klass, around):
    id_ = lessons.lesson_id(klass.id, FIRST)
    assert lessons.find(head, lesson_id=id_, around=around).on == FIRST
    for farther in (date(2024, 1, 1), date(2030, 1, 1), date.min, date.max):
        with pytest.raises(Unknown, match="no such lesson"):
            lessons.find(head, lesson_id=id_, around=farther)


def test_a_day_on_which_the_class_does_not_meet_has_no_lesson_until_it_is_stored(head, klass):
    thursday = date(2026, 3, 5)
    id_ = lessons.lesson_id(klass.id, thursday)
    with pytest.raises(Unknown):
        lessons.find(head, lesson_id=id_, around=thursday)
    stored = lessons.ensure(head, klass=klass, on=thursday)
    assert lessons.find(head, lesson_id=id_, around=thursday) == lessons.named(stored, klass)


def test_nobody_finds_a_lesson_out_of_sight(head, stranger, klass):
    lessons.ensure(head, klass=klass, on=FIRST)
    for by in (stranger, scope(MemberFactory(school=SchoolFactory()))):
        for on in (FIRST, SECOND):
            with pytest.raises(Unknown, match="no such lesson"):
                lessons.find(by, lesson_id=lessons.lesson_id(klass.id, on), around=FIRST)
