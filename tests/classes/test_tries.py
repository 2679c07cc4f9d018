"""What may be asked of the log: the tries that count, turns and past pairs."""

from dataclasses import replace
from datetime import date, timedelta
from uuid import UUID, uuid4

import pytest
from django.db.models import ProtectedError

from accounts.models import MemberStudio, School
from classes import flags, lessons
from classes.classes import view
from classes.models import Lesson
from classes.tries import Try, counted, late, past_pairs, turns
from curriculum.models import Skill
from tests.classes import log_rows
from tests.classes.fact_school import strangers
from tests.classes.log_rows import STARTS, row, store
from tests.classes.log_school import SECOND, THIRD, add_child
from tests.factories import ClassFactory, StudioFactory
from tests.once import once

built, school = once(log_rows.build)


def tries_of(school, *names, since=None, scope=None):
    ids = {school.children[name] for name in names}
    return counted(scope or school.teacher, student_ids=ids, since=since)


def test_a_counted_try_as_it_is_read(school):
    one = row(
        school,
        "Bao",
        skill_id=school.skills["seat_on_a_table"],
        role="flyer",
        way_in="a",
        way_out="b",
        surface="mat",
    )
    store(school, one)
    assert tries_of(school, "Bao", "Amara") == (
        Try(
            attempt=one.attempt,
            student_id=school.children["Bao"],
            skill_key="seat_on_a_table",
            role="flyer",
            spot="none",
            outcome="clean",
            weight="own",
            try_id=one.try_id,
            lesson_id=one.lesson_id,
            local_date=THIRD,
            at=one.happened_at,
            way_in="a",
            way_out="b",
            surface="mat",
        ),
    )


def test_tries_come_in_the_order_of_time_then_attempt(school):
    late = row(school, attempt=UUID(int=1), happened_at=STARTS + timedelta(minutes=9))
    early = [row(school, number=n, attempt=UUID(int=n), happened_at=STARTS) for n in (4, 2, 3)]
    store(school, late, *early)
    assert [found.attempt.int for found in tries_of(school, "Amara")] == [2, 3, 4, 1]


def test_a_try_that_moved_away_is_not_read(school):
    one = row(school, "Amara")
    store(school, one, replace(one, id=uuid4(), revision=2, student_id=school.children["Bao"]))
    assert tries_of(school, "Amara") == ()
    assert [found.attempt for found in tries_of(school, "Bao")] == [one.attempt]


def test_a_date_to_begin_with_is_that_of_the_revision_that_counts(school):
    one, other = row(school), row(school, number=2, local_date=SECOND)
    store(
        school,
        one,
        other,
        replace(one, id=uuid4(), revision=2, local_date=SECOND),
        replace(other, id=uuid4(), revision=2, local_date=THIRD),
    )
    assert [found.attempt for found in tries_of(school, "Amara", since=THIRD)] == [other.attempt]
    assert len(tries_of(school, "Amara", since=SECOND)) == 2


def test_the_greater_id_counts_as_text(school):
    one = row(school, outcome="not_there")
    ids = [UUID("9" + "0" * 31), UUID("a" + "0" * 31)]
    store(school, one)
    for id_, outcome in zip(ids, ("shaky", "clean"), strict=True):
        store(school, replace(one, id=id_, revision=2, outcome=outcome))
    assert [found.outcome for found in tries_of(school, "Amara")] == ["clean"]


def test_other_studios_and_schools_read_no_tries(school):
    store(school, row(school))
    for stranger in strangers(school):
        assert tries_of(school, "Amara", scope=stranger) == ()


def a_try(child: int, on: date, *, role="partner", go=1, lesson=True):
    return Try(
        attempt=uuid4(),
        student_id=UUID(int=child),
        skill_key="lean",
        role=role,
        spot="none",
        outcome="clean",
        weight="own",
        try_id=UUID(int=go),
        lesson_id=UUID(int=on.toordinal()) if lesson else None,
        local_date=on,
        at=STARTS,
        way_in="",
        way_out="",
        surface="",
    )


