"""The parts of a draft over HTTP: tags as ETags, and what stands for who comes second."""

import json

import pytest

from curriculum.parts import outline_of, tag_of
from tests.api.cast import DRAFT
from tests.api.rights.draft_cards import CARD, OUTLINE
from tests.api.test_drafts import problems

NOW = "2026-03-10T17:05:00Z"


@pytest.fixture
def ask(world, as_head):
    def ask(method, path, body=None, **headers):
        return as_head.generic(
            method,
            f"/api/v1/drafts/{world.own.draft}{path}",
            data=b"" if body is None else json.dumps(body).encode(),
            content_type="application/json",
            headers={name.replace("_", "-"): said for name, said in headers.items()},
        )

    return ask


def test_a_card_with_its_tag(ask):
    response = ask("GET", "/cards/flat_table")
    assert response.json() == {
        "skill": "flat_table",
        "tag": tag_of(CARD),
        "version": 1,
        "outline_tag": outline_of(DRAFT).tag,
        "document": CARD,
    }
    assert response["ETag"] == f'"{tag_of(CARD)}"'
    whole = ask("GET", "").json()
    assert whole["outline_tag"] == outline_of(DRAFT).tag
    assert whole["cards"][-1] == {"skill": "flat_table", "tag": tag_of(CARD)}


def test_who_comes_second_is_told_what_stands(world, ask):
    first = CARD | {"criterion": "40 s"}
    tag = ask("GET", "/cards/flat_table")["ETag"]
    response = ask("PUT", "/cards/flat_table", first, If_Match=f"W/{tag}")
    assert (response.status_code, response["ETag"]) == (200, f'"{tag_of(first)}"')
    assert (response.json()["version"], response.json()["document"]) == (2, first)
    response = ask("PUT", "/cards/flat_table", CARD | {"criterion": "50 s"}, If_Match=tag)
    assert (response.status_code, response.json()["code"]) == (412, "stale")
    assert response["Content-Type"] == "application/problem+json"
    assert response.json()["current"] == {
        "tag": tag_of(first),
        "document": first,
        "changed_at": NOW,
        "changed_by": {"id": str(world.members["head"].id), "name": "Head Ours"},
    }
    assert ask("DELETE", "/cards/flat_table", If_Match=tag).status_code == 412
    assert ask("DELETE", "/cards/flat_table", If_Match=response.json()["current"]["tag"])
    current = ask("PUT", "/cards/flat_table", first, If_Match=tag).json()["current"]
    assert (current["tag"], current["document"]) == (None, None)


def test_a_card_is_added_where_there_was_none(ask):
    kneel = CARD | {"name": "Kneel"}
    response = ask("PUT", "/cards/kneel?after=lean", kneel, If_None_Match="*")
    assert response.status_code == 200
    outline = ask("GET", "/outline")
    assert outline.json()["outline"]["skills"] == ["lean", "kneel", "seat", "flat_table"]
    assert outline.json()["tag"] == response.json()["outline_tag"]
    again = ask("PUT", "/cards/kneel", CARD, If_None_Match="*")
    assert (again.status_code, again.json()["current"]["document"]) == (412, kneel)
    assert ask("PUT", "/cards/kneel", CARD).status_code == 428
    assert ask("PUT", "/cards/kneel", CARD, If_None_Match='"x"').status_code == 428
    assert ask("DELETE", "/cards/kneel", If_None_Match="*").status_code == 428
    assert ask("PUT", "/cards/Kneel-2", CARD, If_None_Match="*").status_code == 404


def test_what_is_no_card_names_its_places(ask):
    bad = {name: said for name, said in CARD.items() if name != "criterion"} | {"colour": 1}
    for method, path in (("PUT", "/cards/flat_table"), ("POST", "/cards/flat_table/checks")):
        found = problems(ask(method, path, bad, If_None_Match="*"))
        assert [pointer for pointer, _ in found] == ["/colour", "/criterion"]


def test_checks_of_a_card(ask):
    card = CARD | {"roles": {"solo": {"needs": {"skill": "tower", "help": "no_spot"}}}}
    assert ask("POST", "/cards/flat_table/checks", card).json() == {
        "faults": [
            {
                "skill": "flat_table",
                "pointer": "/roles/solo",
                "detail": "needs “tower”, which is no skill of this curriculum",
            }
        ],
        "warnings": [],
    }


def test_an_outline_in_place_of_the_one_that_was_read(ask):
    tag = ask("GET", "/outline")["ETag"]
    said = OUTLINE | {"note": "for the autumn\nand after"}
    response = ask("PUT", "/outline", said, If_Match=tag)
    assert (response.status_code, response.json()["outline"]) == (200, said)
    stale = ask("PUT", "/outline", OUTLINE | {"name": "x"}, If_Match=tag)
    assert (stale.status_code, stale.json()["current"]["document"]) == (412, said)
    tag = response["ETag"]
    for change, pointer in (
        ({"skills": ["seat", "lean"]}, "/skills"),
        ({"skills": ["seat", "lean", "flat_table", "seat"]}, "/skills"),
        ({"families": OUTLINE["families"][:1] * 2}, "/families/1/key"),
        ({"families": [{"key": "tight", "name": ""}]}, "/families/0/name"),
        ({"successions": OUTLINE["successions"] * 2}, "/successions/1"),
    ):
        found = problems(ask("PUT", "/outline", OUTLINE | change, If_Match=tag))
        assert [place for place, _ in found] == [pointer]


def test_a_split_answers_with_the_tags_of_all_cards(ask):
    tag = ask("GET", "/cards/lean")["ETag"]
    into = [{"key": "lean", "name": "Lean"}, {"key": "side_lean", "name": "Side lean"}]
    said = ask("POST", "/cards/lean/split", {"into": into}, If_Match=tag).json()
    assert said["changed"] == ["side_lean", "seat"]
    whole = ask("GET", "").json()
    assert {name: whole[name] for name in ("version", "outline_tag", "cards")} == {
        name: said[name] for name in ("version", "outline_tag", "cards")
    }
