import pytest

from tests import factories


@pytest.fixture
def head(db):
    """The head teacher of a school with one studio."""
    member = factories.MemberFactory(name="Marit O.")
    factories.StudioFactory(school=member.school, name="Sellane Harbour")
    return factories.scope(member)
