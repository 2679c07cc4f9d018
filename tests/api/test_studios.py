import json

from accounts.models import Studio
from api.classes import NewClass
from api.closures import NewClosure
from api.studios import NewStudio
from api.terms import NewTerm
from classes import timetable

STUDIOS = "/api/v1/studios"


def errors(answer):
    assert answer.status_code == 400, answer.content
    return {error["pointer"]: error["detail"] for error in answer.json()["errors"]}


def test_a_studio_is_added_read_and_changed(as_head):
    said = {"name": "Brackfold Mill", "zone": "Atlantic/Azores", "units": "imperial"}
    made = as_head.post(STUDIOS, said, format="json")
    assert made.status_code == 201
    studio = made.json()
    assert studio == {"id": studio["id"], **said, "mats": 4}
    one = f"{STUDIOS}/{studio['id']}"
    assert as_head.get(one).json() == studio
    answer = as_head.patch(one, {"mats": 0, "name": "Mill"}, format="json")
    assert answer.json() == as_head.get(one).json() == {**studio, "mats": 0, "name": "Mill"}


def test_each_sees_hers_by_name(world, as_head, as_teacher):
    rows = as_head.get(STUDIOS).json()["rows"]
    assert [row["name"] for row in rows] == ["Quayside Hall", "Windmill Yard"]
    assert [row["id"] for row in as_teacher.get(STUDIOS).json()["rows"]] == [world.own.studio]


def test_pointers_are_the_bodys_own(world, as_head):
    said = {"name": "windmill yard", "zone": "Europe/Lisboa"}
    assert errors(as_head.post(STUDIOS, said, format="json")) == {
        "/name": "another studio is called so",
        "/zone": "no IANA time zone “Europe/Lisboa”; close to it: Europe/Lisbon, Europe/Riga,"
        " Europe/Sofia",
    }
    answer = as_head.patch(f"{STUDIOS}/{world.own.studio}", {"zone": "localtime"}, format="json")
    assert errors(answer) == {"/zone": "no IANA time zone “localtime”"}
    said = {"units": "feet", "mats": 61, "name": " "}
    assert errors(as_head.post(STUDIOS, said, format="json")).keys() == {
        "/units",
        "/mats",
        "/name",
        "/zone",
    }
    assert Studio.objects.count() == 3


def test_what_may_be_sent_is_what_the_file_may_say():
    schema = json.loads(timetable.SCHEMA.read_text())["$defs"]
    for part, body in (
        ("studio", NewStudio),
        ("term", NewTerm),
        ("closure", NewClosure),
        ("class", NewClass),
    ):
        fields, said = body().fields, schema[part]
        assert fields.keys() == said["properties"].keys() - {"remove"}
        needed = {name for name, field in fields.items() if field.required}
        assert needed == set(said["required"])
        for name, rule in said["properties"].items():
            if rule.get("type") == "integer":
                bounds = (fields[name].min_value, fields[name].max_value)
                assert bounds == (rule["minimum"], rule["maximum"])
        assert fields["name"].max_length == schema["name"]["maxLength"]
