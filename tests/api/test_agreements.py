from datetime import date

from accounts.models import School
from classes.models import Agreement, Measurement
from tests.api.probes import errors

URL = "/api/v1/agreements"


def a_row(place, **different):
    return {"student": place.student, "kind": "lifting", "agreed_on": place.on} | different


def enter(client, *rows):
    return client.post(URL, {"rows": list(rows)}, format="json")


def withdraw(client, id_, on):
    return client.patch(f"{URL}/{id_}", {"withdrawn_on": on}, format="json")


def rows(client, student):
    return client.get(f"/api/v1/students/{student}/agreements").json()["rows"]


def test_entered_and_read(world, as_teacher):
    own = world.own
    answer = enter(as_teacher, a_row(own), a_row(own, kind="hands_on", withdrawn_on="2026-03-10"))
    assert answer.status_code == 201
    found = rows(as_teacher, own.student)
    assert [(row["kind"], row["agreed_on"], row["withdrawn_on"]) for row in found] == [
        ("hands_on", "2025-09-02", None),
        ("lifting", "2025-09-02", None),
        ("mass", "2025-09-02", None),
        ("hands_on", "2026-03-10", "2026-03-10"),
        ("lifting", "2026-03-10", None),
    ]
    assert [row["id"] for row in answer.json()["rows"]] == [found[4]["id"], found[3]["id"]]


def test_withdrawn(world, as_teacher):
    own = world.own
    assert withdraw(as_teacher, own.agreement, "2026-03-10").status_code == 204
    assert Agreement.objects.get(id=own.agreement).withdrawn_on == date(2026, 3, 10)
    assert errors(withdraw(as_teacher, own.agreement, "2025-09-01")) == [
        ("/withdrawn_on", "invalid", "2025-09-01 is before it was agreed on 2025-09-02")
    ]
    again = enter(as_teacher, a_row(own))
    assert errors(again) == [
        (
            "/rows/0/agreed_on",
            "invalid",
            "withdrawn on 2026-03-10: what is agreed again has a later date",
        )
    ]
    assert withdraw(as_teacher, world.foreign.agreement, "2026-03-10").status_code == 404


def test_withdrawing_mass_deletes_the_masses_at_once(world, as_teacher):
    own = world.own
    of_hers = Measurement.objects.filter(student_id=own.student)
    (id_,) = [row["id"] for row in rows(as_teacher, own.student) if row["kind"] == "mass"]
    assert withdraw(as_teacher, id_, "2026-03-10").status_code == 204
    assert set(of_hers.values_list("kind", flat=True)) == {"height_cm"}
    assert Measurement.objects.filter(student_id=own.student2, kind="mass_kg").exists()


def test_what_is_wrong(world, as_teacher):
    School.objects.update(uses_mass=False)
    answer = enter(
        as_teacher,
        a_row(world.own, kind="mass"),
        a_row(world.sister),
        a_row(world.own, withdrawn_on="2026-03-09"),
    )
    assert errors(answer) == [
        ("/rows/0/kind", "invalid", "the school does not record masses"),
        ("/rows/1/student", "invalid", "unknown"),
        (
            "/rows/2/withdrawn_on",
            "invalid",
            "2026-03-09 is before it was agreed on 2026-03-10",
        ),
    ]
