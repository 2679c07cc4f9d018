import io

import pytest
import time_machine

from accounts import sign_in
from accounts.models import Account, Member
from tests.factories import AT, MemberFactory, SchoolFactory, every_row, scope
from tests.shell import shell

pytestmark = pytest.mark.django_db
WORDS, OTHER = "five cold lanterns", "six warm kettles"


class Terminal(io.StringIO):
    def isatty(self):
        return True


@pytest.fixture(autouse=True)
def head(db):
    school = SchoolFactory(name="Orrowmere")
    MemberFactory(school=school, name="Bram V.", revoked_at=AT)
    with time_machine.travel(AT, tick=False):
        yield MemberFactory(school=school, name="Marit O.")


@pytest.fixture
def run(monkeypatch):
    def said(*lines, member="Marit O.", email="Marit@orrowmere.example", stdin=io.StringIO):
        monkeypatch.setattr("sys.stdin", stdin("".join(f"{line}\n" for line in lines)))
        named = ("--school", "Orrowmere", "--member", member, "--email", email)
        return shell("sign_in", *named)

    return said


def opens(email, password):
    return Account.objects.get(email=email).check_password(password)


def test_the_password_is_read_and_never_said(run, head):
    ran = run(WORDS)
    assert (ran.status, ran.err) == (0, "")
    assert ran.out == "Marit O. signs in with marit@orrowmere.example\n"
    assert Member.objects.get(id=head.id).account.check_password(WORDS)


def test_a_new_one_replaces_the_old(run):
    run(WORDS)
    assert run(OTHER).status == 0
    assert opens("marit@orrowmere.example", OTHER)


@pytest.mark.parametrize(("typed", "status"), [([WORDS, WORDS], 0), ([WORDS, OTHER], 2)])
def test_at_a_terminal_it_is_asked_for_twice_without_being_shown(run, monkeypatch, typed, status):
    typed = iter(typed)
    monkeypatch.setattr("accounts.management.commands.sign_in.getpass", lambda _: next(typed))
    ran = run(stdin=Terminal)
    assert ran.status == status
    if status:
        assert ran.refusal == "the two passwords are not alike"
        assert not Account.objects.exists()


@pytest.mark.parametrize(
    ("words", "named", "said"),
    [
        ("short", {}, "This password is too short. It must contain at least 12 characters."),
        ("", {}, "This password is too short. It must contain at least 12 characters."),
        (WORDS, {"email": "marit"}, "--email: “marit” is not an email"),
        (WORDS, {"member": "Bram V."}, "nobody called “Bram V.” is on the staff of “Orrowmere”"),
        (
            WORDS,
            {"email": "taken@orrowmere.example"},
            "the email stands for somebody else of the school, or has another password",
        ),
    ],
)
def test_what_is_refused_changes_nothing(run, head, words, named, said):
    other = MemberFactory(school=head.school)
    sign_in.give(
        scope(other), member_id=other.id, email="taken@orrowmere.example", password=OTHER, at=AT
    )
    before = every_row()
    assert run(words, **named).refusal == said
    assert every_row() == before
