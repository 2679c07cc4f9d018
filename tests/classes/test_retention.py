"""What is kept how long, with a clock that moves over each boundary."""

from datetime import date, datetime, timedelta
from uuid import uuid4

import pytest

from accounts.models import Event
from accounts.scope import scope_of_school
from classes import retention
from classes.models import HeldRow, Measurement, Restriction
from tests.classes.fact_school import AT, TODAY, build
from tests.once import once

NOTHING = {"masses": 0, "heights": 0, "restrictions": 0, "held_rows": 0}


built, school = once(build)


@pytest.fixture
def job(school):
    return scope_of_school(school_id=school.id)


def measured(school, name, kind, on, value=120.0):
    Measurement.objects.create(
        school_id=school.id, student_id=school.children[name], kind=kind, on=on, value=value
    )


def kept(school, name, kind):
    rows = Measurement.objects.filter(student_id=school.children[name], kind=kind)
    return sorted(rows.values_list("on", flat=True))


def later(**time) -> datetime:
    return AT + timedelta(**time)


def test_nothing_old_is_nothing_deleted_and_no_event(school, job):
    before = Event.objects.count()
    assert retention.retain(job, now=AT) == NOTHING
    assert Event.objects.count() == before


def test_a_mass_stays_for_180_days(school, job):
    measured(school, "Amara", "mass_kg", TODAY, 30.0)
    assert retention.retain(job, now=later(days=180)) == NOTHING
    assert retention.retain(job, now=later(days=181)) == NOTHING | {"masses": 1}
    assert kept(school, "Amara", "mass_kg") == []


def test_of_heights_the_latest_two_stay(school, job):
    days = [TODAY - timedelta(days=n) for n in (300, 200, 100, 0)]
    for on in days:
        measured(school, "Amara", "height_cm", on)
    measured(school, "Bao", "height_cm", days[0])
    assert retention.retain(job, now=AT) == NOTHING | {"heights": 2}
    assert kept(school, "Amara", "height_cm") == days[2:]
    assert kept(school, "Bao", "height_cm") == days[:1]


def test_a_height_stays_for_24_months_at_most(school, job):
    measured(school, "Amara", "height_cm", TODAY)
    assert retention.retain(job, now=later(days=730)) == NOTHING
    assert retention.retain(job, now=later(days=731)) == NOTHING | {"heights": 1}
    assert kept(school, "Amara", "height_cm") == []


def test_a_mass_is_no_height_and_counts_for_none(school, job):
    for n in (0, 1, 2):
        measured(school, "Amara", "mass_kg", TODAY - timedelta(days=n), 30.0)
    measured(school, "Amara", "height_cm", TODAY - timedelta(days=9))
    assert retention.retain(job, now=AT) == NOTHING


def test_a_restriction_stays_for_90_days_after_its_end(school, job):
    Restriction.objects.create(
        school_id=school.id,
        student_id=school.children["Hana"],
        blocks="wrists",
        from_date=date(2026, 1, 5),
        until=TODAY,
    )
    assert retention.retain(job, now=later(days=90)) == NOTHING
    assert retention.retain(job, now=later(days=91)) == NOTHING | {"restrictions": 1}
    assert not Restriction.objects.exists()


def test_a_held_row_stays_for_90_days(school, job):
    HeldRow.objects.create(
        school_id=school.id,
        row_id=uuid4(),
        payload={},
        reason="late",
        member_id=school.teacher.member_id,
        sent_by_id=school.teacher.member_id,
        received_at=AT,
    )
    assert retention.retain(job, now=later(days=90)) == NOTHING
    assert retention.retain(job, now=later(days=90, seconds=1)) == NOTHING | {"held_rows": 1}
    assert not HeldRow.objects.exists()


def test_the_event_holds_counts_and_no_member(school, job):
    measured(school, "Amara", "mass_kg", TODAY, 31.5)
    now = later(days=181)
    retention.retain(job, now=now)
    event = Event.objects.get(what="retain_children")
    assert (event.member_id, event.about, event.at) == (None, None, now)
    assert event.details == NOTHING | {"masses": 1}


def test_twice_is_once(school, job):
    measured(school, "Amara", "mass_kg", TODAY, 31.5)
    for _ in range(2):
        retention.retain(job, now=later(days=181))
    assert Event.objects.filter(what="retain_children").count() == 1


def test_another_school_keeps_what_is_its_own(school, job):
    other = build("Another School")
    measured(other, "Amara", "mass_kg", TODAY, 30.0)
    for n in range(3):
        measured(other, "Amara", "height_cm", TODAY - timedelta(days=n))
    assert retention.retain(job, now=later(days=400)) == NOTHING
    assert len(kept(other, "Amara", "height_cm")) == 3
