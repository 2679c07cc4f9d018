import json
from datetime import UTC, date, datetime, time
from pathlib import Path

import pytest
import time_machine
from django.core.management import call_command

from accounts.commands import Refused
from accounts.faults import BadDocument
from accounts.models import Event, Member, School, Studio
from accounts.policy import policy
from accounts.scope import NotAllowed
from classes import lessons, timetable
from classes.classes import class_named
from classes.models import Class, Closure, Lesson, Term
from curriculum import editions
from tests.classes.fact_school import CURRICULUM
from tests.factories import AT, MemberFactory, SchoolFactory, StudioFactory, every_row, scope

EXAMPLE = Path(__file__).parents[2] / "docs" / "formats" / "examples" / "classes.yaml"
HARBOUR = "studios: [{name: Sellane Harbour, zone: Europe/Lisbon}]\n"
TUESDAY = (
    "classes: [{name: Tuesday beginners, studio: Sellane Harbour, weekday: Tuesday,"
    " starts: 17:00}]\n"
)


@pytest.fixture
def head(db):
    return scope(MemberFactory(school=SchoolFactory(name="Orrowmere"), name="Marit O."))


def load(head, text, **options):
    return timetable.load(head, content=f"format: classes/1\n{text}".encode(), at=AT, **options)


def again(head):
    """The head teacher's scope with the studios that there are by now."""
    return scope(Member.objects.get(id=head.member_id))


def refused(head, content):
    """The faults of a file, after making sure that it changed nothing."""
    before = every_row()
    with pytest.raises(BadDocument) as caught:
        timetable.load(head, content=content, at=AT)
    assert every_row() == before
    return str(caught.value).splitlines()


def test_a_school_takes_shape(head):
    loaded = timetable.load(head, content=EXAMPLE.read_bytes(), at=AT)
    assert loaded == timetable.Loaded(
        new=(
            "studio Sellane Harbour",
            "studio Far Orrow Hall",
            "studio Brackfold Mill",
            "term spring 2026",
            "term autumn 2026",
            "term spring 2027",
            "closure autumn break",
            "closure storm",
            "class Tuesday beginners",
            "class Monday beginners",
            "class Friday mixed",
        ),
        changed=(),
        standing=2,
        adopted=(),
        lessons=0,
    )
    mill = Studio.objects.get(name="Brackfold Mill")
    assert (mill.zone, mill.units, mill.mats) == ("Europe/Lisbon", "imperial", 5)
    klass = Class.objects.get(name="Friday mixed")
    assert (klass.weekday, klass.starts_at, klass.minutes) == (4, time(18, 0), 60)
    assert klass.studio.name == "Far Orrow Hall"
    assert Class.objects.get(name="Monday beginners").minutes == 45
    storm = Closure.objects.get(name="storm")
    assert (storm.studio.name, storm.first_on, storm.last_on) == (
        "Far Orrow Hall",
        date(2026, 10, 9),
        date(2026, 10, 9),
    )
    assert Closure.objects.get(name="autumn break").studio is None
    assert Term.objects.get(name="autumn 2026").last_on == date(2026, 12, 18)
    assert Event.objects.filter(member_id=head.member_id, what__startswith="add_").count() == 11


def test_the_same_file_again_changes_nothing(head):
    timetable.load(head, content=EXAMPLE.read_bytes(), at=AT)
    before = every_row()
    loaded = timetable.load(again(head), content=EXAMPLE.read_bytes(), at=AT)
    assert (loaded.new, loaded.changed, loaded.standing) == ((), (), 13)
    assert every_row() == before


def test_what_stands_takes_the_new_values(head):
    load(
        head,
        HARBOUR
        + TUESDAY
        + "terms: [{name: spring, first: 2026-01-06, last: 2026-06-30}]\n"
        + "closures: [{name: break, first: 2026-04-06, last: 2026-04-10}]\n",
    )
    loaded = load(
        again(head),
        "studios: [{name: SELLANE HARBOUR, zone: Europe/Lisbon, mats: 6}]\n"
        "terms: [{name: spring, first: 2026-01-06, last: 2026-06-23}]\n"
        "closures: [{name: spring break, first: 2026-04-06, last: 2026-04-17}]\n"
        "classes: [{name: tuesday beginners, studio: sellane harbour, weekday: Tuesday,"
        " starts: 17:30, minutes: 60}]\n",
    )
    assert loaded.changed == (
        "studio Sellane Harbour",
        "term spring",
        "closure spring break",
        "class Tuesday beginners",
    )
    assert (loaded.new, loaded.standing) == ((), 0)
    klass = class_named(again(head), name="Tuesday beginners")
    assert (klass.mats, klass.starts_at, klass.minutes) == (6, time(17, 30), 60)
    assert Closure.objects.get().last_on == date(2026, 4, 17)
    event = Event.objects.get(what="change_class")
    assert (event.about, event.details) == (klass.id, {"columns": ["starts_at", "minutes"]})


