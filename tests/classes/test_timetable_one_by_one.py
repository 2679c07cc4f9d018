"""Studios, terms, closures and classes one by one: the checks of the file, at their own fields."""

import json
from datetime import UTC, date, datetime, time
from uuid import uuid4

import pytest

from accounts.faults import BadDocument
from accounts.models import Event, School
from accounts.scope import Conflict, NotAllowed, Unknown
from classes import lessons, timetable
from classes.classes import ClassView, find
from classes.models import Closure, Lesson
from curriculum import editions
from tests.classes.fact_school import CURRICULUM
from tests.factories import (
    AT,
    ClassFactory,
    MemberFactory,
    SchoolFactory,
    StudioFactory,
    every_row,
    scope,
)

TUESDAYS = {"name": "Tuesday beginners", "weekday": "Tuesday", "starts": "17:00"}


@pytest.fixture
def school(db):
    return SchoolFactory(name="Orrowmere")


@pytest.fixture
def studio(school):
    return StudioFactory(school=school, name="Sellane Harbour")


@pytest.fixture
def head(school, studio):
    return scope(MemberFactory(school=school))


def add(by, kind, **said):
    return timetable.add(by, kind=kind, said=said, at=AT)


def change(by, kind, row_id, **said):
    return timetable.change(by, kind=kind, row_id=row_id, said=said, at=AT)


def faults(call, *args, **said):
    """What is wrong, after making sure that nothing changed."""
    before = every_row()
    with pytest.raises(BadDocument) as caught:
        call(*args, **said)
    assert every_row() == before
    return str(caught.value).splitlines()


def told():
    return [(event.what, event.about, event.details) for event in Event.objects.order_by("id")]


# -- studios -------------------------------------------------------------------------------------


def test_a_studio_is_added_and_begins_with_the_newest_curriculum(head, school):
    editions.publish(
        head, curriculum=editions.read_curriculum(json.dumps(CURRICULUM).encode()), at=AT
    )
    found = add(head, "studio", name=" Brackfold Mill ", zone="Atlantic/Azores", mats=5)
    assert found == timetable.StudioView(
        id=found.id, name="Brackfold Mill", zone="Atlantic/Azores", units="metric", mats=5
    )
    grown = scope(MemberFactory(school=school))
    assert editions.in_use(grown, studio_id=found.id, on=AT.date()).number == 1


def test_a_studio_takes_another_name_and_zone(head, studio):
    klass = ClassFactory(studio=studio)
    view = find(head, class_id=klass.id)
    for on in (date(2026, 3, 10), date(2026, 3, 17)):
        lessons.ensure(head, klass=view, on=on)
    found = change(head, "studio", studio.id, name="Sellane harbour", zone="Atlantic/Azores")
    assert (found.id, found.name, found.zone, found.mats) == (
        studio.id,
        "Sellane harbour",
        "Atlantic/Azores",
        8,
    )
    assert list(Lesson.objects.order_by("on").values_list("starts_at", flat=True)) == [
        datetime(2026, 3, 10, 17, tzinfo=UTC),  # held already
        datetime(2026, 3, 17, 18, tzinfo=UTC),
    ]
    assert told() == [("change_studio", studio.id, {"columns": ["name", "zone"]})]


def test_what_is_wrong_with_a_studio(head, school, studio):
    mill = StudioFactory(school=school, name="Brackfold Mill")
    assert faults(add, head, "studio", name="sellane  harbour", zone="Europe/Lisboa") == [
        "/zone: no IANA time zone “Europe/Lisboa”; close to it: Europe/Lisbon, Europe/Riga,"
        " Europe/Sofia",
        "/name: another studio is called so",
    ]
    both = scope(MemberFactory(school=school))
    assert faults(change, both, "studio", mill.id, name="Sellane Harbour") == [
        "/name: another studio is called so"
    ]


def test_a_name_is_measured_composed(head):
    # Each of these letters is composed of two.
    days = {"first": date(2026, 1, 6), "last": date(2026, 4, 3)}
    long, torn = "\u0958" * 61, "spring\nterm"
    for kind in ("term", "closure"):
        assert faults(add, head, kind, name=long, **days) == ["/name: longer than 120 characters"]
        assert faults(add, head, kind, name=torn, **days) == ["/name: holds a control character"]
    assert add(head, "term", name="e\u0301" * 120, **days).name == "\u00e9" * 120


# -- terms ---------------------------------------------------------------------------------------


