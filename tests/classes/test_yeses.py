from copy import deepcopy
from datetime import date, timedelta
from uuid import uuid4

import pytest

from accounts.models import Member, School
from accounts.scope import NotAllowed, Unknown
from classes import attendance, falls, yeses
from classes.models import Lesson, Yes
from curriculum import editions
from tests.classes import fact_school
from tests.classes.fact_school import AT, CURRICULUM, counts, events, publish, refusal, strangers
from tests.once import once

HEADER = "student,skill,role,kind,given_on,tonight,by"
YES = "Bao,Seat on a table,flyer,begin,2026-02-24,,"
BAO = ("Bao", "seat_on_a_table", "flyer", "begin")
GIVEN, TONIGHT = date(2026, 2, 24), date(2026, 3, 10)


built, school = once(fact_school.build)


def load(school, *lines, **asked):
    return counts(yeses.load, school.teacher, HEADER, *lines, **asked)


def refused(school, *lines, **asked):
    return refusal(yeses.load, school.teacher, Yes, HEADER, *lines, **asked)


def held(school, on=TONIGHT):
    """The yeses that hold at the lesson of a day, with the children's names."""
    found = yeses.current(
        school.teacher,
        student_ids=school.ids,
        on=on,
        lesson_id=school.lesson_id(on),
        edition=school.edition(on),
    )
    names = {id_: name for name, id_ in school.children.items()}
    return {(names[student_id], *rest) for student_id, *rest in found}


def here(school, name, *tuesdays):
    lines = [f"{on},{name},here" for on in tuesdays]
    counts(attendance.load, school.teacher, "date,student,state", *lines, klass=school.klass)


def fell(school, on, looked_at_on="", *, skill="Seat on a table", role="flyer"):
    header = "date,student,skill,role,kind,phase,looked_at_on"
    line = f"{on},Bao,{skill},{role},near miss,hold,{looked_at_on}"
    counts(falls.load, school.teacher, header, line)


def test_a_yes_holds_from_the_day_it_was_given(school):
    assert load(school, YES) == (1, 0, 0)
    assert held(school, date(2026, 2, 17)) == set()
    assert held(school, GIVEN) == {BAO}
    assert held(school, date(2027, 2, 23)) == {BAO}
    assert load(school, YES) == (0, 0, 1)
    assert events("give_yes") == 1


def test_who_gave_it(school):
    load(school, YES, "Amara,table,solo,show,2026-02-24,,Marit O.")
    givers = dict(Yes.objects.values_list("skill__key", "member__name"))
    assert givers == {"seat_on_a_table": "Tendai R.", "table": "Marit O."}
    # An empty name leaves the giver as she stands, whoever loads the file.
    assert counts(yeses.load, school.head, HEADER, YES) == (0, 0, 1)
    assert load(school, YES + "Marit O.") == (0, 1, 0)
    assert Yes.objects.get(skill__key="seat_on_a_table").member_id == school.head.member_id


def test_for_one_evening_only(school):
    line = "Bao,seat_on_a_table,flyer,no spot,2026-03-10,yes,"
    assert load(school, line, klass=school.klass) == (1, 0, 0)
    assert Lesson.objects.get().id == school.lesson_id(TONIGHT)
    assert held(school, TONIGHT) == {("Bao", "seat_on_a_table", "flyer", "no_spot")}
    assert held(school, date(2026, 3, 17)) == set()
    assert load(school, line, klass=school.klass) == (0, 0, 1)


def test_a_helper_s_yes_where_the_card_has_a_spot(school):
    load(school, "Amara,Seat on a table,spotter,begin,2026-02-24,,")
    assert held(school) == {("Amara", "seat_on_a_table", "spotter", "begin")}


def test_three_weeks_away_are_no_break(school):
    load(school, YES)
    here(school, "Bao", GIVEN)
    assert held(school, GIVEN + timedelta(weeks=3)) == {BAO}


def test_more_than_three_weeks_away_are_one(school):
    load(school, YES)
    here(school, "Bao", GIVEN)
    assert held(school, GIVEN + timedelta(weeks=4)) == set()
    # One given on the evening she is back is not older than her coming back.
    load(school, YES.replace("2026-02-24", "2026-03-24"))
    assert held(school, date(2026, 3, 24)) == {BAO}
    here(school, "Bao", date(2026, 3, 24))
    assert held(school, date(2026, 3, 31)) == {BAO}