def test_a_closure_is_taken_out_again(head):
    entry = "closures: [{name: break, first: 2026-04-06, last: 2026-04-10%s}]"
    load(head, entry % "")
    assert load(head, entry % ", remove: true").changed == ("closure break (taken out)",)
    assert not Closure.objects.exists()
    loaded = load(head, entry % ", remove: true")
    assert (loaded.new, loaded.changed) == ((), ())


def test_a_term_is_taken_out_and_another_has_its_days(head):
    entry = "{name: spring, first: 2026-01-06, last: 2026-04-03%s}"
    load(head, f"terms: [{entry % ''}]")
    other = "{name: Lent, first: 2026-02-02, last: 2026-03-20}"
    loaded = load(head, f"terms: [{other}, {entry % ', remove: true'}]")
    assert (loaded.new, loaded.changed) == (("term Lent",), ("term spring (taken out)",))
    assert [term.name for term in Term.objects.all()] == ["Lent"]
    loaded = load(head, f"terms: [{entry % ', remove: true'}]")
    assert (loaded.new, loaded.changed) == ((), ())


def test_coming_lessons_follow_their_class_and_their_zone(head):
    load(head, HARBOUR + TUESDAY)
    head = again(head)
    klass = class_named(head, name="Tuesday beginners")
    for on in (date(2026, 3, 10), date(2026, 3, 17), date(2026, 7, 7)):
        lessons.ensure(head, klass=klass, on=on)
    assert load(head, TUESDAY.replace("17:00", "18:00")).lessons == 2
    zoned = load(head, "studios: [{name: Sellane Harbour, zone: Atlantic/Azores}]")
    assert zoned.lessons == 2
    assert list(Lesson.objects.order_by("on").values_list("starts_at", flat=True)) == [
        datetime(2026, 3, 10, 17, tzinfo=UTC),  # held already
        datetime(2026, 3, 17, 19, tzinfo=UTC),
        datetime(2026, 7, 7, 18, tzinfo=UTC),
    ]
    assert load(head, "studios: [{name: Sellane Harbour, zone: Atlantic/Azores}]").lessons == 0


def test_new_studios_begin_with_the_newest_curriculum(head):
    curriculum = editions.read_curriculum(json.dumps(CURRICULUM).encode())
    editions.publish(head, curriculum=curriculum, at=AT)
    assert load(head, HARBOUR, dry_run=True).adopted == ()
    assert load(head, HARBOUR).adopted == ("Sellane Harbour",)
    assert load(again(head), HARBOUR).adopted == ()


def test_policy_changes_are_events(head):
    text = "policy: {uses_mass: true, bar: 0.85, adults_in_room: 2}"
    loaded = load(head, text, confirmed=True)
    assert (loaded.changed, loaded.standing) == (("policy uses_mass", "policy bar"), 1)
    rules = policy(head)
    assert (rules.uses_mass, rules.bar, rules.adults_in_room) == (True, 0.85, 2)
    assert [e.details for e in Event.objects.filter(what="change_policy").order_by("id")] == [
        {"column": "uses_mass", "was": False, "becomes": True},
        {"column": "bar", "was": 0.8, "becomes": 0.85},
    ]


def test_the_bounds_of_the_schema_are_those_of_the_database():
    schema = json.loads(timetable.SCHEMA.read_text())
    properties = schema["$defs"]["policy"]["properties"]
    bounds = {}
    for constraint in School._meta.constraints:
        column = constraint.name.removeprefix("school_").removesuffix("_range")
        values = {key.split("__")[1]: value for key, value in constraint.condition.children}
        bounds[column] = (values["gte"], values["lte"])
    assert bounds == {
        key: (value["minimum"], value["maximum"])
        for key, value in properties.items()
        if value["type"] != "boolean"
    }


def test_a_dry_run_only_says(head):
    before = every_row()
    loaded = timetable.load(head, content=EXAMPLE.read_bytes(), at=AT, dry_run=True)
    assert len(loaded.new) == 11
    assert every_row() == before


