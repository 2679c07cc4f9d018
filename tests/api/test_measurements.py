from accounts.models import Event, School
from classes.models import Measurement
from tests.api import cast
from tests.api.probes import errors

URL = "/api/v1/measurements"


def a_row(place, value, kind="height_cm", **different):
    row = {"student": place.student, "kind": kind, "on": place.on, "value": value}
    return row | different


def enter(client, *rows):
    return client.post(URL, {"rows": list(rows)}, format="json")


def mass(client, student):
    return client.get(f"/api/v1/students/{student}/mass")


def test_a_height(world, as_teacher):
    answer = enter(as_teacher, a_row(world.own, 139), a_row(world.own, 140.25, on="2026-03-09"))
    assert answer.status_code == 201
    ids = [row["id"] for row in answer.json()["rows"]]
    assert [Measurement.objects.get(id=id_).value for id_ in ids] == [139.0, 140.25]


def test_a_height_that_is_asked_about(world, as_teacher):
    before = Measurement.objects.count()
    answer = enter(as_teacher, a_row(world.own, 54.5))
    assert answer.status_code == 409
    assert answer.json()["detail"] == "Height 54.5 cm: is a leading 1 missing (154.5 cm)?"
    assert Measurement.objects.count() == before
    assert enter(as_teacher, a_row(world.own, 54.5, confirmed=True)).status_code == 201


def test_what_is_wrong(world, as_teacher):
    answer = enter(
        as_teacher,
        a_row(world.sister, 139),
        a_row(world.own, 0),
        a_row(world.own, 1e-9, on="2026-03-11"),
    )
    assert errors(answer) == [
        ("/rows/0/student", "invalid", "unknown"),
        ("/rows/1/value", "invalid", "0 should be between 0.5 and 2500"),
        ("/rows/2/on", "invalid", "2026-03-11 is still to come"),
        ("/rows/2/value", "invalid", "0 should be between 0.5 and 2500"),
    ]


def test_a_mass_by_a_head_teacher_alone(world, as_head, as_teacher, as_assistant):
    row = a_row(world.own, 36.5, "mass_kg")
    said = {}
    for uses in (True, False):
        School.objects.update(uses_mass=uses)
        for who, client in (("teacher", as_teacher), ("assistant", as_assistant)):
            answers = enter(client, row), mass(client, world.own.student)
            said.setdefault(who, []).append([(a.status_code, a.content) for a in answers])
            assert [answer.status_code for answer in answers] == [403, 403]
    assert all(one == two for one, two in said.values())
    assert errors(enter(as_head, row)) == [
        ("/rows/0/value", "invalid", "the school does not record masses")
    ]
    School.objects.update(uses_mass=True)
    assert enter(as_head, row).status_code == 201
    known = Measurement.objects.filter(student_id=world.own.student, kind="mass_kg")
    assert [row.value for row in known] == [36.5]


def test_a_mass_that_is_asked_about(world, as_head):
    answer = enter(as_head, a_row(world.own, 80, "mass_kg"))
    assert answer.status_code == 409
    assert answer.json()["detail"] == "Mass 80 kg: were pounds meant (36.3 kg)?"


def test_reading_a_mass(world, as_head):
    assert mass(as_head, world.own.student).json() == {"mass_kg": cast.MASSES["own"]}
    assert str(Event.objects.get(what="read_mass").about) == world.own.student
    Measurement.objects.filter(kind="mass_kg").update(on="2025-11-09")
    assert mass(as_head, world.own.student).json() == {"mass_kg": None}
    School.objects.update(uses_mass=False)
    assert mass(as_head, world.own.student).status_code == 404


def test_two_masses_make_no_difference_to_a_height(world, as_teacher):
    def said(value):
        Measurement.objects.filter(kind="mass_kg").update(value=value)
        slip = enter(as_teacher, a_row(world.own, 54.5))
        good = enter(as_teacher, a_row(world.own, 139))
        return slip.content, good.status_code

    assert said(20.0) == said(90.0)
