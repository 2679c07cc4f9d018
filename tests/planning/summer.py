"""A class in spring with groups kept for its evenings, and drafts of a summer edition for it."""

import json
from copy import deepcopy
from datetime import timedelta
from uuid import uuid4

from curriculum import drafts
from curriculum.successions import carried_on
from planning import impact, kept_groups
from planning.by_hand import Formed, check
from planning.evening import of_lesson
from tests.factories import AT
from tests.planning import school
from tests.planning.build import (
    DOCUMENTS,
    FAMILIES,
    LIFTED,
    ON,
    PROPS,
    STARTS,
    Pupil,
    clean,
)

HEIRS = ("table_high", "table_low")
WEEK = timedelta(weeks=1)
KNOWN = (
    Pupil("Amara", PROPS),
    Pupil("Bao", (*PROPS, *clean("chest_rest", role="base", weeks=range(1, 9)))),
    Pupil("Demba", clean("tight"), age=6, trial=True),
    Pupil("Hana", **LIFTED),
    Pupil("Ismet", clean("table")),
    Pupil("Mireille", (*PROPS, *clean("lean", role="partner"))),
)


def build(*more, name=school.SCHOOL):
    """A class with groups kept for today and for a week later, and yeses of a week ago."""
    rows = school.build(*KNOWN, *more, name=name)
    for called, skill, role in (
        ("Hana", "seat", "base"),
        ("Hana", "lean", "partner"),
        ("Amara", "bridge", "solo"),
        ("Ismet", "table", "solo"),
        ("Demba", "chest_rest", "flyer"),
    ):
        rows.say_yes(called, skill, role, given_on=ON - WEEK)
    rows.say_yes("Ismet", "seat", "flyer", given_on=ON)
    return rows


GROUPS = {
    "chest_rest": {"base": ("Bao",), "flyer": ("Amara",)},
    "lean": {"partner": ("Hana", "Mireille")},
    "seat": {"base": ("Hana",), "flyer": ("Amara",)},
}


def keep(rows, on=ON, skills=("chest_rest", "lean", "seat"), lesson=None):
    """A lesson with a group kept in each of these skills, whatever stops or asks in it."""
    lesson = lesson or rows.lesson(on)
    evening = of_lesson(rows.head, lesson_id=lesson.id, today=ON)
    for skill in skills:
        seats = {
            role: tuple(rows.children[name] for name in names)
            for role, names in GROUPS[skill].items()
        }
        checked = check(evening, evening.edition.cards[skill], [Formed(seats, uuid4())])
        kept_groups.store(rows.head, evening=evening, checked=checked, version=0, at=AT)
    return lesson


def document(**cards):
    """The table in two, a lean that is asked more of, a rest that is gone, and a skill that is
    new."""
    said = carried_on(
        {"skills": deepcopy(DOCUMENTS)},
        skill="table",
        heirs=HEIRS,
        cards={key: DOCUMENTS["table"] | {"name": key.replace("_", " ")} for key in HEIRS},
        published=True,
    )
    skills = said["skills"]
    skills["lean"]["roles"]["partner"]["needs"]["all_of"].append(
        {"skill": "bridge", "role": "solo", "help": "hands_near"}
    )
    skills["seat"]["roles"]["flyer"].pop("needs")
    skills["side_lean"] = DOCUMENTS["lean"] | {"name": "Side lean"}
    return {
        "format": "curriculum/1",
        "name": "summer",
        "families": FAMILIES,
        **said,
        "skills": {key: card for key, card in (skills | cards).items() if card},
    }


def draft(rows, said):
    return drafts.load(rows.head, content=json.dumps(said).encode(), at=AT)


def told(rows, said, **asked):
    asked = {"studio_id": rows.klass.studio_id, "at": STARTS} | asked
    return impact.of_draft(rows.head, draft_id=draft(rows, said).id, **asked)


def changed(found):
    return {
        (child.student.name, (role.after or role.before).skill, role.role): role.what
        for child in found.children
        for role in child.roles
    }


def with_seat(**said):
    seat = document()["skills"]["seat"]
    return document(seat=seat | said)


def carried(skill, *heirs):
    """Nothing but one skill that is carried on."""
    cards = {key: DOCUMENTS[skill] | {"name": "Anew"} for key in heirs if key not in DOCUMENTS}
    said = {"skills": deepcopy(DOCUMENTS)}
    said = carried_on(said, skill=skill, heirs=heirs, cards=cards, published=True)
    return {"format": "curriculum/1", "name": "summer", "families": FAMILIES, **said}
