"""Drafts over HTTP: a file in, its checks, publishing under the version that was read."""

import json
from uuid import uuid4

import pytest

from curriculum.models import Edition
from tests.api.cast import DRAFT
from tests.curriculum.build import DOCUMENT, leaf, with_skill
from tests.factories import every_row

YAML = "application/yaml"
FAULTY = with_skill("seat", spot=None, roles={"flyer": {"needs": leaf("tower")}, "base": {}})


def send(client, method, path, document=None, *, version=None, content=YAML):
    body = document if isinstance(document, bytes) else json.dumps(document).encode()
    headers = {} if version is None else {"If-Match": f'"v{version}"'}
    return client.generic(
        method,
        f"/api/v1/drafts{path}",
        data=body if document is not None else b"",
        content_type=content,
        headers=headers,
    )


def load(client, document=DOCUMENT, **said):
    return send(client, "POST", "", document, **said)


def stay(before):
    """Nothing changed but what counts requests."""
    for kept in (before, after := every_row()):
        kept.pop("accounts.Rate", None)
        kept.pop("accounts.Token", None)
    assert after == before


def problems(response, status=400):
    assert response.status_code == status
    assert response["Content-Type"] == "application/problem+json"
    return [(error["pointer"], error["detail"]) for error in response.json()["errors"]]


# -- a file in -------------------------------------------------------------------------------


def test_a_file_becomes_a_draft(world, as_head):
    content = (
        "# a remark\nformat: curriculum/1\nname: Herbst\nfamilies:\n  tight: Fest\nskills:\n"
        "  table: {name: Tisch, family: tight, criterion: no, roles: {solo: {}}}\n"
    )
    response = load(as_head, content.encode())
    assert response.status_code == 201
    assert response["ETag"] == '"v1"'
    said = response.json()
    assert (said["name"], said["note"], said["version"]) == ("Herbst", "", 1)
    whole = send(as_head, "GET", f"/{said['id']}")
    assert whole["ETag"] == '"v1"'
    assert whole.json()["document"]["skills"]["table"]["criterion"] == "no"
    rows = send(as_head, "GET", "").json()["rows"]
    assert [row["id"] for row in rows] == [world.own.draft, said["id"]]
    assert rows[1] == said


def test_cards_keep_their_order(as_head):
    draft = load(as_head).json()["id"]
    document = send(as_head, "GET", f"/{draft}").json()["document"]
    assert list(document["skills"]) == ["table", "lean", "seat"]
    assert document == DOCUMENT


def test_a_file_with_faults_of_the_schema_names_each_place(as_head):
    before = every_row()
    document = with_skill("table", criterion=None, colour="red") | {"format": "curriculum/2"}
    assert [pointer for pointer, _ in problems(load(as_head, document))] == [
        "/format",
        "/skills/table/colour",
        "/skills/table/criterion",
    ]
    stay(before)


@pytest.mark.parametrize(
    ("content", "detail"),
    [
        (b"", "should be a mapping"),
        (b"a: &a [1]\nb: *a", "line 1, column 4: an anchor (&name) is not allowed"),
        (
            b"a: !!python/object/apply:os.getcwd []",
            "line 1, column 4: a tag (tag:yaml.org,2002:python/object/apply:os.getcwd)"
            " is not allowed",
        ),
        (b"a: 1\na: 2", "line 2, column 1: the key “a” is given twice"),
        (b"[" * 10_000, "line 1, column 61: nested deeper than 60"),
        (b"- " * 10_000, "line 1, column 121: nested deeper than 60"),
        (b"a: [1", "line 1, column 6: expected ',' or ']', but got '<stream end>'"),
        (b"\xff\xfe", "byte 0: not UTF-8"),
        (b'a: "\\0"', "line 1, column 4: a control character or half a character is not allowed"),
        (b"a" * 2_000_001, "the file: larger than 2000000 bytes"),
    ],
)
def test_what_is_no_yaml_of_ours(as_head, content, detail):
    before = every_row()
    [(_, said)] = problems(load(as_head, content))
    assert said == detail
    stay(before)


def test_a_file_of_twenty_megabytes_is_not_read(as_head):
    before = every_row()
    response = load(as_head, b"a" * 20_000_000)
    assert (response.status_code, response.json()["code"]) == (413, "too_large")
    stay(before)


@pytest.mark.parametrize("content", ["application/json", "text/plain", "multipart/form-data"])
def test_only_a_file_is_taken(as_head, content):
    response = load(as_head, content=content)
    assert (response.status_code, response.json()["code"]) == (415, "media_type")


def test_no_more_drafts_than_a_handful(as_head):
    for number in range(7):
        assert load(as_head, DOCUMENT | {"name": f"plan {number}"}).status_code == 201
    response = load(as_head)
    assert response.status_code == 409
    assert response.json()["detail"] == "there are 8 drafts already: delete or publish one first"


