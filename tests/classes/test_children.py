"""What is known of a child today is what is known where she dances."""

from dataclasses import replace
from datetime import UTC, date, datetime

import pytest

from accounts.models import School, Studio
from classes import children
from classes.models import Enrolment, Restriction, Student
from tests.classes import fact_school
from tests.factories import StudioFactory
from tests.once import once

TUESDAY = date(2026, 3, 10)


built, school = once(fact_school.build)


@pytest.fixture
def head(school):
    """The class meets in the west; where the other studio is the next day began long ago."""
    Studio.objects.filter(id=school.studio_id).update(zone="America/Los_Angeles")
    east = StudioFactory(school=School.objects.get(id=school.id), zone="Pacific/Auckland")
    return replace(school.head, studio_ids=school.head.studio_ids | {east.id})


EVENING = {"at": datetime(2026, 3, 11, 1, tzinfo=UTC)}  # of the Tuesday in the west


def names(found):
    return {one.name for one in found}


def test_a_restriction_is_told_until_its_last_day_is_over(school, head):
    hana = school.children["Hana"]
    Restriction.objects.create(
        school_id=school.id,
        student_id=hana,
        blocks="wrists",
        from_date=date(2026, 3, 2),
        until=TUESDAY,
    )
    [found] = children.find(head, student_id=hana, **EVENING).blocked
    assert (found.blocks, found.until) == ("wrists", TUESDAY)


def test_one_who_leaves_is_listed_until_her_last_day_is_over(school, head):
    Student.objects.filter(id=school.children["Hana"]).update(left_on=TUESDAY)
    assert "Hana" in names(children.listed(head, **EVENING))
    assert "Hana" not in names(children.listed(head, at=datetime(2026, 3, 11, 8, tzinfo=UTC)))


def test_a_class_is_listed_as_it_stands_where_it_meets(school, head):
    Enrolment.objects.filter(student_id=school.children["Hana"]).update(until=TUESDAY)
    Enrolment.objects.filter(student_id=school.children["Bao"]).update(from_date=date(2026, 3, 11))
    found = names(children.listed(head, class_id=school.klass.id, **EVENING))
    assert ("Hana" in found, "Bao" in found) == (True, False)
