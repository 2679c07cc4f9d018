"""Groups of a lesson kept, changed by hand, locked, taken back; by version."""

from dataclasses import replace
from datetime import timedelta
from uuid import uuid4

import pytest

from accounts.faults import BadDocument
from accounts.models import Event, Member
from accounts.scope import Conflict, Stale, Unknown
from classes.models import Closure, Enrolment, LessonSpotter, Restriction, Wish
from planning import group_changes, groups, kept_groups
from planning.least_change import proposed_again
from planning.models import Group, Grouping, Seat
from tests.factories import AT
from tests.once import once
from tests.planning import school
from tests.planning.build import LEANS, LIFTED, ON, SIX, Pupil, pupils
from tests.planning.hands import asked, change, formed, held, put

PAIRS = ("Amara Bao", "Demba Hana", "Mireille Tariq")


def build():
    made = school.build(*pupils(*SIX, **LIFTED), Pupil("Zola", LEANS))
    LessonSpotter.objects.create(
        school_id=made.id, lesson=made.lesson(), member=Member.objects.get(name="Aroha T.")
    )
    return made


built, rows = once(build)


def stored(rows, key="lean"):
    return held(groups.of_skill(rows.teacher, **asked(rows, key)))


# -- keeping ---------------------------------------------------------------------------------


def test_a_proposal_is_not_stored_until_it_is_kept(rows):
    proposed = groups.propose(rows.teacher, **asked(rows))
    assert (proposed.version, proposed.proven, len(proposed.groups)) == (0, True, 3)
    assert not Grouping.objects.exists()
    kept = change("regroup", rows, 0)
    assert (kept.version, held(kept)) == (1, held(proposed))
    again = groups.propose(rows.teacher, **asked(rows))
    assert (again.version, held(again)) == (1, held(kept))
    assert [group.id for group in again.groups] == [group.id for group in kept.groups]


def test_groups_as_they_were_formed(rows):
    kept = put(rows, *PAIRS)
    assert (kept.version, held(kept)) == (1, list(PAIRS))
    assert [one.student.name for one in kept.still_to_place] == ["Zola"]
    assert stored(rows) == list(PAIRS)
    assert [
        view.skill for view in groups.of_lesson(rows.teacher, lesson_id=rows.lesson().id, at=AT)
    ] == ["lean"]


def test_a_change_is_one_event_of_ids_keys_and_numbers(rows):
    put(rows, *PAIRS)
    change("swap", rows, 1, a="Amara", b="Hana")
    told = Event.objects.filter(what="change_groups").order_by("details__version")
    assert [(one.about, one.at, one.member_id, one.details) for one in told] == [
        (rows.lesson().id, AT, rows.teacher.member_id, {"skill": "lean", "how": how, "version": n})
        for n, how in ((1, "put"), (2, "swap"))
    ]


def test_of_two_who_change_the_same_the_second_is_told(rows):
    put(rows, *PAIRS)
    change("swap", rows, 1, a="Amara", b="Hana")
    for name, said in (
        ("swap", {"a": "Amara", "b": "Hana"}),
        ("regroup", {}),
        ("clear", {}),
        ("take_in", {"student": "Zola"}),
    ):
        with pytest.raises(Stale) as refused:
            change(name, rows, 1, **said)
        assert str(refused.value) == "somebody else has changed these groups: they are at v2"
    with pytest.raises(Stale):
        put(rows, *PAIRS)
    assert stored(rows) == ["Bao Hana", "Amara Demba", "Mireille Tariq"]


def test_of_two_at_the_same_moment_one_is_told(rows, monkeypatch):
    """Both have read version 1; the second reaches the rows when the first has changed them."""
    put(rows, *PAIRS)
    admit = group_changes.admit

    def meanwhile(*args):
        monkeypatch.setattr(group_changes, "admit", admit)
        change("swap", rows, 1, scope=rows.head, a="Amara", b="Tariq")
        admit(*args)

    monkeypatch.setattr(group_changes, "admit", meanwhile)
    with pytest.raises(Stale):
        change("swap", rows, 1, a="Amara", b="Hana")
    assert stored(rows) == ["Bao Tariq", "Demba Hana", "Amara Mireille"]
    assert Event.objects.filter(what="change_groups").count() == 2


def test_taken_back_the_version_goes_on(rows):
    put(rows, *PAIRS)
    assert change("clear", rows, 1).version == 2
    assert (Group.objects.count(), Seat.objects.count()) == (0, 0)
    assert groups.of_lesson(rows.teacher, lesson_id=rows.lesson().id, at=AT) == ()
    with pytest.raises(Stale):
        put(rows, *PAIRS)
    assert put(rows, *PAIRS, version=2).version == 3


