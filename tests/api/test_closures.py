from classes.models import Closure

CLOSURES = "/api/v1/closures"
STORM = {"name": "Storm", "first": "2026-03-17", "last": "2026-03-18"}


def test_a_closure_is_added_changed_and_taken_out(world, as_head, as_teacher):
    made = as_head.post(CLOSURES, {**STORM, "studio": world.own.studio}, format="json")
    assert made.status_code == 201
    closure = made.json()
    assert closure == {"id": closure["id"], **STORM, "studio": world.own.studio}
    one = f"{CLOSURES}/{closure['id']}"
    assert as_head.patch(one, {"studio": None}, format="json").json()["studio"] is None
    assert as_teacher.get(one).json() == {**closure, "studio": None}
    gone = as_head.delete(one)
    assert (gone.status_code, gone.content) == (204, b"")
    assert as_head.delete(one).status_code == as_head.get(one).status_code == 404


def test_each_sees_those_that_concern_her(world, as_head, as_teacher):
    as_head.post(CLOSURES, STORM, format="json")
    assert [row["name"] for row in as_teacher.get(CLOSURES).json()["rows"]] == [
        "Roof of Quayside Hall",
        "Storm",
    ]
    assert len(as_head.get(CLOSURES).json()["rows"]) == 3


def test_a_lesson_says_why_there_is_none(world, as_head, as_teacher):
    as_head.post(CLOSURES, {**STORM, "studio": world.own.studio}, format="json")
    query = {"first": "2026-03-17", "last": "2026-03-17", "class": world.own.klass}
    [lesson] = as_teacher.get("/api/v1/lessons", query).json()["rows"]
    assert lesson["closed"] == "Storm"


def test_another_schools_studio_is_unknown_like_one_that_never_was(world, as_head):
    answers = [
        as_head.post(CLOSURES, {**STORM, "studio": studio}, format="json")
        for studio in (world.foreign.studio, "00000000-0000-4000-8000-000000000000")
    ]
    assert [answer.status_code for answer in answers] == [400, 400]
    assert answers[0].json() == answers[1].json()
    assert answers[0].json()["errors"] == [
        {"pointer": "/studio", "code": "invalid", "detail": "unknown"}
    ]
    assert Closure.objects.count() == 3
