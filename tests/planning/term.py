"""A class half through its spring term, with all that makes a path hard to tell.

Christmas was a break of four weeks. From 3 March on the studio has a second edition in use, which
splits the table in two and has no plank line any more; the other studio keeps the first.
"""

import json
from copy import deepcopy
from dataclasses import dataclass, replace
from datetime import date
from uuid import UUID, uuid4

from accounts.models import Member
from classes.models import Class, Enrolment, Erased, Student
from classes.models import Term as TermRow
from curriculum import editions
from tests import factories
from tests.factories import AT
from tests.planning import school
from tests.planning.build import (
    DOCUMENTS,
    FAMILIES,
    Pupil,
    Tried,
    clean,
    tries_of,
)
from tests.planning.school import Rows

SPLIT_ON = date(2026, 3, 3)
LEFT_ON = date(2026, 2, 20)
AUTUMN = ("Autumn 2025", date(2025, 9, 1), date(2025, 12, 19))
SPRING = ("Spring 2026", date(2026, 1, 6), date(2026, 4, 3))

AMARA = Pupil(
    "Amara",
    (
        *clean("tight", weeks=(13, 12, 7)),
        *clean("bridge", weeks=(15, 14, 14, 13, 12)),
        Tried("bridge", "solo", 8, outcome="not_there"),
        Tried("bridge", "solo", 8, outcome="shaky", spot="hands_near"),
        *clean("table", weeks=(13,)),
        Tried("table", "solo", 5, outcome="shaky"),
        Tried("table_hips", "solo", 1),
        Tried("line", "back", 6, outcome="shaky"),
        Tried("lean", "partner", 2, spot="hands_near"),
        Tried("seat", "spotter", 2),
        *clean("stop_word", role="partner", weeks=(2,)),
    ),
    restricted=(("back_bend", date(2026, 5, 3)),),
)
BAO = Pupil(
    "Bao",
    (
        *clean("chest_rest", role="base", weeks=range(12, 14)),
        *clean("chest_rest", role="base", weeks=range(1, 9), spot="hands_near"),
        *clean("stop_word", role="partner", weeks=(1,)),
    ),
)
DEMBA = Pupil("Demba", clean("chest_rest", role="base", weeks=(2, 1)), trial=True)
HANA = Pupil("Hana")
NGUYET = Pupil("Nguyệt", clean("tight", weeks=(8, 7, 6, 5)))
RANGI = Pupil(
    "Rangi",
    (
        *clean("chest_rest", role="flyer", weeks=(2,)),
        *clean("chest_rest", role="base", weeks=(3, 1)),
    ),
)
SUMMARY, TAKEN_BACK, MOVED = 2, 3, 5  # places in Amara's log: summed up, taken back, Bao's


@dataclass(frozen=True)
class Term:
    rows: Rows
    elsewhere: Class
    erased: UUID

    def child(self, name: str) -> UUID:
        return self.rows.children[name]


def split() -> dict:
    """The cards of the second edition."""
    said = json.dumps({key: card for key, card in DOCUMENTS.items() if key != "line"})
    cards = json.loads(said.replace('"skill": "table"', '"skill": "table_hips"'))
    table = cards.pop("table")
    halves = {
        "table_hips": table | {"name": "Table, hips still"},
        "table_hands": deepcopy(table) | {"name": "Table, hands apart"},
    }
    ordered = {}
    for key, card in cards.items():
        ordered |= (halves | {key: card}) if key == "bridge" else {key: card}
    return ordered


def build(*more: Pupil, name: str = school.SCHOOL) -> Term:
    rows = school.build(name=name)
    document = {
        "format": "curriculum/1",
        "name": "curriculum, summer 2026",
        "families": FAMILIES,
        "skills": split(),
        "succession": [{"from": "table", "to": half} for half in ("table_hips", "table_hands")],
    }
    curriculum = editions.read_curriculum(json.dumps(document).encode())
    number = editions.publish(rows.head, curriculum=curriculum, at=AT).number
    editions.adopt(
        rows.head,
        studio_id=rows.klass.studio_id,
        number=number,
        from_date=SPLIT_ON,
        at=AT,
    )
    for called, first, last in (AUTUMN, SPRING):
        TermRow.objects.create(school_id=rows.id, name=called, first_on=first, last_on=last)
    for pupil in (AMARA, BAO, DEMBA, HANA, NGUYET, RANGI, *more):
        rows.add(pupil)
    for week in (3, 2, 1):
        rows.attended("Hana", "here", SPLIT_ON if week == 1 else date(2026, 2, 24 - 7 * (week - 2)))
    Student.objects.filter(id=rows.children["Nguyệt"]).update(left_on=LEFT_ON)
    _correct(rows)
    return _elsewhere(rows)


def _correct(rows: Rows) -> None:
    log = list(tries_of(AMARA))
    rows.correct("Amara", log[SUMMARY], weight="summary")
    rows.correct("Amara", log[TAKEN_BACK], outcome="removed")
    rows.correct("Bao", log[MOVED])


def _elsewhere(rows: Rows) -> Term:
    """A second studio, half a day ahead, where Rangi dances too and Zola alone."""
    studio = factories.StudioFactory(school_id=rows.id, name="Upper Hall", zone="Pacific/Auckland")
    rows = replace(rows, head=factories.scope(Member.objects.get(id=rows.head.member_id)))
    editions.adopt(rows.head, studio_id=studio.id, number=1, from_date=editions.ALWAYS, at=AT)
    klass = factories.ClassFactory(studio=studio, name="Wednesday juniors", weekday=2)
    Enrolment.objects.create(
        school_id=rows.id,
        student_id=rows.children["Rangi"],
        group_class=klass,
        from_date=factories.JOINED,
    )
    rows.children["Zola"] = factories.StudentFactory(
        school_id=rows.id, identity__given_name="Zola", classes=[klass]
    ).id
    gone = Erased.objects.create(school_id=rows.id, student_id=uuid4(), erased_at=AT)
    return Term(rows=rows, elsewhere=klass, erased=gone.student_id)
