import pytest

from accounts.models import School, Studio
from tests.factories import every_row

CLASSES = "/api/v1/classes"
TIMETABLE = "/api/v1/timetable"
FILE = b"""
format: classes/1
studios: [{name: Brackfold Mill, zone: Europe/Lisbon}]
classes: [{name: Friday mixed, studio: Brackfold Mill, weekday: Friday, starts: 18:00}]
policy: {bar: 0.85, adults_in_room: 2}
"""


def put(client, content=FILE, media="application/yaml", **query):
    return client.put(TIMETABLE, content, content_type=media, query_params=query)


def test_a_class_is_added_read_and_changed(world, as_head, as_assistant):
    said = {
        "name": "Friday mixed",
        "studio": world.own.studio,
        "weekday": "Friday",
        "starts": "18:05",
    }
    made = as_head.post(CLASSES, said, format="json")
    assert made.status_code == 201
    klass = made.json()
    assert klass == {"id": klass["id"], **said, "minutes": 45, "until": None}
    one = f"{CLASSES}/{klass['id']}"
    changed = {"weekday": "Sunday", "starts": "09:00", "minutes": 60}
    assert as_head.patch(one, changed, format="json").json() == {**klass, **changed}
    assert as_assistant.get(one).json() == {**klass, **changed}
    rows = as_assistant.get(CLASSES).json()["rows"]
    assert [row["name"] for row in rows] == ["Class at Quayside Hall", "Friday mixed"]


@pytest.mark.parametrize(
    ("said", "pointer"),
    [
        ({"weekday": "friday"}, "/weekday"),
        ({"weekday": 4}, "/weekday"),
        ({"starts": "18:00:00"}, "/starts"),
        ({"starts": "1800"}, "/starts"),
        ({"starts": "24:00"}, "/starts"),
        ({"starts": 1800}, "/starts"),
        ({"minutes": 9}, "/minutes"),
        ({"starts": "23:30"}, "/minutes"),
        ({"studio": "Quayside Hall"}, "/studio"),
        ({"name": ""}, "/name"),
        ({"name": "class at quayside hall"}, "/name"),
        ({"id": "x"}, "/id"),
    ],
)
def test_what_is_wrong_stands_at_its_field(world, as_head, said, pointer):
    body = {"name": "Late", "studio": world.own.studio, "weekday": "Friday", "starts": "18:00"}
    answer = as_head.post(CLASSES, body | said, format="json")
    assert answer.status_code == 400
    assert [error["pointer"] for error in answer.json()["errors"]] == [pointer]


def test_a_class_does_not_move(world, as_head):
    one = f"{CLASSES}/{world.own.klass}"
    answer = as_head.patch(one, {"studio": world.sister.studio}, format="json")
    assert answer.status_code == 400
    [error] = answer.json()["errors"]
    assert error["pointer"] == "/studio"
    assert error["detail"].startswith("Class at Quayside Hall is at Quayside Hall, and a class")


def test_a_class_ends_once_it_was_asked(world, as_head, as_teacher):
    one = f"{CLASSES}/{world.own.klass}"
    said = {"until": "2026-03-20"}
    asked = as_head.patch(one, said, format="json")
    assert (asked.status_code, asked.json()["code"]) == (409, "conflict")
    assert as_head.patch(one, said | {"confirmed": True}, format="json").json()["until"] == (
        "2026-03-20"
    )
    extra = {"class": world.own.klass, "on": "2026-03-24"}
    assert as_teacher.post("/api/v1/lessons", extra, format="json").status_code == 400
    assert as_head.patch(one, {"until": None}, format="json").json()["until"] is None
    assert as_teacher.post("/api/v1/lessons", extra, format="json").status_code == 201


def test_a_file_is_loaded_once(world, as_head):
    before = every_row()
    said = {
        "new": ["studio Brackfold Mill", "class Friday mixed"],
        "changed": ["policy bar"],
        "standing": 1,
        "adopted": [],
        "lessons": 0,
    }
    assert put(as_head, dry_run="true").json() == said
    kept = every_row()
    assert {k: v for k, v in kept.items() if k != "accounts.Rate"} == {
        k: v for k, v in before.items() if k != "accounts.Rate"
    }
    assert put(as_head).json() == {**said, "adopted": ["Brackfold Mill"]}
    again = put(as_head).json()
    assert again == {"new": [], "changed": [], "standing": 4, "adopted": [], "lessons": 0}


def test_everything_wrong_in_a_file_at_once(world, as_head):
    content = b"format: classes/1\nstudios: [{name: Mill, zone: Nowhere}]\nclasses: [{name: x}]\n"
    answer = put(as_head, content)
    assert answer.status_code == 400
    assert [(e["pointer"], e["detail"]) for e in answer.json()["errors"]] == [
        ("/classes/0/starts", "missing"),
        ("/classes/0/studio", "missing"),
        ("/classes/0/weekday", "missing"),
    ]
    answer = put(as_head, b"format: [")
    [error] = answer.json()["errors"]
    assert (answer.status_code, error["pointer"]) == (400, "")
    assert error["detail"].startswith("line 1, column ")
    assert not Studio.objects.filter(name="Mill").exists()


@pytest.mark.parametrize(
    ("content", "media", "query", "status"),
    [
        (b"", "application/yaml", {}, 400),
        (FILE, "application/json", {}, 415),
        (FILE, "text/html", {}, 415),
        (b"#" * (2 * 1024 * 1024 + 1), "application/yaml", {}, 413),
        (FILE, "application/yaml", {"dry_run": "yes"}, 400),
        (FILE, "application/yaml", {"dryrun": "true"}, 400),
    ],
)
def test_what_is_no_such_file(world, as_head, content, media, query, status):
    assert put(as_head, content, media, **query).status_code == status
    assert Studio.objects.count() == 3


def test_a_file_that_switches_on_masses_is_confirmed(world, as_head):
    School.objects.filter(id=world.own.school).update(uses_mass=False)
    content = b"format: classes/1\npolicy: {uses_mass: true}\n"
    answer = put(as_head, content)
    assert (answer.status_code, answer.json()["code"]) == (409, "conflict")
    assert not School.objects.get(id=world.own.school).uses_mass
    assert put(as_head, content, confirmed="true").json()["changed"] == ["policy uses_mass"]
