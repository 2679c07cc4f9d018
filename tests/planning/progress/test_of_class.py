"""A class by its skills: by name and in teaching order, whoever can do what."""

from dataclasses import asdict
from datetime import timedelta

import pytest

from accounts.scope import NotAllowed, Unknown
from classes.models import Attendance, Enrolment, Student
from planning.progress.of_class import class_progress
from tests.planning.build import ON, STARTS
from tests.planning.read_aloud import assert_fit_to_read_aloud
from tests.planning.term import LEFT_ON, split


def of(term, scope=None, klass=None, at=STARTS):
    return class_progress(scope or term.rows.teacher, class_id=(klass or term.rows.klass).id, at=at)


def help_in(told, skill, role="solo"):
    """Who needs which help, in the order in which it is told."""
    names = {one.id: one.name for one in told.children}
    (found,) = [one for one in told.skills if one.skill == skill]
    (lines,) = [one.children for one in found.roles if one.role == role]
    return [(names[one.student], one.says) for one in lines]


def names(rows):
    return [one.name for one in rows]


def test_skills_in_teaching_order_and_children_by_name(term):
    told = of(term)
    assert [one.skill for one in told.skills] == [*split()]
    assert [(one.name, one.trial) for one in told.children] == [
        ("Amara", False),
        ("Bao", False),
        ("Demba", True),
        ("Hana", False),
        ("Rangi", False),
    ]
    assert help_in(told, "chest_rest", "base") == [
        ("Bao", "with no spot"),
        ("Demba", "with no spot"),
        ("Rangi", "with no spot"),
    ]
    assert help_in(told, "table_hips") == [("Amara", "with no spot")]
    assert help_in(told, "table_hands") == [("Amara", "with hands near")]
    assert help_in(told, "stop_word", "partner") == [("Amara", "there"), ("Bao", "there")]
    assert help_in(told, "seat", "flyer") == []
    seat = next(one for one in told.skills if one.skill == "seat")
    assert [one.role for one in seat.roles] == ["base", "flyer"]


def test_the_help_is_that_of_the_sheet(term):
    tonight, told = term.rows.load(as_of=STARTS), of(term)
    names = {one.id: one.name for one in told.children}
    said = {
        (names[line.student], skill.skill, role.role): line.help
        for skill in told.skills
        for role in skill.roles
        for line in role.children
        if not skill.habit
    }
    assert said == {
        (child.name, key, role): judged.likely
        for child in tonight.here
        for (key, role), judged in child.judged.items()
        if judged.likely and key != "stop_word"
    }


def test_turns_who_was_not_up_and_who_was_always_base(term):
    """Nobody on trial is told of, who may not be lifted, and the stop word lifts nobody."""
    told = of(term)
    assert [one.says for one in told.turns] == [
        "partner in one and back in one of six lessons",
        "base in six of six lessons",
        "base in two of two lessons",
        "no try with others in three lessons",
        "base in two and flyer in one of three lessons",
    ]
    assert names(told.not_up) == ["Bao", "Hana"]
    assert names(told.always_base) == ["Bao"]


def test_only_the_last_six_lessons_attended(term):
    """Rangi was up three lessons ago; with six more without her up it is no longer told."""
    for week in range(1, 6):
        term.rows.attended("Rangi", "here", ON + timedelta(weeks=week))
    later = STARTS + timedelta(weeks=6)
    told = of(term, at=later)
    assert "Rangi" in names(told.not_up)
    assert told.turns[-1].says == "base in one of six lessons"
    # Once as base is not always.
    assert "Rangi" not in names(told.always_base)
    Attendance.objects.all().delete()
    hana = next(one for one in of(term).turns if one.student == term.child("Hana"))
    assert hana.says == "came to no lesson yet"
    assert "Hana" not in names(of(term).not_up)


def test_what_went_in_the_holidays(term):
    told = of(term).holidays
    assert (told.says, told.last.isoformat(), told.first.isoformat()) == (
        "between 16 December and 13 January",
        "2025-12-16",
        "2026-01-13",
    )
    assert [(one.student.name, one.says) for one in told.went] == [
        ("Amara", "bridge: with no spot before, with hands near now")
    ]


def test_who_is_told_of_and_by_whom_it_is_asked(term):
    with pytest.raises(NotAllowed):
        of(term, term.rows.assistant)
    with pytest.raises(Unknown):
        of(term, klass=term.elsewhere)
    there = of(term, term.rows.head, klass=term.elsewhere)
    assert (there.edition.number, there.on) == (1, ON + timedelta(days=1))
    assert names(there.children) == ["Rangi", "Zola"]
    assert there.holidays is None
    # On her last day a child is still told of.
    day = STARTS.replace(month=LEFT_ON.month, day=LEFT_ON.day)
    assert "Nguyệt" in names(of(term, at=day).children)
    assert "Nguyệt" not in names(of(term, at=day + timedelta(days=1)).children)
    Enrolment.objects.all().delete()
    Student.objects.all().delete()
    empty = of(term)
    assert (empty.children, empty.turns, empty.not_up, empty.holidays) == ((), (), (), None)


def test_all_of_it_may_be_read_aloud(term):
    def texts(value):
        if isinstance(value, dict):
            value = value.values()
        elif not isinstance(value, list | tuple):
            return [value] if isinstance(value, str) else []
        return [text for one in value for text in texts(one)]

    found = texts(asdict(of(term)))
    assert found
    for text in found:
        assert_fit_to_read_aloud(text)
        assert "%" not in text
