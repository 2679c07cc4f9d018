"""How many statements each page of the curriculum asks: the file says, whatever the size.

After a change that is meant, write the new numbers by hand: each is a trip to the database.
"""

import json
from pathlib import Path

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from curriculum import adoptions, differences, draft_cards, drafts, editions
from curriculum.parts import tag_of
from tests import factories
from tests.curriculum.build import DOCUMENT, LATER, draft_of, publish, said
from tests.factories import AT

STATEMENTS = json.loads((Path(__file__).parent / "statements.json").read_text(encoding="utf-8"))
TABLE = DOCUMENT["skills"]["table"]


@pytest.mark.parametrize(("studios", "cards"), [(1, 0), (4, 60)])
def test_statements(head, studios, cards):
    more = {f"more_{n}": TABLE for n in range(cards)}
    document = DOCUMENT | {"skills": DOCUMENT["skills"] | more}
    later = LATER | {"skills": LATER["skills"] | dict.fromkeys(more, LATER["skills"]["table"])}
    for _ in range(studios - 1):
        factories.StudioFactory(school_id=head.school_id)
    head = factories.scope(factories.Member.objects.get(id=head.member_id))
    publish(head, document)
    editions.adopt_first(head, at=AT)
    publish(head, later)
    for studio_id in head.studio_ids:
        adoptions.hold_back(head, studio_id=studio_id, number=2, reason="not yet", at=AT)
    draft = draft_of(head, document | {"name": "summer"})
    one = {"draft_id": draft.id, "skill": "table"}
    asked = {
        "draft": lambda: drafts.draft(head, draft_id=draft.id),
        "draft checks": lambda: drafts.check(head, draft_id=draft.id),
        "draft card checks": lambda: draft_cards.check(head, content=said(TABLE), **one),
        "draft card put": lambda: draft_cards.put(
            head, tag=tag_of(TABLE), content=said(TABLE | {"name": "Board"}), at=AT, **one
        ),
        "draft difference": lambda: differences.of_draft(head, draft_id=draft.id),
        "edition difference": lambda: differences.of_edition(head, number=2),
        "editions": lambda: editions.editions(head, at=AT),
    }
    counts = {}
    for name, ask in asked.items():
        with CaptureQueriesContext(
            connection,
        ) as found:
            ask()
        counts[name] = len(found)
    assert counts == {name: STATEMENTS[name] for name in asked}
