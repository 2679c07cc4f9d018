from datetime import date

from accounts.models import Event
from classes.models import Restriction
from tests.api.probes import errors

URL = "/api/v1/restrictions"


def a_row(place, **different):
    row = {"student": place.student, "blocks": "neck", "from": place.on, "until": "2026-04-01"}
    return row | different


def enter(client, *rows):
    return client.post(URL, {"rows": list(rows)}, format="json")


def end(client, id_, until):
    return client.patch(f"{URL}/{id_}", {"until": until}, format="json")


def rows(client, student):
    return client.get(f"/api/v1/students/{student}/restrictions").json()["rows"]


def test_entered_and_read(world, as_teacher):
    own = world.own
    answer = enter(as_teacher, a_row(own), a_row(own, blocks="flyer"))
    assert answer.status_code == 201
    ids = [row["id"] for row in answer.json()["rows"]]
    assert rows(as_teacher, own.student) == [
        {"id": ids[0], "blocks": "neck", "from": "2026-03-10", "until": "2026-04-01"},
        {"id": ids[1], "blocks": "flyer", "from": "2026-03-10", "until": "2026-04-01"},
    ]
    read = Event.objects.get(what="read_restrictions")
    assert (str(read.about), read.member_id) == (own.student, world.members["teacher"].id)
    assert Event.objects.filter(what="restrict").count() == 2


def test_the_same_again_moves_the_end(world, as_teacher):
    first = enter(as_teacher, a_row(world.own)).json()
    assert enter(as_teacher, a_row(world.own, until="2026-03-20")).json() == first
    assert rows(as_teacher, world.own.student)[0]["until"] == "2026-03-20"


def test_never_why(world, as_teacher):
    answer = enter(as_teacher, a_row(world.own, note="a sore wrist"))
    assert errors(answer) == [("/rows/0/note", "unknown_field", "No such field.")]
    assert "wrist" not in answer.content.decode()


def test_what_is_wrong(world, as_teacher):
    answer = enter(
        as_teacher,
        a_row(world.own),
        a_row(world.sister),
        a_row(world.own, blocks="landing", until="2026-03-09"),
    )
    assert errors(answer) == [
        ("/rows/1/student", "invalid", "unknown"),
        ("/rows/2/until", "invalid", "2026-03-09 is before 2026-03-10"),
    ]
    assert rows(as_teacher, world.own.student) == []


def test_ended_early(world, as_teacher):
    own = world.own
    assert end(as_teacher, own.restriction, "2026-03-09").status_code == 204
    assert Restriction.objects.get(id=own.restriction).until == date(2026, 3, 9)
    assert Event.objects.filter(what="restrict", about=own.student2).count() == 1
    answer = end(as_teacher, own.restriction, "2026-03-02")
    assert errors(answer) == [("/until", "invalid", "2026-03-02 is before 2026-03-03")]
    assert end(as_teacher, world.sister.restriction, "2026-03-09").status_code == 404


def test_taken_back_on_its_first_day(world, as_teacher):
    own = world.own
    id_ = enter(as_teacher, a_row(own)).json()["rows"][0]["id"]
    assert as_teacher.delete(f"{URL}/{id_}").status_code == 204
    assert rows(as_teacher, own.student) == []
    assert Event.objects.get(what="take_back_restriction").details == {"restriction": id_}
    assert as_teacher.delete(f"{URL}/{own.restriction}").status_code == 409
