"""The sheet of a lesson as one document.

After an expected change write the document under golden/ anew with GOLDEN=write in the environment
and read the difference.
"""

import json
import os
import re
from dataclasses import asdict
from datetime import timedelta
from pathlib import Path

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from accounts.models import School
from accounts.scope import Unknown
from classes.models import Agreement, Attendance, Lesson, LessonSpotter, Measurement, Student
from planning import group_changes
from planning.lesson_sheet import lesson_sheet, page, suggested, table
from tests import factories
from tests.once import once
from tests.planning import school
from tests.planning.build import (
    AGREED,
    FOUR,
    LIFTED,
    ON,
    PROPS,
    STARTS,
    Pupil,
    clean,
    pupils,
    with_card,
)
from tests.planning.read_aloud import assert_fit_to_read_aloud

LATER = ON + timedelta(days=54)
GOLDEN = Path(__file__).parent / "golden" / "lesson_sheet.json"
STATEMENTS = json.loads((Path(__file__).parent / "statements.json").read_text(encoding="utf-8"))
UUID = re.compile(r"[0-9a-f]{8}(-[0-9a-f]{4}){3}-[0-9a-f]{12}")


def build(*children, name="Another school", **said):
    rows = school.build(*children, name=name, **said)
    LessonSpotter.objects.create(
        school_id=rows.id, lesson=rows.lesson(), member_id=rows.assistant.member_id
    )
    return rows


def sheet(rows, scope=None, on=ON):
    return lesson_sheet(scope or rows.teacher, lesson_id=rows.lesson(on).id, today=on)


def as_bytes(told) -> bytes:
    return json.dumps(asdict(told), default=str, ensure_ascii=False).encode()


def line(told, name, skill, role):
    child = next(one for one in told.children if one.name == name)
    return next(one for one in child.skills if (one.skill, one.role) == (skill, role))


built, rows = once(lambda: build(*pupils(*FOUR, tries=PROPS), name=school.SCHOOL))


# -- the lesson ------------------------------------------------------------------------------


def test_the_lesson_in_the_studio_s_own_time(rows):
    Lesson.objects.update(mats=3, surface="grass", note="the key is with Marit", minutes=50)
    told = sheet(rows)
    lesson = told.lesson
    assert lesson.starts_at.isoformat() == "2026-03-10T17:00:00+00:00"
    assert lesson.ends_at.isoformat() == "2026-03-10T17:50:00+00:00"
    assert (lesson.zone, lesson.mats, lesson.surface) == ("Europe/Lisbon", 3, "grass")
    assert (lesson.note, lesson.closed) == ("the key is with Marit", None)
    assert [one.name for one in lesson.spotters] == ["Aroha T."]
    assert (lesson.adults_in_room, lesson.adults_needed) == (2, 2)
    assert (told.klass.name, told.studio.name) == ("Tuesday beginners", "Sellane Harbour")
    assert (told.edition.number, told.edition.name) == (1, "curriculum, spring 2026")
    # From the last Sunday of March Lisbon is an hour ahead of UTC.
    later = sheet(rows, on=ON + timedelta(weeks=3)).lesson
    assert later.starts_at.isoformat() == "2026-03-31T17:00:00+01:00"


def test_a_lesson_that_nobody_has_entered_yet(rows):
    before = factories.every_row()
    planned = school.lessons.lesson_id(rows.klass.id, ON + timedelta(weeks=1))
    told = lesson_sheet(rows.teacher, lesson_id=planned, today=ON)
    assert told.lesson.on == ON + timedelta(weeks=1)
    assert [one.revision for one in told.children] == [None] * 4
    assert factories.every_row() == before


def test_a_lesson_that_is_not_in_sight(rows):
    other = build()
    for make in (lesson_sheet, page, suggested):
        with pytest.raises(Unknown, match="no such lesson"):
            make(other.head, lesson_id=rows.lesson().id, today=ON)
    with pytest.raises(Unknown, match="no such skill with groups"):
        table(rows.teacher, lesson_id=rows.lesson().id, skill="bridge", today=ON)


# -- the children ----------------------------------------------------------------------------


