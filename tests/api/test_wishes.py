from datetime import date

from classes.models import Wish
from tests.api.probes import errors

URL = "/api/v1/wishes"


def a_row(place, **different):
    row = {"a": place.student2, "b": place.student3, "kind": "apart", "from": place.on}
    return row | different


def enter(client, *rows):
    return client.post(URL, {"rows": list(rows)}, format="json")


def end(client, id_, until):
    return client.patch(f"{URL}/{id_}", {"until": until}, format="json")


def test_runs_out_with_the_term(world, as_teacher):
    own = world.own
    answer = enter(as_teacher, a_row(own))
    assert answer.status_code == 201
    (id_,) = [row["id"] for row in answer.json()["rows"]]
    a, b = sorted((own.student2, own.student3))
    assert as_teacher.get(URL, {"student": own.student3}).json() == {
        "rows": [
            {
                "id": id_,
                "a": a,
                "b": b,
                "kind": "apart",
                "from": "2026-03-10",
                "until": "2026-04-03",
            }
        ],
        "next": None,
    }
    # The two in the other order are the same wish.
    assert enter(as_teacher, a_row(own, a=own.student3, b=own.student2)).json() == answer.json()


def test_of_others_nothing_is_listed(world, as_teacher, as_head, as_stranger):
    def ids(client):
        return {row["id"] for row in client.get(URL).json()["rows"]}

    assert ids(as_teacher) == {world.own.wish}
    assert ids(as_head) == {world.own.wish, world.sister.wish}
    assert ids(as_stranger) == {world.foreign.wish}


def test_what_is_wrong(world, as_teacher):
    own, before = world.own, Wish.objects.count()
    answer = enter(
        as_teacher,
        a_row(own, a=own.student, b=own.student2),
        a_row(own, b=world.sister.student),
        a_row(own, b=own.student2),
        a_row(own, until="2026-04-04"),
        a_row(own, **{"from": "2026-04-07"}),
    )
    assert errors(answer) == [
        ("/rows/0/kind", "invalid", "kept together from 2026-03-03 until 2026-04-03 already"),
        ("/rows/1/b", "invalid", "unknown"),
        ("/rows/2/b", "invalid", "the same child as in a"),
        ("/rows/3/until", "invalid", "2026-04-04 is after the term's end, 2026-04-03"),
        ("/rows/4/from", "invalid", "2026-04-07 lies in no term"),
    ]
    assert Wish.objects.count() == before
    assert errors(enter(as_teacher, a_row(own, why="they quarrel"))) == [
        ("/rows/0/why", "unknown_field", "No such field.")
    ]


def test_ended_and_then_the_other_way(world, as_teacher):
    own = world.own
    assert end(as_teacher, own.wish, "2026-03-09").status_code == 204
    assert Wish.objects.get(id=own.wish).until == date(2026, 3, 9)
    assert enter(as_teacher, a_row(own, a=own.student, b=own.student2)).status_code == 201
    assert errors(end(as_teacher, own.wish, "2026-03-02")) == [
        ("/until", "invalid", "2026-03-02 is before 2026-03-03")
    ]
    assert end(as_teacher, world.sister.wish, "2026-03-09").status_code == 404


def test_taken_back_on_its_first_day(world, as_teacher):
    id_ = enter(as_teacher, a_row(world.own)).json()["rows"][0]["id"]
    assert as_teacher.delete(f"{URL}/{id_}").status_code == 204
    assert not Wish.objects.filter(id=id_).exists()
    assert as_teacher.delete(f"{URL}/{world.own.wish}").status_code == 409
