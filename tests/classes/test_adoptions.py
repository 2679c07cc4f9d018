"""An edition that is in use is taken back as long as no try names it there."""

from copy import deepcopy
from datetime import date, timedelta

import pytest

from accounts.scope import Conflict, NotAllowed
from classes import adoptions as taking_back
from classes.models import Class
from curriculum import adoptions, editions
from curriculum.models import Edition
from tests import factories
from tests.classes import fact_school
from tests.classes.fact_school import AT, CURRICULUM, TODAY
from tests.factories import every_row
from tests.once import once

TAKEN_ON, MET = date(2026, 3, 2), date(2026, 3, 3)
DAY = timedelta(days=1)


def build():
    """Two weeks ago nothing but edition 1; since `TAKEN_ON` edition 2."""
    school = fact_school.build()
    document = deepcopy(CURRICULUM)
    document["skills"]["table"]["criterion"] = "40 s"
    number = fact_school.publish(school.head, document)
    adopt(school, number, TAKEN_ON)
    return school


built, school = once(build)


def adopt(school, number, from_date):
    editions.adopt(
        school.head, studio_id=school.studio_id, number=number, from_date=from_date, at=AT
    )


def edition(number):
    return Edition.objects.get(number=number).id


def take_back(school, scope=None, from_date=TAKEN_ON):
    taking_back.take_back(
        scope or school.head, studio_id=school.studio_id, from_date=from_date, at=AT
    )


def in_use(school, on=TODAY):
    return school.edition(on).number


def test_what_no_try_names_is_taken_back(school):
    # On the day before, of the other edition, and where nobody knows which.
    school.tried("Amara", TAKEN_ON - DAY, edition_id=edition(2))
    school.tried("Amara", MET, edition_id=edition(1))
    school.tried("Amara", MET)
    take_back(school)
    assert in_use(school) == 1


@pytest.mark.parametrize("lesson", [True, False])
def test_a_try_that_names_it_keeps_it(school, lesson):
    where = {} if lesson else {"lesson": None}
    school.tried("Amara", MET, edition_id=edition(2), **where)
    before = every_row()
    with pytest.raises(Conflict) as refused:
        take_back(school)
    assert str(refused.value) == (
        "tries since 2026-03-03 name it: take on edition 1 instead, from today or a day to come"
    )
    assert every_row() == before
    # What takes its place from a later day ends what is asked about.
    adopt(school, 1, MET)
    take_back(school)
    assert in_use(school, MET) == 1


def test_tries_at_another_studio_are_nothing_to_this_one(school):
    other = factories.ClassFactory(studio=factories.StudioFactory(school_id=school.id))
    Class.objects.filter(id=school.klass.id).update(studio_id=other.studio_id)
    school.tried("Amara", MET, edition_id=edition(2))
    school.tried("Amara", MET, edition_id=edition(2), lesson=None)
    take_back(school)
    assert in_use(school) == 1


def test_the_same_edition_once_more_is_taken_back_whatever_was_tried(school):
    adopt(school, 2, MET)
    school.tried("Amara", MET, edition_id=edition(2))
    take_back(school, from_date=MET)
    assert in_use(school) == 2


def test_each_that_gave_way_on_the_same_day_comes_back(school):
    third = fact_school.publish(school.head, CURRICULUM | {"name": "third"})
    adopt(school, third, TAKEN_ON)
    adopt(school, 1, TAKEN_ON)
    found = []
    for _ in range(3):
        take_back(school)
        found.append(in_use(school, TAKEN_ON))
    assert found == [third, 2, 1]
    assert len(adoptions.adoptions(school.head, studio_id=school.studio_id)) == 1


def test_a_studio_is_never_left_without_any(school):
    take_back(school)
    with pytest.raises(Conflict) as refused:
        take_back(school, from_date=editions.ALWAYS)
    assert str(refused.value) == ("nothing would be in use then: take on another edition instead")
    with pytest.raises(NotAllowed):
        take_back(school, school.teacher, editions.ALWAYS)
