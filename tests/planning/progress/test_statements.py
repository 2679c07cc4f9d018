"""A page asks the database as often for many as for few."""

import json
from pathlib import Path

from django.db import connection
from django.test.utils import CaptureQueriesContext

from planning.letters import letter
from planning.map_overlays import class_map, student_map
from planning.progress.of_class import class_progress
from planning.progress.path import path
from tests.planning import term as terms
from tests.planning.build import LIFTED, STARTS, clean, pupils

STATEMENTS = json.loads((Path(__file__).parents[1] / "statements.json").read_text("utf-8"))
PAGES = {
    "path": path,
    "class progress": class_progress,
    "letter": letter,
    "student map": student_map,
    "class map": class_map,
}
OF_A_CLASS = ("class progress", "class map")


def asked(page, scope, **about):
    with CaptureQueriesContext(connection) as queries:
        page(scope, **about, at=STARTS)
    return len(queries)


def test_pages_ask_as_often_however_many_children_and_tries_there_are(db):
    weeks = [*range(1, 9), *range(12, 33)]  # with the same holidays as the others
    tries = clean("tight", "table", "table_hips", "line", weeks=weeks)
    many = pupils(*(f"{place:02d} Amara" for place in range(12)), **LIFTED | {"tries": tries})
    for school in (terms.build(name="Few"), terms.build(*many, name="Many")):
        rows = school.rows
        for name in ("Amara", *(pupil.name for pupil in many[:1] if pupil.name in rows.children)):
            child, klass = {"student_id": rows.children[name]}, {"class_id": rows.klass.id}
            counts = {
                kind: asked(page, rows.teacher, **(klass if kind in OF_A_CLASS else child))
                for kind, page in PAGES.items()
            }
            assert counts == {kind: STATEMENTS[kind] for kind in PAGES}
