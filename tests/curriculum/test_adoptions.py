"""Adoptions as they are asked for: all of a studio, and which edition on a day."""

from datetime import UTC, date, datetime, timedelta

import pytest

from accounts.faults import BadDocument
from accounts.models import Event
from accounts.scope import Conflict, NotAllowed, Unknown
from curriculum import adoptions, editions, withdrawals
from curriculum.adoptions import AdoptionView
from tests import factories
from tests.curriculum.build import LATER, SPRING, SUMMER, publish, staff, studio
from tests.factories import AT, TODAY, every_row

DAY = timedelta(days=1)
LATE = date(2026, 9, 1)


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


def test_without_a_date_the_first_holds_from_the_start_and_the_next_from_today(head):
    publish(head)
    publish(head, LATER)
    at = studio(head)
    adoptions.adopt(head, studio_id=at, number=1, from_date=TODAY + DAY, at=AT)
    for number in (2, 1):
        adoptions.adopt(head, studio_id=at, number=number, at=AT)
    found = [(one.number, one.from_date) for one in adoptions.adoptions(head, studio_id=at)]
    assert found == [(2, adoptions.ALWAYS), (1, TODAY), (1, TODAY + DAY)]


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


# -- held back -------------------------------------------------------------------------------


@pytest.fixture
def second(head):
    """Edition 1 in use, and edition 2 only published; the studio."""
    publish(head)
    editions.adopt_first(head, at=AT)
    publish(head, LATER | {"name": "summer"})
    return studio(head)


def hold_back(scope, studio_id, reason, number=2):
    adoptions.hold_back(scope, studio_id=studio_id, number=number, reason=reason, at=AT)


def held(scope):
    return [(one.number, one.reason, one.from_date, one.by) for one in adoptions.held_back(scope)]


def test_an_edition_is_held_back_until_it_is_taken_on(head, second):
    hold_back(head, second, "no mats yet")
    hold_back(head, second, "no mats before June")
    found = [(2, "no mats before June", TODAY, "Marit O.")]
    assert held(head) == held(staff(head, "assistant")) == found
    [newest, first] = editions.editions(head, at=AT)
    assert (newest.held_back, first.held_back) == (adoptions.held_back(head), ())
    assert adoptions.adopt(head, studio_id=second, number=2, at=AT)
    assert adoptions.adopted(head, studio_id=second, at=AT).from_date == TODAY
    assert held(head) == []
    with pytest.raises(Conflict, match="it is taken on there: take that back first"):
        hold_back(head, second, "too late")
    # What was in use once, and is no more, can be held back from being taken on again.
    hold_back(head, second, "the old spot", number=1)
    assert [what for (what,) in Event.objects.values_list("what").order_by("id")][-4:] == [
        *["hold_back_edition"] * 2,
        "adopt_edition",
        "hold_back_edition",
    ]


def test_what_is_to_come_is_no_more_held_back_than_what_is_in_use(head, second):
    adoptions.adopt(head, studio_id=second, number=2, from_date=SUMMER, at=AT)
    for number in (1, 2):
        with pytest.raises(Conflict):
            hold_back(head, second, "x", number)


def test_it_is_held_back_no_more_by_a_word(head, second):
    hold_back(head, second, "no mats yet")
    adoptions.hold_no_more(head, studio_id=second, number=2, at=AT)
    assert held(head) == []
    with pytest.raises(Unknown):
        adoptions.hold_no_more(head, studio_id=second, number=2, at=AT)
    hold_back(head, second, "after all")
    assert [reason for _, reason, *_ in held(head)] == ["after all"]


def take_back(scope, studio_id, from_date):
    adoptions.take_back(scope, studio_id=studio_id, from_date=from_date, at=AT, untried=True)


def adopt(scope, studio_id, *taken):
    for number, from_date in taken:
        adoptions.adopt(scope, studio_id=studio_id, number=number, from_date=from_date, at=AT)


def rows():
    """What stands, without who did what when."""
    found = every_row()
    del found["accounts.Event"]
    return found


@pytest.mark.parametrize("from_date", [TODAY, SUMMER])
def test_what_was_held_back_is_so_again_once_the_edition_is_taken_back(head, second, from_date):
    hold_back(head, second, "no mats yet")
    before = rows()
    for _ in range(2):
        adopt(head, second, (2, from_date))
        assert held(head) == []
        take_back(head, second, from_date)
        assert rows() == before


