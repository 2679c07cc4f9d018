from dataclasses import replace
from datetime import timedelta

import pytest

from accounts.models import Event
from accounts.scope import Conflict, NotAllowed
from classes import lessons
from planning import group_changes, groups, kept_groups
from planning.by_hand import Formed
from planning.least_change import proposed_again
from planning.models import Group, Grouping, Seat
from planning.proposals import propose
from planning.tonight import make_sheet
from tests import factories
from tests.factories import AT
from tests.once import once
from tests.planning import school
from tests.planning.build import (
    LEANS,
    LIFTED,
    ON,
    SIX,
    pupils,
)

built, rows = once(lambda: school.build(*pupils(*SIX, **LIFTED)))


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


def kept(rows, key, on=ON, scope=None):
    """The groups kept for a skill, by names."""
    names = {id_: name for name, id_ in rows.children.items()}
    lesson = lessons.lesson_id(rows.klass.id, on)
    found = kept_groups.standing(scope or rows.teacher, lesson_id=lesson).get(key, ())
    return [
        {role: tuple(sorted(names[one] for one in held)) for role, held in group.seats.items()}
        for group in found
    ]


def test_what_is_kept_comes_back(rows):
    lean, seat, line = keep(rows, "lean", "seat", "line")
    assert len(lean.groups) == 3
    assert len(seat.groups) == 3
    assert kept(rows, "lean") == seats(lean)
    assert kept(rows, "seat") == seats(seat)
    assert kept(rows, "line") == seats(line)
    assert kept(rows, "chest_rest") == []


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
    assert kept(rows, "lean") == seats(found)


def test_what_was_kept_for_another_skill_of_the_lesson_goes(rows):
    keep(rows, "lean", "seat")
    [lean, line] = keep(rows, "lean", "line")
    assert kept(rows, "lean") == seats(lean)
    assert kept(rows, "line") == seats(line)
    assert kept(rows, "seat") == []
    assert sorted(Grouping.objects.values_list("skill__key", "version")) == [
        ("lean", 2),
        ("line", 1),
        ("seat", 2),  # without groups: whoever still holds version 1 is told so
    ]


def test_what_was_kept_for_another_lesson_stays(rows):
    next_week = rows.load(on=ON + timedelta(weeks=1))
    [lean] = keep(rows, "lean", evening=next_week)
    keep(rows, "line")
    assert kept(rows, "lean", on=ON + timedelta(weeks=1)) == seats(lean)


def test_they_are_those_of_their_own_lesson(rows):
    keep(rows, "lean")
    assert kept(rows, "lean", on=ON + timedelta(weeks=1)) == []


def test_they_are_those_of_their_own_school(rows):
    keep(rows, "lean")
    other = school.build(*pupils(*SIX, **LIFTED), name="Another school")
    assert kept(rows, "lean", scope=other.head) == []


PAIRS = (("Amara", "Tariq"), ("Bao", "Hana"), ("Demba", "Mireille"))


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
    formed = [
        Formed({role: tuple(map(rows.children.get, held)) for role, held in one.items()})
        for one in turned
    ]
    first = proposed_again(evening, card, formed)
    groups.keep(rows.teacher, evening, proposals=(first,), at=AT)
    before = kept_groups.standing(rows.teacher, lesson_id=evening.lesson.id)[key]
    otherwise = 0
    for gone in SIX:
        without = rows.load(absent=(gone,))
        found = proposed_again(without, card, before)
        whole = [one for one in seats(first) if not any(gone in held for held in one.values())]
        assert len(whole) == 2
        assert seats(found) == whole
        otherwise += seats(propose(without, card)) != whole
    assert otherwise


