"""Two head teachers at one draft at the same moment: the database has the last word."""

import pytest
from django.db import connection

from accounts.scope import Conflict, Stale
from curriculum import editions
from curriculum.models import Card, Edition
from tests import factories
from tests.at_once import at_once
from tests.curriculum.build import LATER, change_draft, draft_of, publish_draft


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

    def test_two_drafts_become_two_editions(self, head):
        first, second = draft_of(head), draft_of(head, LATER)
        found = at_once(lambda: publish_draft(head, first), lambda: publish_draft(head, second))
        assert sorted(one.number for one in found) == [1, 2]

    def test_the_same_file_twice_is_one_draft(self, head):
        found = at_once(*[lambda: draft_of(head)] * 3)
        assert len({draft.id for draft in found}) == 1
        assert Edition.objects.count() == 1
