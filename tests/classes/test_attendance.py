from datetime import date, timedelta
from uuid import UUID, uuid4, uuid5

from classes import attendance
from classes.models import Attendance, Enrolment, Lesson
from tests.classes import fact_school
from tests.classes.fact_school import counts, refusal, strangers
from tests.once import once

HEADER = "date,student,state,revision"
FIRST, SECOND, THIRD = date(2026, 2, 24), date(2026, 3, 3), date(2026, 3, 10)


built, school = once(fact_school.build)


def load(school, *lines, **asked):
    return counts(attendance.load, school.assistant, *lines, klass=school.klass, **asked)


def refused(school, *lines):
    return refusal(attendance.load, school.assistant, Attendance, *lines, klass=school.klass)


def states(school, on):
    found = attendance.of_lesson(school.teacher, lesson_id=school.lesson_id(on))
    return {name: found[id_] for name, id_ in school.children.items() if id_ in found}


def days(school, name, *, before=date(2026, 3, 11), most=6):
    found = attendance.attended(school.teacher, student_ids=school.ids, before=before, most=most)
    return found[school.children[name]]


def test_who_is_here(school):
    lines = (HEADER, "2026-03-10,Amara,Here,", "10.3.2026,Bao,not today,1", "2026-03-10,Hana,away,")
    assert load(school, *lines) == (3, 0, 0)
    assert states(school, THIRD) == {"Amara": "here", "Bao": "not_today", "Hana": "away"}
    assert states(school, SECOND) == {}
    assert load(school, *lines) == (0, 0, 3)


def test_no_column_for_the_revision(school):
    assert load(school, "state;child;on", "here;Amara;2026-03-10") == (1, 0, 0)
    assert states(school, THIRD) == {"Amara": "here"}


def test_an_extra_meeting_is_a_lesson_like_others(school):
    wednesday = date(2026, 3, 11)
    school.lesson(wednesday)
    assert load(school, HEADER, "2026-03-11,Amara,here,") == (1, 0, 0)
    assert states(school, wednesday) == {"Amara": "here"}


def test_the_ids_are_the_same_everywhere(school):
    load(school, HEADER, "2026-03-10,Amara,here,2")
    row = Attendance.objects.get()
    assert row.attendance == uuid5(school.lesson_id(THIRD), str(school.children["Amara"]))
    assert row.id == uuid5(row.attendance, "2")
    assert row.lesson_id == school.lesson_id(THIRD)


def test_the_highest_revision_counts(school):
    load(school, HEADER, "2026-03-10,Amara,here,")
    assert load(school, HEADER, "2026-03-10,Amara,not today,3", "2026-03-10,Amara,away,2") == (
        2,
        0,
        0,
    )
    assert states(school, THIRD) == {"Amara": "not_today"}
    assert load(school, HEADER, "2026-03-10,Amara,here,1") == (0, 0, 1)
    assert states(school, THIRD) == {"Amara": "not_today"}


def test_of_two_phones_with_one_revision_the_greater_id_counts(school):
    for number, state in ((2, "away"), (1, "here")):
        Attendance.objects.create(
            school_id=school.id,
            id=UUID(int=number),
            attendance=uuid4(),
            revision=1,
            lesson=school.lesson(THIRD),
            student_id=school.children["Amara"],
            state=state,
            member_id=school.teacher.member_id,
            at=fact_school.AT,
        )
    assert states(school, THIRD) == {"Amara": "away"}


def test_a_change_needs_a_higher_revision(school):
    load(school, HEADER, "2026-03-10,Amara,here,1", "2026-03-10,Amara,away,4")
    advice = "revision 4 is entered already: to change it write 5 in a column “revision”"
    assert refused(school, HEADER, "2026-03-10,Amara,not today,1", "2026-03-10,Amara,away,3") == [
        f"row 2, column “state”: {advice}",
        f"row 3, column “state”: {advice}",
    ]
    assert states(school, THIRD) == {"Amara": "away"}


