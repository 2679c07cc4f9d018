from datetime import date, timedelta
from uuid import uuid4

import pytest

from accounts.faults import BadDocument
from accounts.models import Event, School
from accounts.scope import Conflict, NotAllowed, Unknown
from classes import agreements, measurements
from classes.models import Measurement, Student
from tests.classes import fact_school
from tests.classes.fact_school import AT, TODAY, counts, events, strangers
from tests.once import once

HEIGHT, MASS = "height_cm", "mass_kg"
BEFORE = date(2026, 3, 3)


built, school = once(fact_school.build)


@pytest.fixture
def weighing(school):
    """The school uses masses, all children are eleven, and Amara's guardian agrees."""
    School.objects.filter(id=school.id).update(uses_mass=True)
    Student.objects.update(birth_year=2014, birth_month=2)
    header = "student,kind,agreed_on"
    counts(agreements.load, school.teacher, header, "Amara,mass,2026-01-12")
    enter(school, row(school, "Amara", 138), row(school, "Bao", 138))
    return school


def row(school, name, value, kind=HEIGHT, on=TODAY, **different):
    return {
        "student": school.children.get(name),
        "kind": kind,
        "on": on,
        "value": float(value),
    } | different


def mass(school, name, value, **different):
    return row(school, name, value, MASS, **different)


def enter(school, *rows, who="head"):
    return measurements.enter(getattr(school, who), rows=rows, at=AT)


def known(school, kind=HEIGHT):
    names = {id_: name for name, id_ in school.children.items()}
    rows = Measurement.objects.filter(kind=kind)
    return {(names[row.student_id], row.on, row.value) for row in rows}


def refused(school, *rows, error=BadDocument, who="head"):
    before = set(Measurement.objects.values_list())
    told = Event.objects.count()
    with pytest.raises(error) as caught:
        enter(school, *rows, who=who)
    assert set(Measurement.objects.values_list()) == before
    assert Event.objects.count() == told
    return str(caught.value).splitlines()


def test_heights_by_a_teacher(school):
    ids = enter(school, row(school, "Hana", 124.5), row(school, "Amara", 128), who="teacher")
    assert Measurement.objects.get(id=ids[0]).student_id == school.children["Hana"]
    assert known(school) == {("Hana", TODAY, 124.5), ("Amara", TODAY, 128.0)}
    assert enter(school, row(school, "Amara", 128))[0] == ids[1]
    assert events("measure") == 2
    assert enter(school, row(school, "Amara", 127.999))[0] == ids[1]
    assert enter(school, row(school, "Amara", 127))[0] == ids[1]
    assert known(school) == {("Hana", TODAY, 124.5), ("Amara", TODAY, 127.0)}
    assert events("measure") == 3


def test_an_assistant_enters_none(school):
    with pytest.raises(NotAllowed, match="entering a measurement: a teacher's right"):
        enter(school, who="assistant")


def test_what_is_asked_about_a_height(school):
    slip = row(school, "Amara", 1.28)
    assert refused(school, slip, row(school, "Bao", 128), error=Conflict) == [
        "/rows/0: Height 1.28 cm: were metres meant (128.0 cm)?"
    ]
    enter(school, slip | {"confirmed": True})
    assert known(school) == {("Amara", TODAY, 1.28)}
    # What stands is not asked about again.
    enter(school, slip)


def test_a_height_unlike_the_one_before(school):
    enter(school, row(school, "Amara", 128, on=BEFORE))
    question = (
        "Height 118 cm, and 128 cm on 2026-03-03: are both in centimetres and in the right row?"
    )
    assert refused(school, row(school, "Amara", 118), error=Conflict) == [question]
    both = row(school, "Bao", 128, on=BEFORE), row(school, "Bao", 118)
    assert refused(school, *both, error=Conflict) == [f"/rows/1: {question}"]


def test_every_fault_before_any_question(school):
    assert refused(
        school,
        row(school, "Amara", 1.28),
        row(school, "Bao", 128, student=uuid4()),
        row(school, "Bao", 128, on=TODAY + timedelta(days=1)),
        row(school, "Bao", 3000),
        row(school, "Amara", 128),
    ) == [
        "/rows/1/student: unknown",
        "/rows/2/on: 2026-03-12 is still to come",
        "/rows/3/value: 3000 should be between 0.5 and 2500",
        "/rows/4: about the same as /rows/0",
    ]