def test_groups_that_stay_keep_their_ids(rows):
    before = put(rows, *PAIRS)
    after = change("swap", rows, 1, a="Amara", b="Hana")
    assert [group.id for group in after.groups] == [group.id for group in before.groups]
    again = put(rows, "Mireille Tariq", "Amara Zola", version=2)
    assert again.groups[0].id == before.groups[2].id
    assert again.groups[1].id not in {group.id for group in before.groups}


def test_an_id_that_is_taken_elsewhere_is_unknown(rows):
    other = school.build(*pupils("Aurelio", "Oğuz", tries=LEANS), name="Another school")
    theirs = put(other, "Aurelio Oğuz").groups[0].id
    [pair] = formed(rows, "Amara Bao")
    with pytest.raises(BadDocument) as refused:
        group_changes.put(rows.teacher, version=0, groups=[replace(pair, id=theirs)], **asked(rows))
    assert str(refused.value) == "/groups/0/id: unknown"
    own = uuid4()
    kept = group_changes.put(rows.teacher, version=0, groups=[replace(pair, id=own)], **asked(rows))
    assert kept.groups[0].id == own


# -- what is refused -------------------------------------------------------------------------


def test_nothing_that_stops_is_kept(rows):
    Restriction.objects.create(
        school_id=rows.id,
        student_id=rows.children["Amara"],
        blocks="partner",
        from_date=ON,
        until=ON + timedelta(days=54),
    )
    with pytest.raises(Conflict) as refused:
        put(rows, "Amara Bao", "Demba")
    assert str(refused.value) == ("Amara: no work in twos until 3 May; one more as partner")
    assert not Grouping.objects.exists()


def test_a_stop_that_came_later_is_told_and_binds_only_its_own_group(rows):
    put(rows, *PAIRS)
    rows.attended("Amara", "away")
    now = groups.of_skill(rows.teacher, **asked(rows))
    assert [[stop.sentence for stop in group.stops] for group in now.groups] == [
        ["Amara is not here tonight"],
        [],
        [],
    ]
    assert now.groups[0].seats[0].students[0].name == "Amara"
    after = change("swap", rows, 1, a="Demba", b="Tariq")
    assert held(after) == ["Amara Bao", "Hana Tariq", "Demba Mireille"]
    with pytest.raises(Conflict) as refused:
        change("swap", rows, 2, a="Amara", b="Tariq")
    assert str(refused.value) == "Amara is not here tonight"
    assert held(change("swap", rows, 2, a="Amara", b="Zola"))[0] == "Bao Zola"


def test_who_has_left_the_class_is_told_as_that(rows):
    put(rows, *PAIRS)
    Enrolment.objects.filter(student_id=rows.children["Amara"]).update(until=ON - timedelta(days=1))
    now = groups.of_skill(rows.teacher, **asked(rows))
    left = "somebody who has left the class"
    assert [stop.sentence for stop in now.groups[0].stops] == [f"{left} is in this group"]
    names = {one.id: one.name for seats in now.groups[0].seats for one in seats.students}
    assert names == {rows.children["Amara"]: left, rows.children["Bao"]: "Bao"}
    after = change("regroup", rows, 1)
    assert "Amara" not in " ".join(held(after)) and left not in " ".join(held(after))
    assert after.version == 2


def test_open_asks_are_kept_visible(rows):
    kept = put(rows, "Amara Bao", key="seat", roles=("base", "flyer"))
    assert [ask.sentence for ask in kept.groups[0].asks] == [
        "a teacher's yes to begin for Amara as base",
        "a teacher's yes to begin for Bao as flyer",
        "“these two: yes” for Amara with Bao",
    ]
    assert [say.sentence for say in kept.groups[0].says] == ["the last lift goes up by 17:35"]


def test_no_groups_on_a_day_without_a_lesson(rows):
    Closure.objects.create(
        school_id=rows.id,
        first_on=ON + timedelta(days=7),
        last_on=ON + timedelta(days=7),
        name="town fair",
    )
    from classes import lessons

    later = lessons.lesson_id(rows.klass.id, ON + timedelta(days=7))
    with pytest.raises(Conflict) as refused:
        group_changes.regroup(rows.teacher, lesson_id=later, skill="lean", version=0, at=AT)
    assert str(refused.value) == "no lesson that day: town fair"


@pytest.mark.parametrize("skill", ["salute", "bridge", "stop_word"])
def test_skills_without_groups_are_not_there(rows, skill):
    with pytest.raises(Unknown):
        change("regroup", rows, 0, key=skill)


