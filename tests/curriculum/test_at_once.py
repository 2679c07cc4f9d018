"""Two head teachers at one draft at the same moment: the database has the last word."""

import pytest
from django.db import connection

from accounts.scope import Conflict, Stale
from curriculum import draft_cards, drafts, editions
from curriculum.models import Card, Edition
from tests import factories
from tests.at_once import at_once
from tests.curriculum.build import (
    DOCUMENT,
    LATER,
    change_draft,
    draft_of,
    publish_draft,
    said,
)
from tests.factories import AT


@pytest.fixture
def postgres(transactional_db):
    if connection.vendor != "postgresql":
        pytest.skip("the test's SQLite lies in memory and has one writer")


@pytest.mark.usefixtures("postgres")
class TestAtOnce:
    @pytest.fixture
    def head(self):
        member = factories.MemberFactory(name="Marit O.")
        factories.StudioFactory(school=member.school)
        return factories.scope(member)

    def test_one_of_two_publishes(self, head):
        draft = draft_of(head)
        found = at_once(*[lambda: publish_draft(head, draft)] * 4)
        assert sorted(type(one).__name__ for one in found) == ["Conflict"] * 3 + ["Published"]
        assert list(Edition.objects.values_list("number", flat=True)) == [1]
        assert Card.objects.count() == 3

    def test_one_publishes_while_the_other_changes(self, head):
        draft = draft_of(head)
        one, other = at_once(
            lambda: publish_draft(head, draft), lambda: change_draft(head, draft, LATER)
        )
        if isinstance(one, editions.Published):
            assert isinstance(other, Conflict)
            assert Card.objects.get(skill__key="table").document["criterion"] == "30 s"
        else:
            assert isinstance(one, Stale)
            assert other.version == 2

    def test_one_of_two_at_the_same_card_wins_and_the_other_hears_of_it(self, head):
        draft = draft_of(head)
        asked = {"draft_id": draft.id, "skill": "table", "tag": draft.cards[0].tag, "at": AT}
        table = DOCUMENT["skills"]["table"]
        found = at_once(
            *(
                lambda text=text: draft_cards.put(
                    head, content=said(table | {"criterion": text}), **asked
                )
                for text in ("40 s", "50 s", "60 s")
            )
        )
        [won] = [one for one in found if isinstance(one, draft_cards.DraftCard)]
        lost = [one for one in found if isinstance(one, draft_cards.StalePart)]
        assert [one.standing.document for one in lost] == [won.document] * 2
        assert drafts.draft(head, draft_id=draft.id).document["skills"]["table"] == won.document

    def test_several_at_several_cards_are_all_kept(self, head):
        draft = draft_of(head)
        cards = {key: card | {"criterion": "now"} for key, card in DOCUMENT["skills"].items()}
        at_once(
            *(
                lambda one=one: draft_cards.put(
                    head,
                    draft_id=draft.id,
                    skill=one.skill,
                    tag=one.tag,
                    content=said(cards[one.skill]),
                    at=AT,
                )
                for one in draft.cards
            )
        )
        now = drafts.draft(head, draft_id=draft.id)
        assert (now.document["skills"], now.version) == (cards, 4)

    def test_two_drafts_become_two_editions(self, head):
        first, second = draft_of(head), draft_of(head, LATER)
        found = at_once(lambda: publish_draft(head, first), lambda: publish_draft(head, second))
        assert sorted(one.number for one in found) == [1, 2]

    def test_the_same_file_twice_is_one_draft(self, head):
        found = at_once(*[lambda: draft_of(head)] * 3)
        assert len({draft.id for draft in found}) == 1
        assert Edition.objects.count() == 1
