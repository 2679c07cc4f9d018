"""The letter for guardians over HTTP."""

import base64
import hashlib

from accounts.models import Event
from tests.api.cast import unknown_id


def letter(place, form=""):
    return f"/api/v1/students/{place.student}/letter{form}"


def test_as_one_document(world, as_teacher):
    answer = as_teacher.get(letter(world.own))
    assert answer.status_code == 200
    assert answer["Cache-Control"] == "no-store"
    told = answer.json()
    assert [*told] == [
        *("student", "class", "studio", "on", "title", "known", "opening", "sections"),
        *("closing", "caution"),
    ]
    assert told["title"] == "Amparo in Class at Quayside Hall"
    assert told["sections"][0] == {
        "heading": "Being learned",
        "says": "Amparo is working on:",
        "lines": ["chest rest as base: with helping hands"],
    }
    assert told["caution"].startswith("Partner work can injure.")


def test_as_a_page_for_print(world, as_teacher):
    answer = as_teacher.get(letter(world.own, ".html"), headers={"Accept": "text/html"})
    assert answer.status_code == 200
    assert answer["Content-Type"] == "text/html; charset=utf-8"
    page = answer.content.decode()
    assert "<title>Amparo in Class at Quayside Hall</title>" in page
    [style] = [part.partition("</style>")[0] for part in page.split("<style>")[1:]]
    digest = base64.b64encode(hashlib.sha256(style.encode()).digest()).decode()
    policy = answer["Content-Security-Policy"].split("; ")
    assert f"style-src 'self' 'sha256-{digest}'" in policy
    assert "default-src 'none'" in policy


def test_in_which_class_and_that_it_was_read(world, as_teacher):
    for form in ("", ".html"):
        for klass, status in (
            (world.own.klass, 200),
            (world.sister.klass, 404),
            (unknown_id(), 404),
        ):
            answer = as_teacher.get(letter(world.own, form), {"class": klass})
            assert answer.status_code == status
    told = Event.objects.filter(what="read_letter").order_by("id")
    assert [(str(one.about), one.details) for one in told] == [
        (world.own.student, {"printed": printed}) for printed in (False, True)
    ]
