"""How each role of the demo signs in and asks at the server that `make run` starts."""

import re

import pytest
from rest_framework.test import APIClient

from accounts.models import ASSISTANT, TEACHER, Account
from demo import files
from tests import factories
from tests.shell import shell

CALL = re.compile(r'  curl -H "Authorization: (Token \w+)" (http://127\.0\.0\.1:\d+)(/\S+)')
WORDS = "four kettles by the harbour"
ROLES = ["head_teacher", "teacher", "assistant"]
pytestmark = pytest.mark.django_db


@pytest.fixture
def school(db):
    school = factories.SchoolFactory(name=files.SCHOOL)
    studio = factories.StudioFactory(school=school)
    factories.MemberFactory(school=school, name=files.HEAD)
    for name, role in ((files.TEACHER, TEACHER), (files.ASSISTANT, ASSISTANT)):
        factories.MemberFactory(school=school, name=name, role=role, studios=[studio])
    return school


@pytest.fixture
def this_machine(settings):
    settings.ALLOWED_HOSTS = ["127.0.0.1", "localhost", "[::1]"]


def sign_in(email, password=WORDS):
    """A browser that has tried to, and what it was answered."""
    browser = APIClient(headers={"Host": "localhost"})
    said = {"email": email, "password": password}
    answer = browser.post("/_allauth/browser/v1/auth/login", said, format="json")
    return browser, answer.status_code


@pytest.mark.parametrize(
    ("said", "url"),
    [([], "http://127.0.0.1:8000"), (["http://127.0.0.1:8765"], "http://127.0.0.1:8765")],
)
def test_each_role_has_a_call_that_works(school, said, url):
    ran = shell("demo", "--calls", *said)
    assert ran.status == 0
    first, *lines = ran.out[ran.out.index("Each role") :].splitlines()
    assert first == "Each role with a token of its own:"
    assert lines[::2] == [
        "  # Marit O., head teacher",
        "  # Tendai R., teacher",
        "  # Aroha T., assistant",
    ]
    roles = []
    for line in lines[1::2]:
        token, asked, path = CALL.fullmatch(line).groups()
        assert asked == url
        response = APIClient(HTTP_AUTHORIZATION=token).get(path)
        assert response.status_code == 200
        roles.append(response.json()["role"])
    assert roles == ROLES


def test_each_role_signs_in_with_what_is_printed(school, this_machine):
    ran = shell("demo", "--calls", "http://127.0.0.1:8765")
    _, opened, alone, *lines = ran.out.splitlines()[:6]
    assert opened == f"Open http://127.0.0.1:8765 and sign in with the passphrase “{WORDS}”;"
    assert alone == "everybody knows it, so it is for trying out on this machine alone:"
    roles = []
    for line in lines:
        browser, status = sign_in(line.split()[0])
        assert status == 200
        roles.append(browser.get("/api/v1/me").json()["role"])
    assert roles == ROLES
    again = shell("demo", "--calls", "http://127.0.0.1:8765")
    assert again.out.splitlines()[:6] == ran.out.splitlines()[:6]
    assert Account.objects.count() == 3


def test_whoever_has_a_password_of_her_own_keeps_it(school, this_machine):
    shell("demo", "--calls")
    account = Account.objects.get(email="marit@orrowmere.example")
    account.set_password("five cold lanterns")
    account.save()
    shell("demo", "--calls")
    assert sign_in("marit@orrowmere.example", "five cold lanterns")[1] == 200


def test_nobody_signs_in_where_others_than_this_machine_may_ask(school, this_machine, settings):
    shell("demo", "--calls")
    browser, _ = sign_in("tendai@orrowmere.example")
    settings.ALLOWED_HOSTS = ["localhost", "dance.example"]
    ran = shell("demo", "--calls")
    said = "Others than this machine may ask here: nobody signs in at the demo school."
    assert ran.out.splitlines()[0] == said
    assert WORDS not in ran.out
    assert sign_in("tendai@orrowmere.example")[1] == 400
    assert browser.get("/api/v1/me").status_code == 401
    settings.ALLOWED_HOSTS = ["localhost"]
    shell("demo", "--calls")
    assert sign_in("tendai@orrowmere.example")[1] == 200


def test_without_the_demo_school_there_is_nothing_to_call(db):
    ran = shell("demo", "--calls", "http://127.0.0.1:8000")
    assert (ran.status, ran.out) == (0, "")