def test_terms_are_added_moved_and_never_overlap(head):
    spring = add(head, "term", name="spring", first=date(2026, 1, 6), last=date(2026, 4, 3))
    assert spring == timetable.TermView(
        id=spring.id, name="spring", first_on=date(2026, 1, 6), last_on=date(2026, 4, 3)
    )
    summer = {"name": "summer", "first": date(2026, 4, 3), "last": date(2026, 6, 26)}
    assert faults(add, head, "term", **summer) == ["/first: overlaps with the term spring"]
    found = add(head, "term", **{**summer, "first": date(2026, 4, 4)})
    assert faults(change, head, "term", found.id, first=date(2026, 4, 3)) == [
        "/first: overlaps with the term spring"
    ]
    assert faults(change, head, "term", found.id, last=date(2026, 4, 3)) == [
        "/last: 2026-04-03 is before 2026-04-04"
    ]
    assert faults(change, head, "term", found.id, last=date(2062, 4, 3)) == [
        "/last: 2062-04-03 is more than 20 years from now"
    ]
    change(head, "term", spring.id, name="Spring", last=date(2026, 4, 2))
    assert change(head, "term", found.id, first=date(2026, 4, 3)).first_on == date(2026, 4, 3)
    assert [term.name for term in timetable.terms(head)] == ["Spring", "summer"]
    timetable.remove(head, kind="term", row_id=spring.id, at=AT)
    assert [term.name for term in timetable.terms(head)] == ["summer"]
    assert told()[-1] == ("remove_term", spring.id, {})


# -- closures ------------------------------------------------------------------------------------


def test_closures_are_added_moved_and_taken_out(head, studio):
    storm = {"name": "storm", "first": date(2026, 3, 17), "last": date(2026, 3, 17)}
    everywhere = add(head, "closure", **storm)
    here = add(head, "closure", **storm, studio=studio.id)
    assert (everywhere.studio_id, here.studio_id) == (None, studio.id)
    assert faults(add, head, "closure", **storm) == ["/first: another closure begins on that day"]
    assert faults(change, head, "closure", here.id, studio=None) == [
        "/first: another closure begins on that day"
    ]
    found = change(head, "closure", here.id, first=date(2026, 3, 16), studio=None, name="gale")
    assert found == timetable.ClosureView(
        id=here.id,
        name="gale",
        first_on=date(2026, 3, 16),
        last_on=date(2026, 3, 17),
        studio_id=None,
    )
    timetable.remove(head, kind="closure", row_id=everywhere.id, at=AT)
    assert [row.name for row in Closure.objects.all()] == ["gale"]
    assert told()[-1] == ("remove_closure", everywhere.id, {})
    with pytest.raises(Unknown, match="no such closure"):
        timetable.remove(head, kind="closure", row_id=everywhere.id, at=AT)


def test_what_is_wrong_with_a_closure(head):
    said = {"name": "storm", "first": date(2026, 3, 17), "last": date(2026, 3, 16)}
    for studio_id in (uuid4(), StudioFactory().id):
        assert faults(add, head, "closure", **said, studio=studio_id) == [
            "/studio: unknown",
            "/last: 2026-03-16 is before 2026-03-17",
        ]


# -- classes -------------------------------------------------------------------------------------


def test_a_class_is_added(head, studio):
    found = add(head, "class", **TUESDAYS, studio=studio.id)
    assert found == ClassView(
        id=found.id,
        name="Tuesday beginners",
        studio_id=studio.id,
        studio_name="Sellane Harbour",
        zone="Europe/Lisbon",
        mats=8,
        weekday=1,
        starts_at=time(17),
        minutes=45,
    )
    columns = ["name", "studio_id", "weekday", "starts_at", "minutes", "until"]
    assert told() == [("add_class", found.id, {"columns": columns})]


def test_coming_lessons_follow_a_class(head, studio):
    klass = add(head, "class", **TUESDAYS, studio=studio.id, minutes=60)
    for on in (date(2026, 3, 10), date(2026, 3, 17)):
        lessons.ensure(head, klass=klass, on=on)
    found = change(head, "class", klass.id, starts="17:30", name="Tuesday mixed")
    assert (found.name, found.starts_at, found.minutes) == ("Tuesday mixed", time(17, 30), 60)
    assert list(Lesson.objects.order_by("on").values_list("starts_at", flat=True)) == [
        datetime(2026, 3, 10, 17, tzinfo=UTC),
        datetime(2026, 3, 17, 17, 30, tzinfo=UTC),
    ]


@pytest.mark.parametrize(
    ("zone", "at", "held", "tonight"),
    [
        # Monday evening there, Tuesday by UTC.
        ("America/Los_Angeles", datetime(2026, 3, 10, 1, tzinfo=UTC), 2, 9),
        # Tuesday morning there, Monday by UTC.
        ("Pacific/Auckland", datetime(2026, 3, 9, 20, tzinfo=UTC), 9, 10),
    ],
)
def test_which_lessons_are_to_come_is_told_by_the_date_there(head, school, zone, at, held, tonight):
    """Lessons of a day that is over stay as they were, tonight's follow."""
    studio = StudioFactory(school=school, zone=zone)
    both = scope(MemberFactory(school=school))
    klass = add(both, "class", **TUESDAYS, studio=studio.id)
    days = [date(2026, 3, held), date(2026, 3, tonight)]
    for on in days:
        lessons.ensure(both, klass=klass, on=on)
    timetable.change(both, kind="class", row_id=klass.id, said={"starts": "20:30"}, at=at)
    assert list(Lesson.objects.order_by("on").values_list("starts_at", flat=True)) == [
        lessons.moment(days[0], time(17), zone),
        lessons.moment(days[1], time(20, 30), zone),
    ]


