"""A child's path is what the sheet read on each of its evenings."""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from uuid import uuid4

import pytest

from accounts.faults import BadDocument
from accounts.scope import NotAllowed, Unknown
from classes.models import Attempt
from classes.models import Term as TermRow
from classes.tries import counted
from curriculum import editions
from curriculum.withdrawals import withdraw
from planning.progress.chains import Log, When, reading
from planning.progress.path import path
from tests.planning.build import DOCUMENTS, ON, STARTS, Pupil, clean
from tests.planning.school import publish
from tests.planning.term import LEFT_ON, SPLIT_ON


def of(term, name, scope=None, at=STARTS, **asked):
    scope = scope or term.rows.teacher
    return path(scope, student_id=term.child(name), at=at, **asked)


def one(told, skill):
    (found,) = [one for one in told.skills if one.skill == skill]
    return found


def test_each_evening_reads_as_its_sheet_did(term):
    """To the last digit: the log is taken back evening by evening and the sheet asked anew."""
    rows, child = term.rows, term.child("Amara")
    told = of(term, "Amara")
    edition = editions.in_use(rows.teacher, studio_id=rows.klass.studio_id, on=ON)
    log = Log(counted(rows.teacher, student_ids=[child], since=None), edition)
    evenings = {
        (line.reading.on, skill.skill, skill.role): line.reading
        for skill in told.skills
        for line in skill.evenings
        if skill.taught
    }
    tonight = rows.load(as_of=STARTS).here[0]
    for skill in (one for one in told.skills if one.taught):
        own = tonight.judged[skill.skill, skill.role].evidence
        assert skill.at_last == reading(own, habit=skill.habit)
    days = sorted({on for on, *_ in evenings}, reverse=True)
    assert len(days) == 5
    for on in days:
        Attempt.objects.filter(student_id=child, local_date__gt=on).delete()
        at = max(
            tried.at
            for tried in counted(rows.teacher, student_ids=[child], since=None)
            if tried.local_date == on
        )
        then = rows.load(on=on, as_of=at).here[0]
        found = log.read({(key, When(on, at, on)) for key in log.chains})
        for (_, skill, role), when in found:
            if (skill, role) in then.judged and found[(child, skill, role), when].tried:
                sheet = then.judged[skill, role].evidence
                assert found[(child, skill, role), when] == sheet, (on, skill)
        for (day, skill, role), said in evenings.items():
            key = "table" if skill.startswith("table") and on < SPLIT_ON else skill
            if day == on:
                own = then.judged[key, role].evidence
                assert said == reading(own, habit=skill == "stop_word")


def test_skills_in_teaching_order_with_the_tries_under_them(term):
    told = of(term, "Amara")
    assert [(line.skill, line.role, line.taught) for line in told.skills] == [
        ("stop_word", "partner", True),
        ("tight", "solo", True),
        ("table_hips", "solo", True),
        ("table_hands", "solo", True),
        ("bridge", "solo", True),
        ("lean", "partner", True),
        ("line", "back", False),
    ]
    assert one(told, "line").name == "Plank line"
    (january,) = one(told, "bridge").evenings
    assert [(tried.spot, tried.outcome) for tried in january.tries] == [
        ("none", "not_there"),
        ("hands_near", "shaky"),
    ]
    assert one(told, "bridge").at_first.says == "with no spot"
    assert january.reading.says == "with hands near"
    # What was summed up counts as such, and nothing that was taken back or was another's.
    assert [tried.weight for line in one(told, "tight").evenings for tried in line.tries] == [
        "summary"
    ]
    before = of(term, "Amara", first=date(2025, 9, 1), last=date(2025, 12, 31))
    assert [line.reading.on.isoformat() for line in one(before, "bridge").evenings] == [
        "2025-12-02",
        "2025-12-09",
        "2025-12-16",
    ]
    assert [len(line.tries) for line in one(before, "bridge").evenings] == [1, 1, 1]
    assert one(before, "bridge").at_first is None
    moved = of(term, "Bao", first=date(2025, 9, 1), last=date(2025, 12, 31))
    assert len(one(moved, "bridge").evenings) == 1


def test_a_split_is_told_under_both_halves_and_by_what_it_was(term):
    told = of(term, "Amara")
    hips, hands = one(told, "table_hips"), one(told, "table_hands")
    assert [[tried.logged_as for tried in line.tries] for line in hips.evenings] == [
        ["Hands-and-knees table"],
        [None],
    ]
    assert hands.evenings == hips.evenings[:1]
    # While the first edition was in use there was one table.
    february = of(term, "Amara", last=date(2026, 2, 28))
    assert february.edition.number == 1
    assert one(february, "table").evenings[0].reading == hips.evenings[0].reading
    assert one(february, "line").taught