@pytest.mark.parametrize("order", [(SUMMER, LATE), (LATE, SUMMER)])
def test_it_stays_ended_while_the_edition_is_taken_on_from_another_day(head, second, order):
    hold_back(head, second, "no mats yet")
    adopt(head, second, (2, SUMMER), (2, LATE))
    first, last = order
    take_back(head, second, first)
    assert held(head) == []
    take_back(head, second, last)
    assert [reason for _, reason, *_ in held(head)] == ["no mats yet"]


def test_taken_on_twice_on_one_day_it_is_taken_back_twice(head, second):
    hold_back(head, second, "no mats yet")
    adopt(head, second, (2, SUMMER), (1, SUMMER), (2, SUMMER))
    found = []
    for _ in range(3):
        take_back(head, second, SUMMER)
        found.append([reason for _, reason, *_ in held(head)])
    assert found == [[], [], ["no mats yet"]]


def test_what_was_said_in_between_stands(head, second):
    hold_back(head, second, "no mats yet")
    adopt(head, second, (2, SUMMER), (1, SUMMER))
    hold_back(head, second, "nor in June")
    before = every_row()
    with pytest.raises(Conflict) as refused:
        take_back(head, second, SUMMER)  # edition 2 would be in use from that day
    assert str(refused.value) == (
        "edition 2 would be in use again, and is held back: end that first"
    )
    assert every_row() == before
    adoptions.hold_no_more(head, studio_id=second, number=2, at=AT)
    for _ in range(2):
        take_back(head, second, SUMMER)
    assert held(head) == []


def test_what_ended_by_a_word_stays_so(head, second):
    hold_back(head, second, "no mats yet")
    adoptions.hold_no_more(head, studio_id=second, number=2, at=AT)
    adopt(head, second, (2, SUMMER))
    take_back(head, second, SUMMER)
    assert held(head) == []


# -- withdrawn -------------------------------------------------------------------------------


def withdraw(scope, number=2, reason="a slip"):
    withdrawals.withdraw(scope, number=number, reason=reason, at=AT)


def test_a_withdrawn_edition_keeps_its_number_and_is_taken_on_no_more(head, second):
    hold_back(head, second, "no mats yet")
    said = editions.document(head, number=2)
    withdraw(head)
    before = every_row()
    withdraw(head, reason="said twice")
    assert every_row() == before
    [newest, first] = editions.editions(head, at=AT)
    assert newest.withdrawn == editions.Withdrawn(AT, "a slip")
    assert (first.withdrawn, newest.held_back) == (None, ())
    assert editions.document(head, number=2) == said
    for asked in (
        lambda: adoptions.adopt(head, studio_id=second, number=2, at=AT),
        lambda: hold_back(head, second, "x"),
    ):
        with pytest.raises(BadDocument, match="/number: it was withdrawn"):
            asked()
    # The newest that stands is edition 1: what a new studio gets, and what the next differs from.
    factories.StudioFactory(school_id=head.school_id, name="Aldbourne Mill")
    head = factories.scope(factories.Member.objects.get(id=head.member_id))
    editions.adopt_first(head, at=AT)
    assert {one.number for one in adoptions.in_use_now(head, at=AT)} == {1}
    again = publish(head, LATER | {"name": "summer"})
    assert (again.number, again.changed) == (3, ("table",))


def test_what_a_studio_took_on_is_not_withdrawn(head, second):
    for number, from_date in ((2, SUMMER), (1, SUMMER)):
        adoptions.adopt(head, studio_id=second, number=number, from_date=from_date, at=AT)
    # It gave way on that day, and comes back when the other is taken back.
    for number in (1, 2):
        with pytest.raises(Conflict) as refused:
            withdraw(head, number)
        assert str(refused.value) == "it is taken on at Sellane Harbour: take that back first"
    for _ in range(2):
        adoptions.take_back(head, studio_id=second, from_date=SUMMER, at=AT)
    withdraw(head)


def test_editions_are_a_head_teacher_s_to_hold_back_and_withdraw(head, second):
    hold_back(head, second, "no mats yet")
    teacher, elsewhere = staff(head, "teacher"), factories.scope(factories.MemberFactory())
    before = every_row()
    for asked in (
        lambda scope: hold_back(scope, second, "x"),
        lambda scope: adoptions.hold_no_more(scope, studio_id=second, number=2, at=AT),
        lambda scope: withdraw(scope),
    ):
        for scope, refusal in ((teacher, NotAllowed), (elsewhere, Unknown)):
            with pytest.raises(refusal):
                asked(scope)
    assert held(elsewhere) == []
    assert every_row() == before
