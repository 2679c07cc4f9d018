"""The sheet of a lesson over HTTP: whole, in parts, and as a page."""

import base64
import hashlib
import re
from datetime import timedelta

import pytest
import time_machine

from classes.models import Attendance
from tests.api.cast import MASSES, NOW, unknown_id
from tests.api.test_rights import UUID
from tests.planning.build import DOCUMENTS

BOX = re.compile(r'"box":\{[^}]*\}')  # of a picture; its height is no child's
PARTS = ("sheet", "suggestions", "pair-table?skill=chest_rest")


def of(place, part):
    return f"/api/v1/lessons/{place.lesson}/{part}"


def ways_up(place, **query):
    return f"/api/v1/students/{place.student}/ways-up", query or {"lesson": place.lesson}


def test_the_whole_sheet(world, as_assistant):
    answer = as_assistant.get(of(world.own, "sheet"))
    assert answer.status_code == 200
    assert answer["Cache-Control"] == "private, no-cache"
    told = answer.json()
    assert [*told] == [
        "lesson",
        "class",
        "studio",
        "edition",
        "known",
        "children",
        "cards",
        "suggestions",
        "kept",
        "proposed",
        "pair_tables",
        "says",
        "private",
        "caution",
    ]
    assert told["lesson"]["starts_at"] == "2026-03-10T17:00:00+00:00"
    assert told["class"] == {"id": world.own.klass, "name": "Class at Quayside Hall"}
    assert [one["name"] for one in told["lesson"]["spotters"]] == ["Assistant at Quayside Hall"]
    assert [one["name"] for one in told["children"]] == list(world.own.names[:4])
    assert told["children"][1]["not_for_now"] == ["the wrists rest until 3 May"]
    assert told["children"][3]["not_for_now"] == ["chest rest: a teacher looks at it first"]
    (kept,) = told["kept"]
    assert (kept["skill"], kept["version"], kept["groups"][0]["id"]) == (
        "chest_rest",
        1,
        world.own.group,
    )
    assert told["pair_tables"][0]["skill"] == "chest_rest"
    assert told["pair_tables"][0] == as_assistant.get(of(world.own, PARTS[2])).json()
    assert told["suggestions"] == as_assistant.get(of(world.own, "suggestions")).json()
    assert told["caution"].startswith("Partner work can injure.")


def test_the_picture_of_a_card_is_told_as_it_was_written(world, as_assistant):
    cards = as_assistant.get(of(world.own, "sheet")).json()["cards"]
    assert {card["skill"]: card["pose"] for card in cards} == {
        key: document.get("pose") for key, document in DOCUMENTS.items()
    }
    assert DOCUMENTS["seat"]["pose"]["figures"][0]["hip"] == [90, 80]


@pytest.mark.parametrize("part", PARTS)
def test_what_has_not_changed_is_not_sent_again(world, as_teacher, part):
    first = as_teacher.get(of(world.own, part))
    known = {"If-None-Match": first["ETag"]}
    with time_machine.travel(NOW + timedelta(hours=3), tick=False):
        again = as_teacher.get(of(world.own, part), headers=known)
    assert (again.status_code, again.content, again["ETag"]) == (304, b"", first["ETag"])
    Attendance.objects.filter(student_id=world.own.student).update(state="not_today")
    changed = as_teacher.get(of(world.own, part), headers=known)
    assert changed.status_code == 200
    assert changed["ETag"] != first["ETag"]


def test_no_size_no_age_and_nothing_private(world, as_head, as_teacher, as_assistant):
    for client in (as_head, as_teacher, as_assistant):
        for part in (*PARTS, "pair-table?skill=seat", "sheet.html"):
            text = client.get(of(world.own, part)).content.decode().replace("line-height", "")
            text = UUID.sub("", text)  # an id may hold any digits
            text = BOX.sub("", text)
            for word in (str(MASSES["own"]), "138", "2013", "mass", "height", "birth"):
                assert word not in text, (part, word)
    assert as_assistant.get(of(world.own, "sheet")).json()["private"] is None