def test_what_only_an_edition_had_that_was_withdrawn_since_keeps_its_name(term):
    """A phone with no signal logged it while the edition was to be taken on."""
    rows = term.rows
    rolled = DOCUMENTS["tight"] | {"name": "Rolling away"}
    number = publish(rows.head, DOCUMENTS | {"roll": rolled})
    rows.log(Pupil("Hana", clean("roll", weeks=(1,))))
    withdraw(rows.head, number=number, reason="too early", at=STARTS)
    line = one(of(term, "Hana"), "roll")
    assert (line.name, line.taught, len(line.evenings)) == ("Rolling away", False, 1)


def test_a_habit_is_there_or_not_and_has_no_number(term):
    line = one(of(term, "Amara"), "stop_word")
    assert (line.habit, line.at_last.help, line.at_last.percent) == (True, None, None)
    assert (line.at_last.says, line.at_last.word) == ("there", "there")


def test_a_number_only_from_a_minimum_of_evidence_on(term):
    (line,) = of(term, "Bao").skills[1:]
    numbers = [evening.reading.percent for evening in line.evenings]
    # Four and then five tries on two dates; two of them were made before Christmas.
    assert [number is None for number in numbers[:4]] == [True, True, False, False]
    assert all(number % 10 == 0 for number in numbers[2:])


def test_the_term_of_today_or_the_days_that_are_asked_for(term):
    def days(at=STARTS, **asked):
        told = of(term, "Hana", at=at, **asked)
        return told.first.isoformat(), told.last.isoformat()

    spring = ("2026-01-06", "2026-04-03")
    assert days() == spring
    # Between two terms the one before.
    assert days(at=datetime(2026, 1, 5, 12, tzinfo=UTC)) == ("2025-09-01", "2025-12-19")
    assert days(at=datetime(2026, 4, 20, 12, tzinfo=UTC)) == spring
    assert days(last=date(2025, 12, 1)) == ("2025-12-01", "2025-12-01")
    assert days(first=date(2026, 5, 1)) == ("2026-05-01", "2026-05-01")
    # However long that is, as a term may be.
    assert days(first=date(2024, 9, 1)) == ("2024-09-01", "2026-04-03")
    assert days(last=date(2027, 12, 31)) == ("2026-01-06", "2027-12-31")
    TermRow.objects.filter(first_on=date(2026, 1, 6)).update(last_on=date(2027, 12, 31))
    assert days() == ("2026-01-06", "2027-12-31")
    TermRow.objects.all().delete()
    assert days() == ("2025-11-10", "2026-03-10")
    with pytest.raises(BadDocument):
        days(first=ON, last=ON - timedelta(days=1))


def test_a_child_with_no_tries_one_on_trial_and_one_who_has_left(term):
    assert of(term, "Hana").skills == ()
    assert of(term, "Hana").known == "As known at 17:00 on 10 March: nothing was logged."
    assert [line.skill for line in of(term, "Demba").skills] == ["chest_rest"]
    left = of(term, "Nguyệt")
    assert left.known == "As known at 00:00 on 21 February, from tries up to 3 February."
    assert (left.edition.number, one(left, "tight").at_last.on) == (1, LEFT_ON)


def test_in_which_of_two_classes(term):
    teacher, head = term.rows.teacher, term.rows.head
    assert of(term, "Rangi").klass.name == "Tuesday beginners"
    assert of(term, "Rangi", head).klass.name == "Tuesday beginners"
    there = of(term, "Rangi", head, class_id=term.elsewhere.id)
    assert (there.studio.name, there.edition.number) == ("Upper Hall", 1)
    # It is tomorrow morning there.
    assert there.known == "As known at 06:00 on 11 March, from tries up to 3 March."
    assert {line.at_last.on for line in there.skills} == {ON + timedelta(days=1)}
    with pytest.raises(Unknown):
        of(term, "Rangi", teacher, class_id=term.elsewhere.id)
    with pytest.raises(Unknown):
        of(term, "Amara", head, class_id=term.elsewhere.id)


def test_who_may_ask_about_whom(term):
    with pytest.raises(NotAllowed):
        of(term, "Amara", term.rows.assistant)
    assert of(term, "Zola", term.rows.head).skills == ()
    elsewhere = replace(term.rows.teacher, studio_ids=frozenset({term.elsewhere.studio_id}))
    assert of(term, "Rangi", elsewhere).klass.name == "Wednesday juniors"
    for scope, child in (
        (term.rows.teacher, term.child("Zola")),
        (elsewhere, term.child("Amara")),
        (term.rows.head, term.erased),
        (term.rows.head, uuid4()),
    ):
        with pytest.raises(Unknown):
            path(scope, student_id=child, at=STARTS)