# -- one version after the other -------------------------------------------------------------


def test_a_change_gives_the_next_version(world, as_head):
    response = send(as_head, "PUT", f"/{world.own.draft}", DOCUMENT, version=1)
    assert (response.status_code, response["ETag"]) == (200, '"v2"')
    assert response.json()["version"] == 2
    assert send(as_head, "GET", f"/{world.own.draft}").json()["document"] == DOCUMENT


@pytest.mark.parametrize(("method", "path"), [("PUT", ""), ("DELETE", ""), ("POST", "/publish")])
def test_changes_ask_for_the_version_that_was_read(world, as_head, method, path):
    before = every_row()

    def tried(**said):
        document = DOCUMENT if method == "PUT" else None
        return send(as_head, method, f"/{world.own.draft}{path}", document, **said).status_code

    assert tried() == 428
    assert [tried(version=version) for version in (0, 2, 999_999_999, "x", "")] == [412] * 5
    stay(before)


def test_a_deleted_draft_is_gone(world, as_head):
    assert send(as_head, "DELETE", f"/{world.own.draft}", version=1).status_code == 204
    for method, path in (("GET", ""), ("GET", "/checks"), ("DELETE", ""), ("POST", "/publish")):
        response = send(as_head, method, f"/{world.own.draft}{path}", version=1)
        assert (response.status_code, response.json()["code"]) == (404, "unknown")


# -- checks and publishing -------------------------------------------------------------------


def test_checks_of_a_draft_with_faults(as_head):
    draft = load(as_head, FAULTY).json()["id"]
    said = send(as_head, "GET", f"/{draft}/checks").json()
    assert said["faults"] == [
        {"pointer": "/skills/seat", "detail": "“Seat” is lifted, but has no spot"},
        {
            "pointer": "/skills/seat/roles/flyer",
            "detail": "needs “tower”, which is no skill of this curriculum",
        },
    ]
    assert said["warnings"] == []
    assert said["difference"]["number"] == 1
    assert said["difference"]["changed"] == ["table", "lean", "seat"]
    assert "chest_rest" in said["difference"]["gone"]


def test_checks_of_a_draft_with_warnings(as_head):
    kick = with_skill("kick", name="Kick", roles={"solo": {}})
    draft = load(as_head, kick).json()["id"]
    said = send(as_head, "GET", f"/{draft}/checks").json()
    assert said["faults"] == []
    assert said["warnings"] == [
        {"pointer": "/skills/kick", "detail": "“Kick” leads to no other skill"}
    ]


def test_faults_refuse_publishing_with_their_places(as_head):
    draft = load(as_head, FAULTY).json()["id"]
    before = every_row()
    response = send(as_head, "POST", f"/{draft}/publish", version=1)
    assert problems(response) == [
        ("/skills/seat", "“Seat” is lifted, but has no spot"),
        ("/skills/seat/roles/flyer", "needs “tower”, which is no skill of this curriculum"),
    ]
    stay(before)


def test_a_draft_is_published_once(world, as_head):
    response = send(as_head, "POST", f"/{world.own.draft}/publish", version=1)
    assert response.status_code == 201
    said = response.json()
    assert (said["number"], said["added"]) == (2, ["flat_table"])
    assert (said["changed"], "table" in said["gone"]) == (["lean", "seat"], True)
    assert as_head.get("/api/v1/editions/2").json()["name"] == DRAFT["name"]
    again = send(as_head, "POST", f"/{world.own.draft}/publish", version=1)
    assert (again.status_code, again.json()["detail"]) == (409, "it was published as edition 2")
    assert send(as_head, "GET", "").json() == {"rows": []}
    assert Edition.objects.filter(school_id=world.own.school).count() == 2


def test_what_is_published_already_is_a_conflict(world, as_head):
    assert send(as_head, "POST", f"/{world.own.draft}/publish", version=1).status_code == 201
    draft = load(as_head, DRAFT).json()["id"]
    response = send(as_head, "POST", f"/{draft}/publish", version=1)
    assert response.status_code == 409
    assert response.json()["detail"] == "edition 2 says the same already"


# -- who -------------------------------------------------------------------------------------


def test_a_teacher_hears_the_same_of_every_draft(world, as_teacher):
    for draft in (world.own.draft, world.foreign.draft, uuid4()):
        response = send(as_teacher, "GET", f"/{draft}")
        assert response.status_code == 403
        assert response.json()["detail"] == "reading drafts: a head teacher's right"


def test_another_school_s_draft_is_like_none(world, as_stranger):
    answers = [
        send(as_stranger, "GET", f"/{draft}").content for draft in (world.own.draft, uuid4())
    ]
    assert answers[0] == answers[1]


def test_a_teacher_s_file_is_not_even_read(as_teacher):
    assert load(as_teacher, b"a: *nothing").status_code == 403