def test_a_pair_table(world, as_teacher):
    told = as_teacher.get(of(world.own, "pair-table?skill=seat")).json()
    assert told["children"] == [
        one["id"] for one in as_teacher.get(of(world.own, "sheet")).json()["children"]
    ]
    assert [one["role"] for one in told["roles"]] == ["base", "flyer"]
    assert told["agreed"] == [[0, 1]]
    assert (told["ask_says"], told["stop_says"]) == ("“these two: yes”", "another base")
    assert told["covers"] == "everybody"
    # All weigh the same here, and nobody is told so: only the agreed two are left.
    assert told["sets"] == [
        {"bases": [0], "ask": [], "stop": [[2], [3]]},
        {"bases": [2], "ask": [], "stop": [[0], [1], [3]]},
        {"bases": [3], "ask": [], "stop": [[0], [1], [2]]},
    ]


def test_which_skill_a_pair_table_is_for(world, as_teacher):
    missing = as_teacher.get(of(world.own, "pair-table"))
    assert missing.status_code == 400
    assert [(one["parameter"], one["code"]) for one in missing.json()["errors"]] == [
        ("skill", "required")
    ]
    assert as_teacher.get(of(world.own, "pair-table?skill=Seat%20!")).status_code == 400
    for skill in ("moonwalk", "bridge", "stop_word"):
        answer = as_teacher.get(of(world.own, f"pair-table?skill={skill}"))
        assert answer.status_code == 404
        assert answer.json()["detail"] == "no such skill with groups"


def test_the_page_for_print(world, as_assistant):
    answer = as_assistant.get(of(world.own, "sheet.html"), headers={"Accept": "text/html"})
    assert answer.status_code == 200
    assert answer["Content-Type"] == "text/html; charset=utf-8"
    page = answer.content.decode()
    assert "<title>Class at Quayside Hall, Tuesday 10 March 2026</title>" in page
    assert "As known at 17:00 on 10 March" in page
    [style] = [part.partition("</style>")[0] for part in page.split("<style>")[1:]]
    digest = base64.b64encode(hashlib.sha256(style.encode()).digest()).decode()
    policy = answer["Content-Security-Policy"].split("; ")
    assert f"style-src 'self' 'sha256-{digest}'" in policy
    assert "default-src 'none'" in policy
    nowhere = f"/api/v1/lessons/{unknown_id()}/sheet.html"
    refused = as_assistant.get(nowhere, headers={"Accept": "text/html"})
    assert refused.status_code == 404
    assert refused["Content-Type"] == "application/problem+json"


def test_ways_up(world, as_assistant):
    answer = as_assistant.get(*ways_up(world.own))
    assert answer.status_code == 200
    told = answer.json()
    assert told["student"] == {"id": world.own.student, "name": "Amparo"}
    assert [(one["skill"], one["role"], one["state"]) for one in told["holds"]] == [
        ("lean", "partner", "missing"),
        ("straight_lean", "partner", "missing"),
        ("chest_rest", "flyer", "missing"),
        ("seat", "flyer", "missing"),
    ]
    assert told["holds"][2]["says"] == ["missing is standing tight with no spot, not tried yet"]
    again = as_assistant.get(*ways_up(world.own), headers={"If-None-Match": answer["ETag"]})
    assert again.status_code == 304


def test_ways_up_in_which_lesson(world, as_head):
    url, _ = ways_up(world.own)
    assert [one["parameter"] for one in as_head.get(url).json()["errors"]] == ["lesson"]
    refused = [
        as_head.get(url, {"lesson": lesson})
        for lesson in (world.foreign.lesson, unknown_id(), world.sister.lesson)
    ]
    assert [one.status_code for one in refused] == [404, 404, 404]
    assert refused[0].json() == refused[1].json()