def test_everybody_of_the_list_with_what_was_entered(rows):
    other = factories.ClassFactory(studio=rows.klass.studio, name="Thursday second year")
    rows.children["Aurelio"] = factories.StudentFactory(
        school_id=rows.id, identity__given_name="Aurelio", classes=[other]
    ).id
    rows.attended("Aurelio", "here")
    rows.attended("Bao", "away")
    rows.attended("Hana", "not_today")
    Attendance.objects.filter(student_id=rows.children["Hana"]).update(revision=3)
    told = sheet(rows)
    assert [(one.name, one.state, one.revision, one.visitor) for one in told.children] == [
        ("Amara", "here", None, False),
        ("Aurelio", "here", 1, True),
        ("Bao", "away", 1, False),
        ("Hana", "not_today", 3, False),
        ("Tariq", "here", None, False),
    ]
    assert rows.children["Bao"] in told.pair_tables[0].children
    assert rows.children["Hana"] not in told.pair_tables[0].children


def test_each_skill_and_role_in_words(db):
    lean = clean("lean", role="partner", weeks=(2,), spot="hands_near")
    rows = build(
        Pupil("Amara", (*PROPS, *lean), restricted=(("wrists", LATER),)),
        Pupil("Bao", clean("table"), last_here=ON - timedelta(weeks=5)),
        Pupil("Demba", (), trial=True),
    )
    rows.say_yes("Bao", "chest_rest", "flyer")
    told = sheet(rows)
    amara = told.children[0]
    assert amara.not_for_now == ("the wrists rest until 3 May",)
    one = line(told, "Amara", "lean", "partner")
    assert (one.ready, one.stopped, one.spot) == (True, False, None)
    assert one.says == "goes on: with hands near so far, last seen on 24 February"
    assert one.help == "with hands near"
    assert one.without == ("turn_out",)
    one = line(told, "Amara", "chest_rest", "base")
    assert (one.ready, one.stopped, one.spot) == (True, True, "hands_on")
    assert one.says == "not for now: the wrists rest until 3 May"
    one = line(told, "Bao", "chest_rest", "flyer")
    assert (one.ready, one.says) == (True, "a teacher has said yes to begin")
    one = line(told, "Bao", "lean", "partner")
    assert (one.ready, one.help) == (False, "not tried yet")
    assert one.says == "missing is the stop word, not tried yet"
    assert line(told, "Demba", "seat", "flyer").says == (
        "not for now: on trial: no lifts yet and no lifts for now"
    )
    assert line(told, "Amara", "chest_rest", "flyer").says == "may begin: what it needs is there"
    assert [one.trial for one in told.children] == [False, False, True]


def test_what_may_be_practised_at_home(db):
    """With hands near, then with no spot; nothing that is spotted and nothing that rests."""
    steady = clean("tight", "table", "bridge")
    near = clean("tight", weeks=(1,), spot="hands_near")
    held = clean("table", spot="hands_on", weeks=(2, 1))
    rows = build(
        Pupil("Amara", steady),
        Pupil("Aroha", (*clean("tight"), *clean("table", weeks=(1,), spot="hands_near"))),
        Pupil("Bao", (*near, *held)),
        Pupil("Hana", steady, restricted=(("knees", LATER),)),
        Pupil("Tariq", steady, trial=True),
        Pupil("Zoé", steady),
        documents=with_card("bridge", at_home="on a mat"),
    )
    rows.attended("Zoé", "not_today")
    assert {one.name: one.at_home for one in sheet(rows).children} == {
        "Amara": ("tight", "table"),
        "Aroha": ("table", "tight"),
        "Bao": ("tight",),
        "Hana": ("tight",),
        "Tariq": ("tight", "table"),
        "Zoé": (),
    }


# -- the cards -------------------------------------------------------------------------------


