from datetime import date

from accounts.models import Event
from classes.models import PairCheck
from tests.api import cast
from tests.api.probes import errors

URL = "/api/v1/pair-checks"


def a_pair(place, **different):
    return {"base": place.student2, "flyer": place.student3, "given_on": place.on} | different


def give(client, *rows):
    return client.post(URL, {"rows": list(rows)}, format="json")


def ran_out(client, place, **asked):
    rows = client.get(URL, asked).json()["rows"]
    return [row["ran_out"] for row in rows if row["id"] == place.pair_check]


def test_many_are_given_at_once(world, as_teacher):
    own = world.own
    answer = give(as_teacher, a_pair(own), a_pair(own, lesson=own.lesson))
    assert answer.status_code == 201
    known = {str(row.id): row.lesson_id and str(row.lesson_id) for row in PairCheck.objects.all()}
    assert [known[row["id"]] for row in answer.json()["rows"]] == [None, own.lesson]
    assert give(as_teacher, a_pair(own)).json()["rows"] == answer.json()["rows"][:1]
    assert Event.objects.filter(what="check_pair").count() == 2


def test_one_that_is_wrong_keeps_all_back(world, as_teacher):
    own, before = world.own, PairCheck.objects.count()
    answer = give(
        as_teacher,
        a_pair(own),
        a_pair(own, base=world.foreign.student, flyer=str(cast.unknown_id())),
        a_pair(own, base=own.student3),
        a_pair(own, given_on="2026-03-11", lesson=own.lesson),
    )
    assert errors(answer) == [
        ("/rows/1/base", "invalid", "unknown"),
        ("/rows/1/flyer", "invalid", "unknown"),
        ("/rows/2/flyer", "invalid", "the same child as the base"),
        ("/rows/3/lesson", "invalid", "unknown"),
    ]
    assert PairCheck.objects.count() == before


def test_what_is_listed(world, as_assistant):
    own = world.own
    row = {
        "id": own.pair_check,
        "base": own.student,
        "flyer": own.student2,
        "given_on": "2026-03-10",
        "lesson": None,
        "by": "Head Ours",
        "ran_out": None,
    }
    for student in (own.student, own.student2):
        assert as_assistant.get(URL, {"student": student}).json() == {"rows": [row], "next": None}
    assert as_assistant.get(URL).json()["rows"] == [row]
    assert as_assistant.get(URL, {"student": own.student3}).json()["rows"] == []


def test_how_long_it_holds(world, as_head):
    check = PairCheck.objects.filter(id=world.own.pair_check)
    for given_on, sentence in (
        (date(2025, 11, 10), None),
        (date(2025, 11, 9), "it was to hold until 2026-03-09"),
        (date(2026, 3, 17), "holds from 2026-03-17 on"),
    ):
        check.update(given_on=given_on)
        assert ran_out(as_head, world.own) == [sentence]
    check.update(given_on=cast.ON, lesson=world.own.lesson)
    assert ran_out(as_head, world.own) == [None]
    check.update(given_on=cast.BEFORE, lesson=world.own.met)
    assert ran_out(as_head, world.own) == ["for the evening of 2026-03-03 only"]


def test_taken_back_on_its_day(world, as_teacher):
    own = world.own
    assert as_teacher.delete(f"{URL}/{own.pair_check}").status_code == 204
    assert as_teacher.delete(f"{URL}/{own.pair_check}").status_code == 404
    event = Event.objects.get(what="take_back_pair_check")
    assert (str(event.about), event.details["base"]) == (own.student2, own.student)


def test_an_earlier_one_stands(world, as_teacher):
    PairCheck.objects.filter(id=world.own.pair_check).update(given_on=cast.BEFORE)
    assert as_teacher.delete(f"{URL}/{world.own.pair_check}").status_code == 409