def test_the_skills_kept_are_those_of_the_next_sheet(rows):
    """What was decided is not given up for another suggestion because one child is away."""
    evening = replace(rows.load(), minutes=20)
    keep(rows, "seat", evening=evening)
    before = kept_groups.standing(rows.teacher, lesson_id=evening.lesson.id)
    for asked in ({}, {"absent": ("Amara",)}):
        later = replace(rows.load(**asked), minutes=20)
        _, found = make_sheet(later, before=before)
        assert [one.card.key for one in found] == ["seat"]
        _, named = make_sheet(later, skills=("lean",), before=before)
        assert [one.card.key for one in named] == ["lean"]


def test_an_assistant_keeps_no_lift(rows):
    with pytest.raises(NotAllowed) as refused:
        keep(rows, "lean", "seat", scope=rows.assistant, evening=rows.load())
    assert str(refused.value) == "groups that lift or ask: a teacher's right, not an assistant's"
    assert not Grouping.objects.exists()
    assert not Event.objects.filter(what="keep_groups").exists()
    keep(rows, "lean", scope=rows.assistant, evening=rows.load())
    assert Grouping.objects.get().member_id == rows.assistant.member_id


def lock(rows, key, names):
    """Lock the one group of these children, as a teacher does."""
    asked = {"lesson_id": lessons.lesson_id(rows.klass.id, ON), "skill": key, "at": AT}
    told = groups.of_skill(rows.teacher, **asked)
    [group] = [
        one
        for one in told.groups
        if {child.name for held in one.seats for child in held.students} == set(names)
    ]
    group_changes.lock(rows.teacher, version=told.version, group=group.id, locked=True, **asked)


def test_a_locked_group_stays_when_others_are_kept(rows):
    """In a skill that is not chosen any more, and in one that is proposed anew round it."""
    lean, seat = keep(rows, "lean", "seat")
    first, last = seats(seat)[0], seats(lean)[-1]
    lock(rows, "seat", [name for held in first.values() for name in held])
    lock(rows, "lean", last["partner"])
    evening = rows.load()
    before = kept_groups.standing(rows.teacher, lesson_id=evening.lesson.id)
    _, found = make_sheet(evening, skills=("lean", "line"), before=before)
    groups.keep(rows.teacher, evening, proposals=found, at=AT)
    assert kept(rows, "seat") == [first]
    assert last in kept(rows, "lean")
    locked = Group.objects.filter(locked=True)
    assert {one.grouping.skill.key for one in locked} == {"lean", "seat"}
    versions = dict(Grouping.objects.values_list("skill__key", "version"))
    assert versions == {"lean": 3, "seat": 3, "line": 1}
    groups.keep(rows.teacher, evening, proposals=found, at=AT)
    assert Grouping.objects.get(skill__key="seat").version == 3  # nothing was taken back


def test_no_proposal_goes_over_a_locked_group(rows):
    [lean] = keep(rows, "lean")
    lock(rows, "lean", seats(lean)[0]["partner"])
    evening = rows.load(absent=(seats(lean)[0]["partner"][0],))
    with pytest.raises(Conflict) as refused:
        keep(rows, "lean", evening=evening)
    assert str(refused.value) == "group 1 is locked: a teacher unlocks it first"
    assert kept(rows, "lean") == seats(lean)


def test_an_assistant_keeps_no_ask_and_takes_nothing_back(rows):
    """An ask: Amara is back after five weeks."""
    evening = rows.load()
    long_ago = ON - timedelta(weeks=5)
    evening = replace(evening, here=tuple(replace(one, last_here=long_ago) for one in evening.here))

    def refused():
        before = factories.every_row()
        with pytest.raises(NotAllowed) as found:
            keep(rows, "chest_rest", scope=rows.assistant, evening=evening)
        assert factories.every_row() == before
        return str(found.value)

    assert refused() == "groups that lift or ask: a teacher's right, not an assistant's"
    keep(rows, "lean")
    assert refused() == "taking groups back: a teacher's right, not an assistant's"


def test_groups_that_nobody_is_in_are_kept_as_none(db):
    rows = school.build(*pupils("Amara", "Bao", tries=LEANS), name="Another school")
    keep(rows, "seat")
    assert Grouping.objects.count() == 1
    assert kept(rows, "seat") == []
