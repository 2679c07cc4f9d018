import pytest
import time_machine
from knox.crypto import hash_token

from accounts.models import Token
from tests.factories import AT, MemberFactory, SchoolFactory, StudioFactory, every_row
from tests.shell import shell

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def head(db):
    studio = StudioFactory(school=SchoolFactory(name="Orrowmere"))
    MemberFactory(school=studio.school, name="Tendai R.", role="teacher", studios=[studio])
    MemberFactory(school=studio.school, name="Bram V.", revoked_at=AT)
    with time_machine.travel(AT, tick=False):
        yield MemberFactory(school=studio.school, name="Marit O.")


def token(name, by, *options):
    return shell("token", name, "--school", "Orrowmere", "--as", by, *options)


def test_the_token_and_nothing_else_is_printed():
    ran = token("tendai r", "Marit O.")
    assert (ran.status, ran.err) == (0, "")
    [text] = ran.out.splitlines()
    row = Token.objects.get()
    assert (row.digest, row.member.name) == (hash_token(text), "Tendai R.")


def test_tokens_are_withdrawn():
    token("Tendai R.", "Marit O."), token("Tendai R.", "Tendai R."), token("Marit O.", "Marit O.")
    ran = token("Tendai R.", "Marit O.", "--withdraw")
    assert ran.out == "tokens of Tendai R. that were withdrawn: 2\n"
    assert Token.objects.get().member.name == "Marit O."


@pytest.mark.parametrize(
    ("name", "by", "said"),
    [
        (
            "Tenday R.",
            "Marit O.",
            "nobody on the staff is called “Tenday R.”; close to it: Tendai R.",
        ),
        ("Marit O.", "Tendai R.", "a token for somebody else: a head teacher's right"),
        ("Bram V.", "Marit O.", "the access of Bram V. was taken away"),
        ("Marit O.", "Nobody", "nobody called “Nobody” is on the staff of “Orrowmere”"),
    ],
)
def test_what_is_refused_changes_nothing(name, by, said):
    before = every_row()
    assert token(name, by).refusal == said
    assert every_row() == before
