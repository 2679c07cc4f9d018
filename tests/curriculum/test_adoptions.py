"""Adoptions as they are asked for: all of a studio, and which edition on a day."""

from datetime import UTC, date, datetime, timedelta

import pytest

from accounts.scope import Conflict, Unknown
from curriculum import adoptions, editions
from curriculum.adoptions import AdoptionView
from tests import factories
from tests.curriculum.build import LATER, SPRING, SUMMER, publish, staff, studio
from tests.factories import AT

DAY = timedelta(days=1)


@pytest.fixture
def taken(head):
    """Two editions, taken into use in another order than their dates."""
    publish(head)
    publish(head, LATER | {"name": "summer"})
    for number, from_date in ((2, SUMMER), (1, SPRING)):
        adoptions.adopt(head, studio_id=studio(head), number=number, from_date=from_date, at=AT)
    return studio(head)


def test_what_a_studio_has_taken_into_use_by_date(head, taken):
    found = (
        AdoptionView(studio_id=taken, number=1, name="spring", from_date=SPRING),
        AdoptionView(studio_id=taken, number=2, name="summer", from_date=SUMMER),
    )
    for scope in (head, staff(head, "teacher"), staff(head, "assistant")):
        assert adoptions.adoptions(scope, studio_id=taken) == found


def test_the_edition_of_a_day_is_the_last_that_began(head, taken):
    def number(on):
        return adoptions.adopted(head, studio_id=taken, at=AT, on=on).number

    assert [number(on) for on in (SPRING, SUMMER - DAY, SUMMER, date(2100, 1, 1))] == [1, 1, 2, 2]
    with pytest.raises(Unknown) as refused:
        number(SPRING - DAY)
    assert str(refused.value) == "no curriculum was in use on 2026-02-28"


@pytest.mark.parametrize(
    ("zone", "number"), [("Pacific/Auckland", 2), ("Europe/Lisbon", 1), ("America/Lima", 1)]
)
def test_today_is_the_studio_s_own(head, taken, zone, number):
    factories.Studio.objects.filter(id=taken).update(zone=zone)
    at = datetime(2026, 5, 31, 20, 0, tzinfo=UTC)  # in Auckland it is the first of June
    assert adoptions.adopted(head, studio_id=taken, at=at).number == number
    [here] = adoptions.in_use_now(head, at=at)
    assert here.number == number


def test_where_editions_are_in_use_is_told_by_the_name_of_the_studio(head, taken):
    for name in ("Öland Pier", "Aldbourne Mill", "Zell Gate"):
        factories.StudioFactory(school_id=head.school_id, name=name)
    head = factories.scope(factories.Member.objects.get(id=head.member_id))
    by_name = editions.studios(head)
    for name in ("Öland Pier", "Aldbourne Mill"):
        adoptions.adopt(head, studio_id=by_name[name], number=2, from_date=SPRING, at=AT)
    second, first = editions.editions(head, at=AT)
    assert [used.studio_id for used in second.in_use] == [
        by_name["Aldbourne Mill"],
        by_name["Öland Pier"],
    ]
    assert [(used.studio_id, used.from_date) for used in first.in_use] == [(taken, SPRING)]


def test_a_studio_that_cannot_be_seen(head, taken):
    elsewhere = factories.scope(factories.MemberFactory())
    away = factories.MemberFactory(
        school_id=head.school_id,
        role="teacher",
        studios=[factories.StudioFactory(school_id=head.school_id)],
    )
    for scope in (elsewhere, factories.scope(away)):
        for asked in (
            lambda scope: adoptions.adoptions(scope, studio_id=taken),
            lambda scope: adoptions.adopted(scope, studio_id=taken, at=AT),
        ):
            with pytest.raises(Unknown) as refused:
                asked(scope)
            assert str(refused.value) == "no such studio"
        assert adoptions.in_use_now(scope, at=AT) == ()


@pytest.mark.parametrize(
    ("zone", "begun"),
    [("Pacific/Auckland", True), ("Europe/Lisbon", False), ("America/Lima", False)],
)
def test_it_is_taken_back_until_the_studio_s_own_day_begins(head, taken, zone, begun):
    factories.Studio.objects.filter(id=taken).update(zone=zone)
    at = datetime(2026, 5, 31, 20, 0, tzinfo=UTC)  # in Auckland it is the first of June

    def take_back():
        adoptions.take_back(head, studio_id=taken, from_date=SUMMER, at=at)

    if begun:
        with pytest.raises(Conflict):
            take_back()
    else:
        take_back()
        with pytest.raises(Unknown):
            take_back()
    numbers = [found.number for found in adoptions.adoptions(head, studio_id=taken)]
    assert numbers == ([1, 2] if begun else [1])