def test_only_a_head_teacher_may(head):
    studio = StudioFactory(school_id=head.school_id)
    teacher = scope(MemberFactory(school=studio.school, role="teacher", studios=[studio]))
    with pytest.raises(NotAllowed, match="loading classes: a head teacher's right"):
        load(teacher, HARBOUR)


def test_schools_do_not_meet(head):
    other = scope(MemberFactory(school=SchoolFactory()))
    load(other, HARBOUR + TUESDAY)
    assert refused(head, f"format: classes/1\n{TUESDAY}".encode()) == [
        "/classes/0/studio: no studio is called “Sellane Harbour”"
    ]
    load(head, HARBOUR + TUESDAY)
    assert Class.objects.filter(name="Tuesday beginners").count() == 2


def test_faults_of_form_all_at_once(head):
    content = b"""
format: classes/2
studios:
  - {name: " ", units: feet, mats: 61}
  - {name: 7, zone: Europe/Lisbon, hall: big}
classes:
  - {name: Tuesday beginners, studio: Sellane Harbour, weekday: Tue, starts: 17:00, minutes: 5}
policy: {bar: 1, uses_mass: yes, adults_in_room: 0, mass_from_age: 10, weigh: true}
"""
    assert refused(head, content) == [
        "/classes/0/minutes: should be at least 10",
        "/classes/0/weekday: should be one of Monday, Tuesday, Wednesday, Thursday, Friday,"
        " Saturday, Sunday",
        "/format: should be classes/1",
        "/policy/adults_in_room: should be at least 1",
        "/policy/bar: should be at most 0.99",
        "/policy/mass_from_age: should be at least 11",
        "/policy/uses_mass: should be true or false",
        "/policy/weigh: unknown key; known are bar, adults_in_room, children_per_adult,"
        " turns_under_one_spot, back_after_weeks, pair_check_days, height_days, max_load_ratio,"
        " flyer_taller_by_at_most_cm, uses_mass, mass_from_age, agreements_kept_elsewhere",
        "/studios/0/mats: should be at most 60",
        "/studios/0/name: should not be empty",
        "/studios/0/units: should be one of metric, imperial",
        "/studios/0/zone: missing",
        "/studios/1/hall: unknown key; known are name, zone, units, mats",
        "/studios/1/name: should be a text",
    ]


def test_faults_of_sense_all_at_once(head):
    load(
        head,
        HARBOUR + TUESDAY + "terms: [{name: autumn, first: 2026-09-01, last: 2026-12-18}]\n",
    )
    content = b"""
format: classes/1
studios:
  - {name: Brackfold Mill, zone: Europe/Lisboa}
  - {name: Brackfold mill, zone: Europe/Lisbon}
  - {name: Far Orrow Hall, zone: localtime}
terms:
  - {name: all year, first: 2026-01-01, last: 2026-12-31}
  - {name: spring, first: 2026-02-30, last: 2026-06-30}
  - {name: summer, first: 2026-08-01, last: 2026-07-01}
  - {name: inside, first: 2026-02-01, last: 2026-03-01}
  - {name: far, first: 2062-02-01, last: 2062-03-01}
closures:
  - {name: one, first: 2026-04-06, last: 2026-04-10}
  - {name: two, first: 2026-04-06, last: 2026-04-11}
  - {name: three, first: 2026-04-06, last: 2026-04-11, studio: Sellane Harbor}
  - {name: four, first: 6.4.2026, last: "20260411"}
classes:
  - {name: Tuesday beginners, studio: Brackfold Mill, weekday: Tuesday, starts: 17:00}
  - {name: Late, studio: Sellane Harbour, weekday: Tuesday, starts: 23:30}
  - {name: Later, studio: Sellane Harbour, weekday: Tuesday, starts: 24:00}
  - {name: Latest, studio: Nowhere, weekday: Tuesday, starts: 5 pm}
  - {name: late, studio: Sellane Harbour, weekday: Tuesday, starts: 16:00}
"""
    assert refused(again(head), content) == [
        "/studios/0/zone: no IANA time zone “Europe/Lisboa”; close to it: Europe/Lisbon,"
        " Europe/Riga, Europe/Sofia",
        "/studios/1/name: the same as /studios/0/name",
        "/studios/2/zone: no IANA time zone “localtime”",
        "/terms/1/first: “2026-02-30” should be a date such as 2026-09-01",
        "/terms/2/last: 2026-07-01 is before 2026-08-01",
        "/terms/4/first: 2062-02-01 is more than 20 years from now",
        "/terms/4/last: 2062-03-01 is more than 20 years from now",
        "/terms/3: overlaps with the term all year",
        "/terms/0: overlaps with the term autumn",
        "/closures/1: begins on the same day as /closures/0",
        "/closures/2/studio: no studio is called “Sellane Harbor”; close to it: Sellane Harbour",
        "/closures/3/first: “6.4.2026” should be a date such as 2026-09-01",
        "/closures/3/last: “20260411” should be a date such as 2026-09-01",
        "/classes/0/studio: Tuesday beginners is at Sellane Harbour, and a class does not move:"
        " a new one needs a name of its own",
        "/classes/1/minutes: ends after midnight",
        "/classes/2/starts: “24:00” should be a time such as 17:00",
        "/classes/3/studio: no studio is called “Nowhere”",
        "/classes/3/starts: “5 pm” should be a time such as 17:00",
        "/classes/4/name: the same as /classes/1/name",
    ]