def test_a_child_whose_age_is_not_known(school):
    Student.objects.update(birth_year=None, birth_month=None)
    enter(school, row(school, "Amara", 60))
    assert known(school) == {("Amara", TODAY, 60.0)}


def test_only_the_latest_mass_is_kept(weighing):
    enter(weighing, mass(weighing, "Amara", 31, on=BEFORE))
    enter(weighing, mass(weighing, "Amara", 31.5))
    assert known(weighing, MASS) == {("Amara", TODAY, 31.5)}
    assert refused(weighing, mass(weighing, "Amara", 31, on=BEFORE)) == [
        "/rows/0/value: a later one is known"
    ]
    assert len(known(weighing)) == 2


def test_a_mass_is_a_head_teacher_s_to_enter(school):
    # Whether the school uses any makes no difference to anybody else.
    for _ in range(2):
        assert refused(school, mass(school, "Amara", 31), error=NotAllowed, who="teacher") == [
            "entering a mass: a head teacher's right"
        ]
        School.objects.filter(id=school.id).update(uses_mass=True)


def test_no_mass_where_none_is_recorded(school):
    assert refused(school, mass(school, "Amara", 31)) == [
        "/rows/0/value: the school does not record masses"
    ]


def test_no_mass_without_agreement_age_or_height(weighing):
    Student.objects.filter(id=weighing.children["Hana"]).update(birth_year=2015, birth_month=3)
    Student.objects.filter(id=weighing.children["Rangi"]).update(birth_year=None, birth_month=None)
    young = "masses are recorded from 11 years on"
    assert refused(
        weighing,
        mass(weighing, "Bao", 31),
        mass(weighing, "Hana", 31),
        mass(weighing, "Rangi", 31),
        mass(weighing, "Amara", 31, on=date(2026, 1, 11)),
    ) == [
        "/rows/0/value: no agreement to it stands on 2026-03-11",
        f"/rows/1/value: {young}",
        f"/rows/2/value: {young}",
        "/rows/3/value: no agreement to it stands on 2026-01-11",
    ]
    Measurement.objects.all().delete()
    assert refused(weighing, mass(weighing, "Amara", 31)) == [
        "/rows/0/value: needs a height beside it"
    ]


def test_what_was_withdrawn_does_not_come_back(weighing):
    header = "student,kind,agreed_on,withdrawn_on"
    counts(agreements.load, weighing.teacher, header, "Amara,mass,2026-01-12,2026-03-10")
    assert refused(weighing, mass(weighing, "Amara", 31, on=BEFORE)) == [
        "/rows/0/value: no agreement to it stands on 2026-03-11"
    ]


def test_what_is_asked_about_a_mass(weighing):
    assert refused(weighing, mass(weighing, "Amara", 70), error=Conflict) == [
        "Mass 70 kg: were pounds meant (31.8 kg)?"
    ]
    enter(weighing, mass(weighing, "Amara", 70, confirmed=True))
    assert known(weighing, MASS) == {("Amara", TODAY, 70.0)}


def test_a_height_is_never_asked_about_for_a_mass(weighing):
    enter(weighing, mass(weighing, "Amara", 70, confirmed=True))
    enter(weighing, row(weighing, "Amara", 137), who="teacher")
    assert ("Amara", TODAY, 137.0) in known(weighing)


def test_reading_a_mass(weighing):
    enter(weighing, mass(weighing, "Amara", 31.5))

    def read(name, who="head"):
        asked = {"student_id": weighing.children[name], "at": AT}
        return measurements.mass(getattr(weighing, who), **asked)

    assert (read("Amara"), read("Bao")) == (31.5, None)
    assert events("read_mass") == 2
    for who in ("teacher", "assistant"):
        with pytest.raises(NotAllowed, match="reading a mass: a head teacher's right"):
            read("Amara", who)
    _, stranger = strangers(weighing)
    School.objects.update(uses_mass=True)
    with pytest.raises(Unknown, match="no such child"):
        measurements.mass(stranger, student_id=weighing.children["Amara"], at=AT)
    School.objects.update(uses_mass=False)
    with pytest.raises(Unknown, match="the school does not record masses"):
        read("Amara")
    assert events("read_mass") == 2


def test_no_event_holds_a_value(weighing):
    enter(weighing, mass(weighing, "Amara", 31.5))
    told = Event.objects.filter(what="measure", about=weighing.children["Amara"])
    assert [event.details for event in told.order_by("id")] == [{"kind": HEIGHT}, {"kind": MASS}]
