"""A first run without the demo: how to begin, and which schools are here already."""

import pytest

from accounts.models import School
from tests.factories import SchoolFactory
from tests.shell import shell


@pytest.mark.django_db
def test_an_empty_database():
    ran = shell("demo", "--none")
    assert (ran.status, ran.err) == (0, "")
    assert ran.out.startswith("Nothing is loaded yet. A school of your own begins with\n")
    commands = [line.split()[2] for line in ran.out.splitlines() if "manage.py" in line]
    assert commands == ["new_school", "sign_in"]
    assert not School.objects.exists()


@pytest.mark.django_db
def test_schools_that_are_here_are_named():
    SchoolFactory(name="Westwind")
    SchoolFactory(name="Åsvang")
    ran = shell("demo", "--none")
    assert (ran.status, ran.err) == (0, "")
    first = "Here already: “Åsvang”, “Westwind”. A school of your own begins with"
    assert ran.out.splitlines()[0] == first
    assert School.objects.count() == 2
