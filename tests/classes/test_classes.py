from datetime import date, time

import pytest

from accounts.scope import Unknown
from classes.classes import Enrolled, class_named, classes, enrolled, find
from classes.models import Enrolment
from tests.factories import (
    JOINED,
    TODAY,
    ClassFactory,
    MemberFactory,
    SchoolFactory,
    StudentFactory,
    StudioFactory,
    scope,
)


@pytest.fixture
def studio(db):
    return StudioFactory(name="Sellane Harbour", zone="Atlantic/Azores", units="imperial", mats=3)


@pytest.fixture
def klass(studio):
    return ClassFactory(studio=studio, name="Tuesday beginners")


@pytest.fixture
def head(studio, klass):
    return scope(MemberFactory(school=studio.school))


@pytest.fixture
def stranger(studio):
    """A teacher of another studio of the school."""
    other = StudioFactory(school=studio.school)
    return scope(MemberFactory(school=studio.school, role="teacher", studios=[other]))


def test_a_class_by_its_name(head, klass, studio):
    view = class_named(head, name=" TUESDAY  beginners")
    assert (view.id, view.name, view.weekday, view.starts_at, view.minutes) == (
        klass.id,
        "Tuesday beginners",
        1,
        time(17, 0),
        45,
    )
    assert (view.studio_id, view.studio_name, view.zone, view.mats, view.units) == (
        studio.id,
        "Sellane Harbour",
        "Atlantic/Azores",
        3,
        "imperial",
    )


def test_a_class_that_is_not_there_or_not_in_sight(head, stranger):
    with pytest.raises(Unknown) as caught:
        class_named(head, name="Tuesday beginner")
    assert str(caught.value) == (
        "no class is called “Tuesday beginner”; close to it: Tuesday beginners"
    )
    for by in (stranger, scope(MemberFactory(school=SchoolFactory()))):
        with pytest.raises(Unknown) as caught:
            class_named(by, name="Tuesday beginners")
        assert str(caught.value) == "no class is called “Tuesday beginners”"


def test_classes_in_sight_by_name(head, stranger, studio):
    ClassFactory(studio=studio, name="école")
    ClassFactory(studio=studio, name="Friday mixed")
    ClassFactory(name="Another school's")
    assert [view.name for view in classes(head)] == ["école", "Friday mixed", "Tuesday beginners"]
    assert classes(stranger) == ()


def test_who_has_a_place_on_a_date(head, stranger, klass):
    def child(name, first, last=None, *, trial=False, **facts):
        student = StudentFactory(school=klass.school, identity__given_name=name, **facts)
        Enrolment.objects.create(
            school=klass.school,
            group_class=klass,
            student=student,
            from_date=first,
            until=last,
            trial=trial,
        )
        return student.id

    tora = child("Þóra", JOINED)
    elodie = child("Élodie", TODAY, TODAY, trial=True)
    child("Bao", date(2026, 3, 12))
    child("Hana", JOINED, date(2026, 3, 10))
    child("Rangi", JOINED, left_on=date(2026, 3, 10))
    farid = child("Farid", JOINED, left_on=TODAY)
    StudentFactory(school=klass.school, classes=[ClassFactory(studio=klass.studio)])
    assert enrolled(head, class_id=klass.id, on=TODAY) == (
        Enrolled(elodie, TODAY, TODAY, True),
        Enrolled(farid, JOINED, None, False),
        Enrolled(tora, JOINED, None, False),
    )
    assert enrolled(stranger, class_id=klass.id, on=TODAY) == ()
    assert enrolled(head, class_id=klass.id, on=date(2025, 9, 1)) == ()


def test_a_class_by_its_id(klass, head, stranger):
    assert find(head, class_id=klass.id) == class_named(head, name="Tuesday beginners")
    for by in (stranger, scope(MemberFactory(school=SchoolFactory()))):
        with pytest.raises(Unknown, match="no such class"):
            find(by, class_id=klass.id)
