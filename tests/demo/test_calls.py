"""How each role of the demo asks the server that `make run` starts."""

import re

import pytest
from rest_framework.test import APIClient

from accounts.models import ASSISTANT, TEACHER
from demo import files
from tests import factories
from tests.shell import shell

CALL = re.compile(r'  curl -H "Authorization: (Token \w+)" (http://127\.0\.0\.1:\d+)(/\S+)')


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("said", "url"),
    [([], "http://127.0.0.1:8000"), (["http://127.0.0.1:8765"], "http://127.0.0.1:8765")],
)
def test_each_role_has_a_call_that_works(said, url):
    school = factories.SchoolFactory(name=files.SCHOOL)
    studio = factories.StudioFactory(school=school)
    factories.MemberFactory(school=school, name=files.HEAD)
    for name, role in ((files.TEACHER, TEACHER), (files.ASSISTANT, ASSISTANT)):
        factories.MemberFactory(school=school, name=name, role=role, studios=[studio])
    ran = shell("demo", "--calls", *said)
    assert ran.status == 0
    first, *lines = ran.out.splitlines()
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
    assert roles == ["head_teacher", "teacher", "assistant"]


@pytest.mark.django_db
def test_without_the_demo_school_there_is_nothing_to_call():
    ran = shell("demo", "--calls", "http://127.0.0.1:8000")
    assert (ran.status, ran.out) == (0, "")