def test_every_fault_at_once(school):
    school.lesson(date(2026, 3, 17))
    Lesson.objects.filter(on=date(2026, 3, 17)).update(state="cancelled")
    Enrolment.objects.filter(student_id=school.children["Rangi"]).update(until=date(2026, 3, 9))
    assert refused(
        school,
        HEADER,
        "2026-03-10,Amara,here,1",
        "2026-03-11,Amara,here,1",
        "2026-04-14,Amara,here,1",
        "2026-03-17,Amara,here,1",
        "2026-07-07,Amara,here,1",
        "2026-03-10,Rangi,here,1",
        "2026-03-10,Bao,present,0",
        "2026-03-10,Bao,,two",
        ",Bao,here,1.5",
        "2026-03-10,AMARA,away,1",
    ) == [
        "row 3, column “date”: Tuesday beginners meets on Tuesdays, 2026-03-11 is a Wednesday",
        "row 4, column “date”: no lesson on 2026-04-14: spring break",
        "row 5, column “date”: no lesson on 2026-03-17: it was cancelled",
        "row 6, column “date”: no lesson on 2026-07-07: outside the terms",
        "row 7, column “student”: not enrolled in Tuesday beginners on 2026-03-10",
        "row 8, column “state”: “present” should be one of here, away, not_today",
        "row 8, column “revision”: 0 should be between 1 and 1000",
        "row 9, column “state”: missing",
        "row 9, column “revision”: “two” should be a number",
        "row 10, column “date”: missing",
        "row 10, column “revision”: 1.5 should be a whole number",
        "row 11: about the same as row 2",
    ]


def test_a_dry_run_stores_nothing(school):
    assert load(school, HEADER, "2026-03-10,Amara,here,", dry_run=True) == (1, 0, 0)
    assert not Attendance.objects.exists()
    assert not Lesson.objects.exists()


def test_the_days_she_was_here_newest_first(school):
    load(
        school,
        HEADER,
        "2026-02-24,Amara,here,",
        "2026-03-03,Amara,not today,",
        "2026-03-10,Amara,here,",
        "2026-02-24,Bao,here,1",
        "2026-02-24,Bao,away,2",
    )
    assert days(school, "Amara") == (THIRD, FIRST)
    assert days(school, "Amara", most=1) == (THIRD,)
    assert days(school, "Amara", most=0) == ()
    assert days(school, "Amara", before=THIRD) == (FIRST,)
    assert days(school, "Bao") == days(school, "Hana") == ()


def test_a_try_tells_where_nothing_was_entered_about_her(school):
    load(school, HEADER, "2026-03-03,Amara,away,", "2026-03-10,Bao,here,")
    for on in (FIRST, SECOND):
        school.tried("Amara", on)
    school.tried("Amara", FIRST, outcome="shaky")
    school.tried("Amara", THIRD, outcome="removed")
    school.tried("Amara", THIRD, lesson=None)
    assert days(school, "Amara") == (FIRST,)
    assert days(school, "Bao") == (THIRD,)


def test_a_try_that_was_corrected_away_tells_nothing(school):
    first = school.tried("Amara", THIRD)
    school.tried("Amara", SECOND)
    school.tried("Bao", THIRD, attempt=first.attempt, revision=2)
    assert days(school, "Amara") == (SECOND,)
    assert days(school, "Bao") == (THIRD,)


def test_a_cancelled_lesson_was_attended_by_nobody(school):
    load(school, HEADER, "2026-03-03,Amara,here,", "2026-03-10,Amara,here,")
    school.tried("Bao", THIRD)
    Lesson.objects.filter(on=THIRD).update(state="cancelled")
    assert days(school, "Amara") == (SECOND,)
    assert days(school, "Bao") == ()


def test_only_the_last_few(school):
    tuesdays = [THIRD - timedelta(weeks=week) for week in range(8)]
    for on in tuesdays:
        school.tried("Amara", on)
    assert days(school, "Amara", most=6) == tuple(tuesdays[:6])


def test_strangers_see_nothing(school):
    load(school, HEADER, "2026-03-10,Amara,here,")
    for stranger in strangers(school):
        assert attendance.of_lesson(stranger, lesson_id=school.lesson_id(THIRD)) == {}
        assert attendance.attended(stranger, student_ids=school.ids, before=date.max, most=6) == {}


def test_the_example_loads(school):
    content = (fact_school.EXAMPLES / "attendance.csv").read_text()
    assert load(school, content) == (8, 0, 0)
    assert states(school, THIRD) == {"Amara": "here", "Bao": "here", "Tariq": "here"}