def test_the_cards_of_the_edition_in_use_in_teaching_order(rows):
    told = sheet(rows)
    assert [card.skill for card in told.cards] == [*school.DOCUMENTS]
    lean, seat = (next(one for one in told.cards if one.skill == key) for key in ("lean", "seat"))
    assert asdict(lean.agreed_before) == {
        "count": "“3, 2, 1, lean”",
        "first": "right hand first",
        "steps": 4,
        "way_out": "pull up together",
    }
    assert [(way.key, way.name) for way in lean.ways_out] == [
        ("pull_up", "pull up together"),
        ("turn_out", "turn out"),
    ]
    assert (seat.spot.stands, seat.way_down) == ("in front", "feet to the floor first")
    assert seat.caution == "this one tips backward: a hand stays behind the hips"
    assert [(one.role, one.min, one.max, one.loads) for one in seat.roles] == [
        ("base", 1, 1, ("knees", "wrists")),
        ("flyer", 1, 1, ()),
        ("spotter", 1, 1, ()),
    ]
    assert seat.faults == ()
    tight = next(one for one in told.cards if one.skill == "tight")
    assert [asdict(one) for one in tight.faults] == [
        {"see": "the knees give", "say": "One long pole"}
    ]
    assert (tight.at_home, lean.at_home) == ("against a wall, ten counts aloud", None)
    assert [card.skill for card in told.cards if card.alone] == ["tight", "table", "bridge"]


def test_what_a_way_asks_of_a_role_beyond_the_hold(rows):
    lean = next(one for one in sheet(rows).cards if one.skill == "lean")
    pull_up, turn_out = lean.ways_out
    assert pull_up.needs == ()
    assert [(one.role, one.says) for one in turn_out.needs] == [
        ("partner", "bridge with hands near")
    ]


# -- suggestions and groups ------------------------------------------------------------------


def test_what_suits_with_groups_where_nothing_is_kept(rows):
    told = sheet(rows)
    found = told.suggestions
    assert found == suggested(rows.teacher, lesson_id=rows.lesson().id, today=ON)
    props = next(one for one in found.groups if one.skill == "chest_rest")
    assert (props.worked_out, props.can_be_placed) == (True, 4)
    assert props.says == "four of four can be placed, moves on everybody"
    assert {*props.moves_on} == {*rows.children.values()}
    assert found.alone[0].says == "moves on everybody"
    assert told.kept == ()
    chest_rest = next(one for one in told.proposed if one.skill == "chest_rest")
    assert (chest_rest.version, chest_rest.proven, len(chest_rest.groups)) == (0, True, 2)
    assert [one.skill for one in told.pair_tables] == [one.skill for one in found.groups]
    assert told.known == "As known at 17:00 on 10 March, from tries up to 3 March."
    assert told.caution.startswith("Partner work can injure.")


def test_what_was_kept_with_its_version(rows):
    lesson = rows.lesson().id
    group_changes.regroup(rows.teacher, lesson_id=lesson, skill="line", version=0, at=STARTS)
    told = sheet(rows)
    assert [(one.skill, one.version) for one in told.kept] == [("line", 1)]
    assert told.proposed == ()
    assert told.pair_tables[0].skill == "line"
    assert all(group.id for group in told.kept[0].groups)


def test_what_to_keep_in_mind(db):
    rows = build(*pupils(*FOUR, **LIFTED))
    for name in FOUR:
        rows.say_yes(name, "seat", "base")
    told = sheet(rows)
    assert ("Lifts", "the last lift goes up by 17:35") in [
        (one.about, one.says) for one in told.says
    ]


def test_the_private_note_is_a_teacher_s_alone(db):
    worked = (*PROPS, *clean("lean", role="partner", weeks=(4, 2, 1)))
    rows = build(Pupil("Amara", worked), Pupil("Bao", worked))
    assert sheet(rows).private.startswith("For you alone: for three weeks nothing but clean tries")
    assert sheet(rows, rows.head).private == sheet(rows).private
    assert sheet(rows, rows.assistant).private is None
    assert "For you alone" not in page(rows.teacher, lesson_id=rows.lesson().id, today=ON)


# -- nothing that tells, and nothing that moves ----------------------------------------------


def weigh(rows, **masses):
    School.objects.update(uses_mass=True)
    Student.objects.update(birth_year=2013)
    Measurement.objects.filter(kind="mass_kg").delete()
    for name, kg in masses.items():
        same = {"school_id": rows.id, "student_id": rows.children[name]}
        Agreement.objects.get_or_create(**same, kind="mass", agreed_on=ON)
        Measurement.objects.create(**same, kind="mass_kg", on=ON, value=kg)


