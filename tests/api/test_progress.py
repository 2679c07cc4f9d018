"""A child's path and a class by its skills over HTTP."""

from tests.api.cast import unknown_id
from tests.api.probes import errors


def path(place, **query):
    return f"/api/v1/students/{place.student}/path", query


def progress(place):
    return f"/api/v1/classes/{place.klass}/progress"


def test_a_path(world, as_teacher):
    url, _ = path(world.own)
    answer = as_teacher.get(url)
    assert answer.status_code == 200
    told = answer.json()
    (skill,) = told.pop("skills")
    assert told.pop("edition")["number"] == 1
    assert told == {
        "student": {"id": world.own.student, "name": "Amparo"},
        "class": {"id": world.own.klass, "name": "Class at Quayside Hall"},
        "studio": {"id": world.own.studio, "name": "Quayside Hall"},
        "first": "2026-01-05",
        "last": "2026-04-03",
        "known": "As known at 17:05 on 10 March, from tries up to 3 March.",
    }
    read = {"help": "hands_on", "says": "with hands on", "word": "on the way", "percent": None}
    tried = {"attempt": world.own.attempt, "spot": "hands_on", "outcome": "clean", "weight": "own"}
    assert skill == {
        "skill": "chest_rest",
        "name": "Chest rest",
        "role": "base",
        "taught": True,
        "habit": False,
        "at_first": None,
        "evenings": [
            {"reading": {"on": "2026-03-03"} | read, "tries": [tried | {"logged_as": None}]}
        ],
        "at_last": {"on": "2026-03-10"} | read,
    }


def test_which_days_and_which_class(world, as_teacher):
    url, query = path(world.own, first="2026-03-04", last="2026-03-09")
    assert as_teacher.get(url, query).json()["skills"] == []
    answer = as_teacher.get(url, {"first": "2026-03-09", "last": "2026-03-04"})
    assert (answer.status_code, answer.json()["code"]) == (400, "invalid")
    long = as_teacher.get(url, {"first": "2023-01-01", "last": "2026-03-09"}).json()
    assert len(long["skills"][0]["evenings"]) == 1
    assert errors(as_teacher.get(url, {"first": "March"}))
    for klass in (world.sister.klass, world.foreign.klass, unknown_id()):
        answer = as_teacher.get(url, {"class": klass})
        assert (answer.status_code, answer.json()["detail"]) == (404, "no class of hers")


def test_a_class(world, as_teacher):
    answer = as_teacher.get(progress(world.own))
    assert answer.status_code == 200
    told = answer.json()
    assert [one["name"] for one in told["children"]] == list(world.own.names[:4])
    ids = [one["id"] for one in told["children"]]
    chest_rest = next(one for one in told["skills"] if one["skill"] == "chest_rest")
    assert (chest_rest["name"], chest_rest["family"], chest_rest["habit"]) == (
        "Chest rest",
        "Props",
        False,
    )
    said = {"help": "hands_on", "says": "with hands on"}
    assert chest_rest["roles"] == [
        {"role": "base", "children": [{"student": id_} | said for id_ in ids]},
        {"role": "flyer", "children": []},
    ]
    assert told["turns"][0] == {
        "student": world.own.student,
        "attended": 2,
        "roles": [{"role": "base", "lessons": 1}],
        "says": "base in one of two lessons",
    }
    assert [one["name"] for one in told["not_up"]] == list(world.own.names[:4])
    assert (told["always_base"], told["holidays"]) == ([], None)
    assert (told["on"], told["known"]) == (
        "2026-03-10",
        "As known at 17:05 on 10 March, from tries up to 3 March.",
    )


def test_no_number_and_no_mass_in_a_class(world, as_head):
    text = as_head.get(progress(world.own)).content.decode()
    assert not [word for word in ("percent", "mass", "41.73", "kg") if word in text]