def test_a_yes_given_while_she_was_away_runs_out_as_she_comes_back(school):
    here(school, "Bao", date(2026, 2, 3))
    load(school, YES)
    assert held(school, GIVEN) == {BAO}
    assert held(school, date(2026, 3, 3)) == set()


def test_what_ran_out_stays_so_after_she_is_back(school):
    load(school, YES)
    here(school, "Bao", GIVEN, date(2026, 3, 24))
    assert held(school, date(2026, 3, 31)) == set()


def test_the_weeks_are_the_school_s_policy(school):
    load(school, YES)
    here(school, "Bao", GIVEN)
    School.objects.filter(id=school.id).update(back_after_weeks=1)
    assert held(school, GIVEN + timedelta(weeks=1)) == {BAO}
    assert held(school, GIVEN + timedelta(weeks=2)) == set()


def test_a_child_of_whom_nothing_is_known_has_no_break(school):
    load(school, YES)
    assert held(school, GIVEN + timedelta(weeks=20)) == {BAO}


def test_a_later_fall_in_the_skill_ends_it(school):
    load(school, YES)
    fell(school, "2026-03-03", "2026-03-04")
    assert held(school, date(2026, 2, 24)) == {BAO}
    assert held(school, date(2026, 3, 3)) == set()
    assert held(school, TONIGHT) == set()
    load(school, YES.replace("2026-02-24", "2026-03-10"))
    assert held(school, TONIGHT) == {BAO}


def test_an_open_fall_holds_back_every_yes_in_the_skill(school):
    load(school, YES)
    fell(school, "2026-02-17", role="base")
    assert held(school) == set()
    fell(school, "2026-02-17", "2026-03-10", role="base")
    assert held(school, date(2026, 3, 3)) == set()
    assert held(school, TONIGHT) == {BAO}


def test_on_the_day_of_the_fall_the_look_decides(school):
    load(school, YES)
    fell(school, "2026-02-24", "2026-02-24")
    assert held(school) == {BAO}
    fell(school, "2026-02-24", "2026-02-25")
    assert held(school) == set()


def test_a_fall_in_another_skill_leaves_it(school):
    load(school, YES)
    fell(school, "2026-03-03", skill="Kneeling on a table")
    assert held(school) == {BAO}


def with_another_card(*keys):
    document = deepcopy(CURRICULUM)
    for key in keys:
        document["skills"][key]["criterion"] = "8 s, arms open"
    return document


def take_on(school, document, from_date):
    editions.adopt(
        school.head,
        studio_id=school.studio_id,
        number=publish(school.head, document),
        from_date=from_date,
        at=AT,
    )


def test_an_edition_with_another_card_ends_it(school):
    load(school, YES, "Bao,table,solo,show,2026-02-24,,")
    take_on(school, with_another_card("seat_on_a_table"), date(2026, 3, 10))
    table = ("Bao", "table", "solo", "show")
    assert held(school, date(2026, 3, 3)) == {BAO, table}
    assert held(school, TONIGHT) == {table}
    load(school, YES.replace("2026-02-24", "2026-03-10"))
    assert held(school, TONIGHT) == {BAO, table}


def test_an_edition_with_another_card_taken_on_the_day_of_the_yes(school):
    take_on(school, with_another_card("seat_on_a_table"), GIVEN)
    load(school, YES)
    assert held(school) == {BAO}


def test_an_edition_in_between_ends_it_for_good(school):
    load(school, YES)
    take_on(school, with_another_card("seat_on_a_table"), date(2026, 3, 3))
    take_on(school, CURRICULUM | {"name": "as before"}, TONIGHT)
    assert held(school) == set()


def test_an_edition_that_is_published_but_not_in_use_changes_nothing(school):
    load(school, YES)
    publish(school.head, with_another_card("seat_on_a_table"))
    take_on(school, with_another_card("seat_on_a_table"), date(2026, 3, 17))
    assert held(school) == {BAO}


def test_a_skill_that_is_no_longer_taught(school):
    load(school, "Bao,Kneeling on a table,flyer,begin,2026-02-24,,")
    document = deepcopy(CURRICULUM)
    del document["skills"]["kneeling_on_a_table"]
    take_on(school, document, date(2026, 3, 3))
    assert held(school) == set()