def test_another_mass_inside_the_same_decision_changes_no_byte(db):
    rows = build(*pupils(*FOUR, tries=PROPS, agreed=AGREED, height_cm=130.0, height_on=ON))
    for name in FOUR:
        for role in ("base", "flyer"):
            rows.say_yes(name, "seat", role)

    def told(**masses):
        weigh(rows, **masses)
        return [as_bytes(sheet(rows, scope)) for scope in (rows.teacher, rows.assistant)]

    one = told(Amara=45.0, Bao=25.0, Hana=24.0, Tariq=46.0)
    assert told(Amara=44.3, Bao=25.2, Hana=23.7, Tariq=48.8) == one
    assert one != told(Amara=45.0, Bao=39.0, Hana=24.0, Tariq=46.0)
    for text in one:
        assert b"another base" in text
        said = UUID.sub("", text.decode())  # an id may hold any digits
        assert not [word for word in ("45.0", "130", "2013", "kg", "mass") if word in said]


def test_equal_data_give_equal_bytes(rows):
    told = as_bytes(sheet(rows))
    assert as_bytes(lesson_sheet(rows.teacher, lesson_id=rows.lesson().id, today=LATER)) == told


def of_every_kind():
    props = (*PROPS, *clean("chest_rest", role="base", weeks=(2, 1), group="two"))
    rows = build(
        Pupil("Amara", props, agreed=AGREED, restricted=(("wrists", LATER), ("knees", ON))),
        Pupil("Bao", **LIFTED),
        Pupil("Clíodhna", **LIFTED | {"last_here": ON - timedelta(days=40)}),
        Pupil("Þóra", **LIFTED | {"trial": True}),
    )
    rows.fell("Bao", "bridge", "solo")
    rows.fell("Bao", "line", "back")
    rows.pair("Bao", "Clíodhna")
    rows.say_yes("Clíodhna", "seat", "flyer")
    rows.attended("Þóra", "away")
    lesson = rows.lesson().id
    group_changes.regroup(rows.teacher, lesson_id=lesson, skill="lean", version=0, at=STARTS)
    return rows


def test_the_same_on_every_database(db):
    """Ids are random; each becomes the number of its first place in the document."""
    numbers: dict[str, str] = {}

    def number(found):
        return numbers.setdefault(found[0], f"id {len(numbers) + 1}")

    text = json.dumps(asdict(sheet(of_every_kind())), default=str, ensure_ascii=False, indent=1)
    told = UUID.sub(number, text) + "\n"
    if os.environ.get("GOLDEN") == "write":
        GOLDEN.write_text(told, encoding="utf-8")
    assert told == GOLDEN.read_text(encoding="utf-8")


def texts(value):
    """Every text of a document, without the names of its fields."""
    if isinstance(value, dict):
        value = value.values()
    elif not isinstance(value, list | tuple):
        return [value] if isinstance(value, str) else []
    return [text for one in value for text in texts(one)]


def test_all_of_it_may_be_read_aloud():
    for text in texts(json.loads(GOLDEN.read_text(encoding="utf-8"))):
        assert_fit_to_read_aloud(text)


def test_nobody_and_nothing(db):
    rows = build(documents=school.DOCUMENTS)
    told = sheet(rows)
    assert (told.children, told.proposed, told.pair_tables) == ((), (), ())
    assert told.known == "As known before anything was logged."


# -- how much is asked -----------------------------------------------------------------------


def queries(rows):
    with CaptureQueriesContext(connection) as asked:
        sheet(rows)
    return len(asked)


def test_it_asks_the_database_as_often_for_many_children_and_a_long_log(db):
    """Neither more children nor more tries make more questions; the bench reads how many."""
    counts = {}
    for many, weeks in ((5, 3), (10, 3), (10, 9)):
        names = [f"{place:02d} Amara" for place in range(many)]
        tries = clean("tight", "table", weeks=tuple(range(1, weeks + 1)))
        rows = build(
            *pupils(*names, **LIFTED | {"tries": (*PROPS, *tries)}), name=f"School {many} {weeks}"
        )
        for name in names:
            rows.say_yes(name, "seat", "base")
        rows.lesson()
        counts[many, weeks] = queries(rows)
    assert counts == dict.fromkeys(counts, STATEMENTS["sheet"])
