import pytest

from accounts.models import Studio
from tests.classes.roster.lists import BEGINNERS, SENIORS
from tests.factories import ClassFactory, MemberFactory, SchoolFactory, StudioFactory, scope


@pytest.fixture
def school(db):
    school = SchoolFactory(name="Orrowmere")
    studio = StudioFactory(school=school, name="Sellane Harbour")
    for name in (BEGINNERS, SENIORS):
        ClassFactory(studio=studio, name=name)
    return school


@pytest.fixture
def head(school):
    return scope(MemberFactory(school=school, name="Marit O."))


@pytest.fixture
def teacher(school):
    studios = Studio.objects.filter(school=school)
    return scope(MemberFactory(school=school, name="Tendai R.", role="teacher", studios=studios))