@pytest.mark.parametrize(
    ("content", "faults"),
    [
        (b"", ["/: should be a mapping"]),
        (
            b"format: classes/1\nterms: &a []\n",
            ["line 2, column 8: an anchor (&name) is not allowed"],
        ),
        (b"format: classes/1\nterms: !!python/name:os []\n", None),
        (
            b"format: classes/1\nformat: classes/1\n",
            ["line 2, column 1: the key “format” is given twice"],
        ),
        (b"format: classes/1\nstudios: [\n", None),
        (b"format: classes/1\nterms: " + b"[" * 100, ["line 2, column 67: nested deeper than 60"]),
        (b"\xff\xfef\x00o\x00", ["byte 0: not UTF-8"]),
        (
            b'format: classes/1\nstudios: [{name: "a\\0b", zone: Europe/Lisbon}]',
            ["line 2, column 18: a control character or half a character is not allowed"],
        ),
        (
            b'format: classes/1\nstudios: [{name: "\\ud83d", zone: Europe/Lisbon}]',
            ["line 2, column 18: a control character or half a character is not allowed"],
        ),
        (b"#" * 2_000_001, ["the file: larger than 2000000 bytes"]),
    ],
)
def test_what_is_no_such_file_is_refused(head, content, faults):
    found = refused(head, content)
    assert len(found) == 1
    assert faults is None or found == faults


def test_through_the_command(head, capsys, tmp_path):
    command = ["load_classes", str(EXAMPLE), "--school", "Orrowmere", "--as", "Marit O."]
    with time_machine.travel(AT, tick=False):
        call_command(*command, "--dry-run")
        assert capsys.readouterr().out.splitlines()[-2:] == [
            "11 new, 0 changed, 2 known already",
            "dry run: nothing was loaded",
        ]
        assert not Studio.objects.exists()
        call_command(*command)
        assert capsys.readouterr().out.splitlines()[0] == "new: studio Sellane Harbour"
        call_command(*command)
        assert capsys.readouterr().out.splitlines() == [
            "0 new, 0 changed, 13 known already",
            "nothing changed",
        ]
        bad = tmp_path / "classes.yaml"
        bad.write_text("format: classes/1\nclasses: [{name: x}]\n")
        with pytest.raises(Refused) as caught:
            call_command(command[0], str(bad), *command[2:])
    assert caught.value.returncode == 2
    assert str(caught.value).splitlines() == [
        "nothing was loaded",
        "/classes/0/starts: missing",
        "/classes/0/studio: missing",
        "/classes/0/weekday: missing",
    ]


def test_minutes_that_a_teacher_set_for_one_evening_stay(head):
    load(head, HARBOUR + TUESDAY)
    head = again(head)
    klass = class_named(head, name="Tuesday beginners")
    for on in (date(2026, 3, 17), date(2026, 3, 24)):
        lessons.ensure(head, klass=klass, on=on)
    set_so = lessons.lesson_id(klass.id, date(2026, 3, 17))
    Lesson.objects.filter(id=set_so).update(minutes=60)
    assert load(head, TUESDAY.replace("17:00", "18:00, minutes: 50")).lessons == 2
    kept = Lesson.objects.order_by("on").values_list("minutes", "starts_at__hour")
    assert list(kept) == [(60, 18), (50, 18)]
