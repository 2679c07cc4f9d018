from dataclasses import replace
from datetime import timedelta

import pytest

from accounts.models import Event
from accounts.scope import NotAllowed
from classes import lessons
from engine.grouping.problem import Group as EngineGroup
from planning import groups
from planning.models import Group, Grouping, Seat
from planning.proposals import propose
from planning.tonight import make_sheet
from tests.factories import AT
from tests.planning import school
from tests.planning.build import (
    LEANS,
    LIFTED,
    ON,
    SIX,
    pupils,
)


@pytest.fixture
def rows(db):
    return school.build(*pupils(*SIX, **LIFTED))


def proposals(evening, *keys):
    return tuple(propose(evening, evening.edition.cards[key]) for key in keys)


def keep(rows, *keys, scope=None, evening=None):
    evening = evening or rows.load(scope)
    found = proposals(evening, *keys)
    groups.keep(scope or rows.teacher, evening, proposals=found, at=AT)
    return found


def seats(found):
    """Role and names of the groups of a proposal."""
    return [
        {role: tuple(one.name for one in held) for role, held in group.seats.items()}
        for group in found.groups
    ]


def standing(rows, key, **asked):
    """The groups kept, with names for ranks."""
    evening = rows.load(**asked)
    names = {one.rank: one.name for one in evening.here}
    return [
        {role: tuple(names[rank] for rank in ranks) for role, ranks in group.roles.items()}
        for group in groups.standing(rows.teacher, evening)(key)
    ]


def test_what_is_kept_comes_back(rows):
    lean, seat, line = keep(rows, "lean", "seat", "line")
    assert len(lean.groups) == 3
    assert len(seat.groups) == 3
    assert standing(rows, "lean") == seats(lean)
    assert standing(rows, "seat") == seats(seat)
    assert standing(rows, "line") == seats(line)
    assert standing(rows, "chest_rest") == []


def test_what_is_kept_is_told_once_and_in_one_event(rows):
    keep(rows, "lean", "seat")
    grouping = Grouping.objects.get(skill__key="seat")
    assert (grouping.version, grouping.made_at) == (1, AT)
    assert grouping.member_id == rows.teacher.member_id
    assert grouping.lesson_id == lessons.lesson_id(rows.klass.id, ON)
    assert [(one.position, one.adults) for one in Group.objects.filter(grouping=grouping)] == [
        (1, 1),
        (2, 1),
        (3, 1),
    ]
    event = Event.objects.get(what="keep_groups")
    assert (event.about, event.details, event.at) == (grouping.lesson_id, {"skills": 2}, AT)


def test_kept_again_they_are_replaced(rows):
    keep(rows, "lean")
    fewer = rows.load(absent=("Amara", "Bao"))
    [found] = keep(rows, "lean", evening=fewer)
    assert Grouping.objects.get().version == 2
    assert Group.objects.count() == 2
    assert Seat.objects.count() == 4
    assert standing(rows, "lean") == seats(found)


def test_what_was_kept_for_another_skill_of_the_lesson_goes(rows):
    keep(rows, "lean", "seat")
    [lean, line] = keep(rows, "lean", "line")
    assert standing(rows, "lean") == seats(lean)
    assert standing(rows, "line") == seats(line)
    assert standing(rows, "seat") == []
    assert sorted(Grouping.objects.values_list("skill__key", "version")) == [
        ("lean", 2),
        ("line", 1),
        ("seat", 2),  # without groups: whoever still holds version 1 is told so
    ]


def test_what_was_kept_for_another_lesson_stays(rows):
    next_week = rows.load(on=ON + timedelta(weeks=1))
    [lean] = keep(rows, "lean", evening=next_week)
    keep(rows, "line")
    assert standing(rows, "lean", on=ON + timedelta(weeks=1)) == seats(lean)


def test_they_are_those_of_their_own_lesson(rows):
    keep(rows, "lean")
    assert standing(rows, "lean", on=ON + timedelta(weeks=1)) == []


def test_they_are_those_of_their_own_school(rows):
    keep(rows, "lean")
    other = school.build(*pupils(*SIX, **LIFTED), name="Another school")
    evening = rows.load()
    assert groups.standing(other.head, evening)("lean") == ()


def test_who_is_away_is_left_out_of_them(rows):
    [found] = keep(rows, "lean")
    gone = seats(found)[0]["partner"][0]
    left = [
        {"partner": tuple(name for name in group["partner"] if name != gone)}
        for group in seats(found)
    ]
    kept = standing(rows, "lean", absent=(gone,))
    assert sorted(kept, key=str) == sorted(left, key=str)


def test_they_come_in_one_order_whatever_the_rows_do(rows):
    keep(rows, "lean")
    lowest = [
        min(rank for ranks in group.roles.values() for rank in ranks)
        for group in groups.standing(rows.teacher, rows.load())("lean")
    ]
    assert lowest == sorted(lowest)


PAIRS = (("001", "006"), ("002", "004"), ("003", "005"))


@pytest.mark.parametrize(
    ("key", "turned"),
    [
        ("lean", [{"partner": pair} for pair in PAIRS]),
        ("seat", [{"base": (base,), "flyer": (flyer,)} for flyer, base in PAIRS]),
    ],
)
def test_with_one_child_away_the_others_stay(rows, key, turned):
    """Nobody of a whole group moves, though found anew the groups would be others."""
    evening = rows.load()
    card = evening.edition.cards[key]
    kept = propose(evening, card, standing=tuple(map(EngineGroup, turned)))
    groups.keep(rows.teacher, evening, proposals=(kept,), at=AT)
    otherwise = 0
    for gone in SIX:
        without = rows.load(absent=(gone,))
        found = propose(without, card, standing=groups.standing(rows.teacher, without)(key))
        whole = [one for one in seats(kept) if not any(gone in held for held in one.values())]
        assert len(whole) == 2
        assert seats(found) == whole
        otherwise += seats(propose(without, card)) != whole
    assert otherwise


def test_the_skills_kept_are_those_of_the_next_sheet(rows):
    """What was decided is not given up for another suggestion because one child is away."""
    evening = replace(rows.load(), minutes=20)
    keep(rows, "seat", evening=evening)
    for asked in ({}, {"absent": ("Amara",)}):
        later = replace(rows.load(**asked), minutes=20)
        _, found = make_sheet(later, standing=groups.standing(rows.teacher, later))
        assert [one.card.key for one in found] == ["seat"]
        _, named = make_sheet(
            later, skills=("lean",), standing=groups.standing(rows.teacher, later)
        )
        assert [one.card.key for one in named] == ["lean"]


def test_an_assistant_keeps_no_lift(rows):
    with pytest.raises(NotAllowed) as refused:
        keep(rows, "lean", "seat", scope=rows.assistant, evening=rows.load())
    assert str(refused.value) == (
        "keeping groups for a lift: a teacher's right, not an assistant's"
    )
    assert not Grouping.objects.exists()
    assert not Event.objects.filter(what="keep_groups").exists()
    keep(rows, "lean", scope=rows.assistant, evening=rows.load())
    assert Grouping.objects.get().member_id == rows.assistant.member_id


def test_groups_that_nobody_is_in_are_kept_as_none(db):
    rows = school.build(*pupils("Amara", "Bao", tries=LEANS))
    keep(rows, "seat")
    assert Grouping.objects.count() == 1
    assert standing(rows, "seat") == []