def test_what_stands_already_is_no_change(head, studio):
    klass = add(head, "class", **TUESDAYS, studio=studio.id)
    before = every_row()
    change(head, "class", klass.id, **TUESDAYS, studio=studio.id)
    change(head, "class", klass.id)
    assert every_row() == before


def test_what_is_wrong_with_a_class(head, school, studio):
    mill = StudioFactory(school=school, name="Brackfold Mill")
    both = scope(MemberFactory(school=school))
    klass = add(head, "class", **TUESDAYS, studio=studio.id)
    late = {"weekday": "Friday", "starts": "23:30"}
    assert faults(add, both, "class", name="tuesday beginners", studio=mill.id, **late) == [
        "/studio: Tuesday beginners is at Sellane Harbour, and a class does not move:"
        " a new one needs a name of its own",
        "/minutes: ends after midnight",
        "/name: another class is called so",
    ]
    assert faults(add, head, "class", name="Late", studio=uuid4(), **late) == [
        "/studio: unknown",
        "/minutes: ends after midnight",
    ]
    assert faults(change, both, "class", klass.id, studio=mill.id, starts="24:00") == [
        "/starts: “24:00” should be a time such as 17:00",
        "/studio: Tuesday beginners is at Sellane Harbour, and a class does not move:"
        " a new one needs a name of its own",
    ]
    other = add(
        both, "class", name="Friday mixed", studio=mill.id, weekday="Friday", starts="18:00"
    )
    assert faults(change, both, "class", other.id, name="TUESDAY beginners") == [
        "/name: another class is called so"
    ]


# -- who may, and who sees -----------------------------------------------------------------------


@pytest.mark.parametrize("role", ["teacher", "assistant"])
def test_only_a_head_teacher_may_and_each_sees_what_is_hers(head, school, studio, role):
    mill = StudioFactory(school=school, name="Brackfold Mill")
    both = scope(MemberFactory(school=school))
    mine = {
        "studio": studio.id,
        "term": add(both, "term", name="s", first=date(2026, 1, 6), last=date(2026, 4, 3)).id,
        "closure": add(
            both,
            "closure",
            name="here",
            first=date(2026, 3, 17),
            last=date(2026, 3, 17),
            studio=studio.id,
        ).id,
        "class": add(both, "class", **TUESDAYS, studio=studio.id).id,
    }
    theirs = {
        "studio": mill.id,
        "closure": add(
            both,
            "closure",
            name="there",
            first=date(2026, 3, 18),
            last=date(2026, 3, 18),
            studio=mill.id,
        ).id,
        "class": ClassFactory(studio=mill).id,
    }
    by = scope(MemberFactory(school=school, role=role, studios=[studio]))
    for kind, row_id in mine.items():
        assert timetable.find(by, kind=kind, row_id=row_id).id == row_id
        with pytest.raises(NotAllowed, match=f"changing a {kind}: a head teacher's right"):
            change(by, kind, row_id, name="other")
        with pytest.raises(NotAllowed, match=f"adding a {kind}: a head teacher's right"):
            add(by, kind)
    stranger = scope(MemberFactory())
    for asker, rows in ((by, theirs), (stranger, mine), (stranger, theirs)):
        for kind, row_id in rows.items():
            with pytest.raises(Unknown, match=f"no such {kind}"):
                change(asker, kind, row_id, name="other")
    for kind in ("term", "closure"):
        with pytest.raises(NotAllowed, match=f"removing a {kind}: a head teacher's right"):
            timetable.remove(by, kind=kind, row_id=mine[kind], at=AT)
        with pytest.raises(Unknown, match=f"no such {kind}"):
            timetable.remove(stranger, kind=kind, row_id=mine[kind], at=AT)
    for closure_id in (theirs["closure"], uuid4()):
        with pytest.raises(Unknown, match="no such closure"):
            timetable.remove(by, kind="closure", row_id=closure_id, at=AT)
    assert [row.id for row in timetable.studios(by)] == [studio.id]
    assert [row.id for row in timetable.closures(by)] == [mine["closure"]]
    assert len(timetable.closures(both)) == 2
    assert timetable.terms(stranger) == timetable.studios(stranger) == ()


def test_masses_are_not_switched_on_by_a_file_alone(head):
    content = b"format: classes/1\npolicy: {uses_mass: true}\n"
    before = every_row()
    for dry_run in (True, False):
        with pytest.raises(Conflict, match="Nobody needs to be weighed"):
            timetable.load(head, content=content, at=AT, dry_run=dry_run)
    assert every_row() == before
    timetable.load(head, content=content, at=AT, confirmed=True)
    assert School.objects.get(id=head.school_id).uses_mass
