"""An edition that renames a skill: what was seen counts on, and so does a fall."""

import json

import pytest

from curriculum import editions
from planning import gates
from tests.factories import AT
from tests.planning import school
from tests.planning.build import DOCUMENTS, FAMILIES, ON, PROPS, Pupil, child


@pytest.mark.django_db
def test_tries_and_an_open_fall_follow_the_skill_under_its_new_name():
    rows = school.build(Pupil("Amara", PROPS), Pupil("Bao", PROPS))
    rows.fell("Bao", "chest_rest", "flyer")
    renamed = {
        ("chest_rest_on_a_v" if key == "chest_rest" else key): card
        for key, card in DOCUMENTS.items()
    }
    document = {
        "format": "curriculum/1",
        "name": "curriculum, summer 2026",
        "families": FAMILIES,
        "skills": renamed,
        "succession": [{"from": "chest_rest", "to": "chest_rest_on_a_v"}],
    }
    curriculum = editions.read_curriculum(json.dumps(document).encode())
    number = editions.publish(rows.head, curriculum=curriculum, at=AT).number
    studio_id = rows.load().klass.studio_id
    editions.adopt(rows.head, studio_id=studio_id, number=number, from_date=ON, at=AT)

    tonight = rows.load()
    card = tonight.edition.cards["chest_rest_on_a_v"]
    codes = [stop.code for stop in gates.stops(tonight, card, "base", child(tonight, "Bao"))]
    assert codes == ["fall"]
    assert gates.stops(tonight, card, "base", child(tonight, "Amara")) == ()
