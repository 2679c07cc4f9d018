from io import StringIO

import pytest
from django.core.management import call_command

from accounts.commands import Refused
from accounts.models import Event, Member, School
from tests.factories import every_row

pytestmark = pytest.mark.django_db
SCHOOL, HEAD = "Orrowmere School of Dance", "Marit O."


def new_school(name=SCHOOL, head=HEAD):
    out = StringIO()
    call_command("new_school", name, head=head, stdout=out)
    return out.getvalue().strip()


def test_a_school_begins_with_its_head_teacher():
    assert new_school() == f"“{SCHOOL}” begins, with {HEAD} as its head teacher"
    school = School.objects.get()
    member = Member.objects.get()
    assert (school.name, member.name, member.role, member.adult) == (
        SCHOOL,
        HEAD,
        "head_teacher",
        True,
    )
    assert (member.school_id, member.until, member.account) == (school.id, None, None)
    event = Event.objects.get()
    assert (event.what, event.about, event.member_id) == ("begin_school", member.id, member.id)


def test_masses_are_off_and_the_limits_cautious():
    new_school()
    school = School.objects.get()
    assert (school.uses_mass, school.mass_from_age, school.adults_in_room) == (False, 11, 2)


def test_a_second_time_changes_nothing():
    new_school()
    before = every_row()
    assert new_school() == f"“{SCHOOL}” stands already, with {HEAD}: nothing changed"
    assert new_school(f"  {SCHOOL} ") == f"“{SCHOOL}” stands already, with {HEAD}: nothing changed"
    assert every_row() == before


@pytest.mark.parametrize(
    ("name", "head", "message"),
    [
        (
            SCHOOL,
            "Signe H.",
            f"--head: “{SCHOOL}” stands already with another head teacher;"
            " she takes on further staff with load_staff",
        ),
        (" ", HEAD, "the school's name: should not be empty"),
        ("S" * 121, HEAD, "the school's name: longer than 120 characters"),
        ("Orrow\nmere", HEAD, "the school's name: holds a character that is no text"),
        ("Orrow\ud83dmere", HEAD, "the school's name: holds a character that is no text"),
        ("Another School", "", "--head: should not be empty"),
        ("Another School", "M" * 81, "--head: longer than 80 characters"),
        ("Another School", "Marit\x00", "--head: holds a character that is no text"),
    ],
)
def test_what_is_refused_changes_nothing(name, head, message):
    new_school()
    before = every_row()
    with pytest.raises(Refused) as caught:
        new_school(name, head)
    assert (str(caught.value), caught.value.returncode) == (message, 2)
    assert every_row() == before


def test_names_are_composed():
    new_school("Scho\u0308ner Tanz", "Cli\u0301odhna M.")
    assert School.objects.get().name == "Sch\u00f6ner Tanz"
    assert Member.objects.get().name == "Cl\u00edodhna M."
