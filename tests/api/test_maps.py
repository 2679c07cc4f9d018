"""Maps over HTTP: the whole of an answer, and what is asked wrongly."""

from tests.api.cast import unknown_id
from tests.api.probes import errors


def test_the_map_of_an_edition_never_changes(world, as_assistant):
    answer = as_assistant.get("/api/v1/editions/1/map")
    assert answer.status_code == 200
    assert answer["Cache-Control"] == "private, max-age=31536000, immutable"
    told = answer.json()
    assert (told["number"], told["against"], told["layers"]) == (1, None, 3)
    nodes = {one["key"]: one for one in told["nodes"]}
    assert nodes["straight_lean"] == {
        "key": "straight_lean",
        "kind": "skill",
        "card": "straight_lean",
        "layer": 2,
        "x": nodes["straight_lean"]["x"],
        "name": "Facing lean held straight",
        "family": "leans",
        "lifted": False,
        "tier": "floor",
        "roles": ["partner"],
        "changed": None,
    }
    edge = next(one for one in told["edges"] if one["to"] == "straight_lean")
    assert edge == {
        "from": "lean",
        "to": "straight_lean",
        "kind": "all_of",
        "needs": [{"role": "partner", "of_role": "partner", "help": "no_spot"}],
        "circle": False,
        "runs": "up",
        "points": [[nodes[key]["x"], nodes[key]["layer"]] for key in ("lean", "straight_lean")],
        "changed": None,
    }
    again = as_assistant.get("/api/v1/editions/1/map", HTTP_IF_NONE_MATCH=answer["ETag"])
    assert again.status_code == 304
    assert as_assistant.get("/api/v1/editions/7/map").status_code == 404


def test_the_map_of_a_draft_beside_an_edition(world, as_head):
    url = f"/api/v1/drafts/{world.own.draft}/map"
    told = as_head.get(url, {"number": 1}).json()
    assert (told["number"], told["against"]) == (None, 1)
    changed = {one["key"]: one["changed"] for one in told["nodes"]}
    assert (changed["seat"], changed["flat_table"], changed["bridge"]) == (
        "changed",
        "added",
        "gone",
    )
    assert told == as_head.get(url).json()
    assert as_head.get(url, {"number": 2}).status_code == 404
    assert [place for place, *_ in errors(as_head.get(url, {"number": "one"}))] == ["number"]


def test_a_child_and_a_class_on_the_map(world, as_teacher):
    own = world.own
    answer = as_teacher.get(f"/api/v1/students/{own.student}/map", {"class": own.klass})
    assert answer.status_code == 200
    told = answer.json()
    assert told["student"] == {"id": own.student, "name": "Amparo"}
    edition = told.pop("edition")
    about = {
        "class": {"id": own.klass, "name": "Class at Quayside Hall"},
        "studio": {"id": own.studio, "name": "Quayside Hall"},
        "as_of": "2026-03-10T17:05:00+00:00",
        "known": "As known at 17:05 on 10 March, from tries up to 3 March.",
    }
    assert about.items() <= told.items()
    assert told["caution"].startswith("Partner work can injure.")
    rest = next(one for one in told["skills"] if one["skill"] == "chest_rest")
    assert rest["roles"][0] == {
        "role": "base",
        "help": "hands_on",
        "word": "with hands on",
        "stands": "goes_on",
        "says": "goes on: with hands on so far, last seen on 3 March",
    }
    told = as_teacher.get(f"/api/v1/classes/{own.klass}/map").json()
    assert told.pop("edition") == edition
    assert about.items() <= told.items()
    assert told["children"] == 4
    rest = next(one for one in told["skills"] if one["skill"] == "chest_rest")
    assert rest["roles"][0]["begun"] == "everybody"
    assert rest["roles"][0]["counts"][2] == {
        "help": "hands_on",
        "word": "with hands on",
        "children": 4,
    }
    for klass in (world.sister.klass, world.foreign.klass, unknown_id()):
        answer = as_teacher.get(f"/api/v1/students/{own.student}/map", {"class": klass})
        assert (answer.status_code, answer.json()["detail"]) == (404, "no class of hers")