# -- locks -----------------------------------------------------------------------------------


def test_a_locked_group_stays_through_everything(rows):
    first = put(rows, *PAIRS).groups[0].id
    locked = change("lock", rows, 1, group=first, locked=True)
    assert [group.locked for group in locked.groups] == [True, False, False]
    rows.attended("Hana", "away")
    after = change("regroup", rows, 2)
    assert held(after)[0] == "Amara Bao"
    assert (after.groups[0].id, after.groups[0].locked) == (first, True)
    assert sorted(name for pair in held(after)[1:] for name in pair.split()) == [
        "Demba",
        "Mireille",
        "Tariq",
        "Zola",
    ]
    for name, said in (
        ("swap", {"a": "Amara", "b": "Demba"}),
        ("move", {"student": "Amara", "group": None, "role": None}),
        ("clear", {}),
    ):
        with pytest.raises(Conflict) as refused:
            change(name, rows, 3, **said)
        assert str(refused.value) == "group 1 is locked: a teacher unlocks it first"
    change("lock", rows, 3, group=first, locked=False)
    assert held(change("swap", rows, 4, a="Amara", b="Demba"))[0] == "Bao Demba"


def test_a_locked_group_that_something_stops_is_for_a_teacher_to_unlock(rows):
    first = put(rows, *PAIRS).groups[0].id
    change("lock", rows, 1, group=first, locked=True)
    rows.attended("Amara", "away")
    with pytest.raises(Conflict) as refused:
        change("regroup", rows, 2)
    assert str(refused.value) == "group 1 is locked: a teacher unlocks it first"
    assert held(groups.propose(rows.teacher, **asked(rows)))[0] == "Bao Zola"


def test_a_lock_of_what_is_not_there(rows):
    put(rows, *PAIRS)
    with pytest.raises(BadDocument) as refused:
        change("lock", rows, 1, group=uuid4(), locked=True)
    assert str(refused.value) == "/group: unknown"


def test_the_sheet_keeps_a_lock_of_a_group_that_stays(rows):
    first = put(rows, *PAIRS).groups[0].id
    change("lock", rows, 1, group=first, locked=True)
    evening = rows.load()
    before = kept_groups.standing(rows.teacher, lesson_id=evening.lesson.id)["lean"]
    found = proposed_again(evening, evening.edition.cards["lean"], before)
    groups.keep(rows.teacher, evening, proposals=(found,), at=AT)
    assert Group.objects.get(locked=True).id == first


# -- a child who comes late ------------------------------------------------------------------


def test_a_child_who_comes_late_changes_nobody_else(rows):
    put(rows, "Amara Bao", "Demba Hana")
    after = change("take_in", rows, 1, student="Tariq")
    assert held(after)[:2] == ["Amara Bao", "Demba Hana"]
    assert held(after)[2] in ("Mireille Tariq", "Tariq Zola")
    assert after.version == 2


# -- who is left ----------------------------------------------------------------------------


def test_why_nobody_is_left_names_a_wish(rows):
    a, b = sorted((rows.children["Amara"], rows.children["Bao"]))
    Wish.objects.create(school_id=rows.id, a_id=a, b_id=b, kind="apart", from_date=ON, until=ON)
    for name in (*SIX[2:], "Zola"):
        rows.attended(name, "away")
    left = groups.propose(rows.teacher, **asked(rows)).still_to_place
    assert [(one.student.name, one.reason) for one in left] == [
        ("Amara", "no_fitting_partner"),
        ("Bao", "no_fitting_partner"),
    ]


def test_another_skill_for_whoever_is_left(rows):
    put(rows, *PAIRS)
    seats = groups.propose(rows.teacher, **asked(rows, "seat"))
    [zola] = [one for one in seats.still_to_place if one.student.name == "Zola"]
    assert zola.alternative.sentence == "goes on with chest rest"
    assert not zola.alternative.placed
    change("swap", rows, 1, a="Tariq", b="Zola")
    seats = groups.propose(rows.teacher, **asked(rows, "seat"))
    [zola] = [one for one in seats.still_to_place if one.student.name == "Zola"]
    assert zola.alternative.sentence == "has a place in facing lean"
    assert zola.alternative.placed


def test_the_lesson_of_another_school_is_not_there(rows):
    other = school.build(*pupils("Aurelio", "Oğuz", tries=LEANS), name="Another school")
    with pytest.raises(Unknown):
        groups.of_lesson(other.head, lesson_id=rows.lesson().id, at=AT)
    with pytest.raises(Unknown):
        group_changes.regroup(other.head, version=0, **asked(rows))