def test_without_an_edition_nothing_holds(school):
    load(school, YES)
    asked = {"student_ids": school.ids, "on": TONIGHT, "lesson_id": school.lesson_id(TONIGHT)}
    assert yeses.current(school.teacher, edition=None, **asked) == frozenset()


def test_a_lesson_that_is_not_there(school):
    asked = {"student_ids": school.ids, "on": TONIGHT, "edition": school.edition(TONIGHT)}
    with pytest.raises(Unknown, match="no such lesson"):
        yeses.current(school.teacher, lesson_id=uuid4(), **asked)


def test_only_the_children_asked_for(school):
    load(school, YES)
    found = yeses.current(
        school.teacher,
        student_ids={school.children["Amara"]},
        on=TONIGHT,
        lesson_id=school.lesson_id(TONIGHT),
        edition=school.edition(TONIGHT),
    )
    assert found == frozenset()


def test_strangers_see_nothing(school):
    load(school, YES)
    for stranger in strangers(school):
        with pytest.raises(Unknown):
            yeses.current(
                stranger,
                student_ids=school.ids,
                on=TONIGHT,
                lesson_id=school.lesson_id(TONIGHT),
                edition=school.edition(TONIGHT),
            )


def test_a_dry_run_stores_nothing(school):
    line = "Bao,seat_on_a_table,flyer,begin,2026-03-10,yes,"
    assert load(school, line, klass=school.klass, dry_run=True) == (1, 0, 0)
    assert not Yes.objects.exists()
    assert not Lesson.objects.exists()


def test_an_assistant_may_not(school):
    with pytest.raises(NotAllowed, match="loading yeses: a teacher's right"):
        counts(yeses.load, school.assistant, HEADER, YES)


def test_every_fault_at_once(school):
    Member.objects.filter(name="Marit O.").update(from_date=date(2026, 3, 1))
    assert refused(
        school,
        YES,
        "Bao,Seat on a chair,flyer,start,2026-02-24,,",
        "Bao,Standing tight,spotter,begin,2026-02-24,,",
        "Bao,Seat on a table,flyer,begin,24/02/2026,,Aroha T.",
        "Bao,Seat on a table,flyer,show,2026-02-24,,Aroha T.",
        "Bao,Seat on a table,flyer,show,2026-02-24,,Marit O.",
        "Bao,Seat on a table,flyer,show,2026-02-25,yes,",
        "Bao,SEAT ON A TABLE,Flyer,Begin,24.2.2026,no,tendai  r",
        ",,,,,,",
        "Bao,,base,,,,",
        klass=school.klass,
    ) == [
        "row 3, column “skill”: the curriculum in use has no skill “Seat on a chair”; close to it:"
        " Seat on a table",
        "row 3, column “kind”: “start” should be one of begin, no_spot, show",
        "row 4, column “role”: Standing tight has no role spotter; it has solo",
        "row 5, column “given_on”: “24/02/2026” should be a date such as 2026-03-02",
        "row 6, column “by”: Aroha T. is an assistant: a teacher's right",
        "row 7, column “by”: nobody called “Marit O.” was on the staff on 2026-02-24",
        "row 8, column “given_on”: Tuesday beginners meets on Tuesdays, 2026-02-25 is a Wednesday",
        "row 9: about the same as row 2",
        "row 11, column “given_on”: missing",
        "row 11, column “skill”: missing",
        "row 11, column “kind”: missing",
    ]


def test_two_skills_of_one_name(school):
    document = deepcopy(CURRICULUM)
    document["skills"]["table"]["name"] = "Standing Tight"
    take_on(school, document, date(2026, 3, 10))
    assert refused(school, "Bao,standing tight,solo,show,2026-03-10,,") == [
        "row 2, column “skill”: “standing tight” may be standing_tight or table: write which"
    ]


def test_the_example_loads(school):
    content = (fact_school.EXAMPLES / "yeses.csv").read_bytes()
    loaded = yeses.load(school.teacher, content=content, at=AT, klass=school.klass)
    assert loaded.new == 4
    assert held(school) == {
        ("Amara", "seat_on_a_table", "base", "begin"),
        BAO,
        ("Bao", "seat_on_a_table", "flyer", "no_spot"),
        ("Tariq", "seat_on_a_table", "flyer", "begin"),
    }