def weeks_ago(n):
    return THIRD - timedelta(weeks=n)


def test_turns_are_lessons_among_the_last_six_attended():
    ada, eve = UUID(int=1), UUID(int=2)
    attended = {ada: [weeks_ago(n) for n in (0, 1, 2, 3, 4, 6, 7)], eve: [weeks_ago(1)]}
    tries = [
        a_try(1, weeks_ago(0), role="base"),
        a_try(1, weeks_ago(0), role="base", go=2),  # twice in one lesson is one turn
        a_try(1, weeks_ago(6), role="base"),
        a_try(1, weeks_ago(7), role="base"),  # the seventh
        a_try(1, weeks_ago(5), role="base"),  # not attended, by what was entered
        a_try(1, weeks_ago(1), role="flyer"),
        a_try(2, weeks_ago(1), role="base"),
        a_try(2, weeks_ago(2), role="base"),
        a_try(3, weeks_ago(1), role="base"),  # of whom nothing is known
    ]
    assert turns(tries, attended) == {
        (ada, "base"): 2,
        (ada, "flyer"): 1,
        (eve, "base"): 1,
    }


def test_what_was_seen_before_is_no_turn():
    attended = {UUID(int=1): [THIRD]}
    assert turns([a_try(1, THIRD, lesson=False)], attended) == {}


def test_past_pairs_are_lessons_with_a_try_together():
    ada, eve, ida = (UUID(int=n) for n in (1, 2, 3))
    tries = [
        *(a_try(child, weeks_ago(1), go=1) for child in (2, 1)),
        *(a_try(child, weeks_ago(1), go=2) for child in (1, 2)),  # again in the same lesson
        *(a_try(child, weeks_ago(0), go=3) for child in (1, 2, 3)),
        *(a_try(child, weeks_ago(2), go=4, role="solo") for child in (1, 3)),  # a hold of all
        a_try(3, weeks_ago(3), go=5),
    ]
    assert past_pairs(tries) == {(ada, eve): 2, (ada, ida): 1, (eve, ida): 1}


def test_a_class_that_shares_one_try_is_no_pair():
    six = [a_try(child, weeks_ago(0), go=1) for child in range(1, 7)]
    assert len(past_pairs(six)) == 15
    seven = [a_try(child, weeks_ago(1), go=2) for child in range(1, 8)]
    assert past_pairs(seven) == {}
    assert past_pairs([*six, *seven]) == past_pairs(six)


def test_the_log_survives_what_the_classes_do(school):
    """Tries keep their lesson and skill: neither can be taken away beneath them."""
    store(school, row(school))
    for model in (Lesson, Skill):
        with pytest.raises(ProtectedError):
            model.objects.all().delete()


def test_of_who_has_lost_one_studio_only_what_was_of_it_is_looked_at(school, monkeypatch):
    """She goes on elsewhere: years of tries there are not looked through for late ones."""
    mill = StudioFactory(school=School.objects.get(id=school.id))
    there = view(ClassFactory(studio=mill))
    child = add_child(school, "Solveig", class_id=there.id)
    both = replace(school.head, studio_ids=school.head.studio_ids | {mill.id})
    lessons.ensure(both, klass=there, on=THIRD)
    hers = {"member_id": school.assistant.member_id, "sent_by_id": school.assistant.member_id}
    assert late(both) == ()
    lost = MemberStudio.objects.filter(member_id=school.assistant.member_id)
    lost.update(ended_at=STARTS - timedelta(days=1))
    in_it = school.tried("Amara", THIRD, **hers)
    in_none = school.tried("Bao", THIRD, **hers, lesson=None)
    elsewhere = Lesson.objects.get(group_class_id=there.id)
    school.tried("Amara", THIRD, **hers, student_id=child, lesson=elsewhere)
    looked_at, of = [], flags.of

    def watched(scope, *, rows):
        looked_at.extend(one.row.id for one in rows)
        return of(scope, rows=rows)

    monkeypatch.setattr(flags, "of", watched)
    assert {one.row.id for one in late(both)} == {in_it.id, in_none.id} == {*looked_at}
