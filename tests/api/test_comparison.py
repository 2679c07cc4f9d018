"""Studios side by side over HTTP."""

import pytest

URL = "/api/v1/comparison"


def test_the_whole_answer(world, as_head):
    response = as_head.get(URL, {"term": world.own.term})
    assert response.status_code == 200
    said = response.json()
    assert as_head.get(URL).json() == said
    assert said.keys() == {"term", "as_of", "sentence", "studios", "skills", "notes"}
    assert said["term"] == {
        "id": world.own.term,
        "name": "Spring 2026",
        "first": "2026-01-05",
        "last": "2026-04-03",
    }
    assert said["as_of"] == "2026-03-10T17:05:00Z"
    assert [one["name"] for one in said["studios"]] == ["Quayside Hall", "Windmill Yard"]
    quay = said["studios"][0]
    # Four children, and of nine lessons over one with entries.
    assert quay["logging"] == {
        "lessons_held": 9,
        "lessons_with_entries": 1,
        "with_entries": {"share": 0.111, "low": 0.02, "high": 0.435},
        "within_chance": True,
        "children": None,
        "tries": None,
        "tries_for_each": None,
        "at_once": None,
        "loggers": 1,
        "by_one": True,
        "by_spot": [
            {"spot": spot, "tries": None, "clean": None}
            for spot in ("hands_on", "hands_near", "none")
        ],
        "enough": False,
        "sentences": [
            "About a tenth of the lessons have entries: 1 of 9.",
            "Nothing is said of tries, so that nobody is told of.",
        ],
    }
    assert quay["strictness"].pop("sentence").startswith("Quayside Hall and the others have")
    assert quay["strictness"] == dict.fromkeys(("clean", "low", "high", "says"))
    assert quay["reached"].pop("sentence") == (
        "Quayside Hall has one lesson with entries and too few children: no figure would be fair"
        " to its children."
    )
    assert quay["reached"] == dict.fromkeys(("share", "low", "high", "own", "within_chance"))
    assert (said["skills"], said["notes"]) == ([], [])


def test_a_school_in_one_place(as_stranger):
    said = as_stranger.get(URL).json()
    assert said["sentence"] == (
        "There is nothing to put side by side: the school teaches in one place."
    )
    assert (said["studios"], said["skills"]) == ([], [])


@pytest.mark.parametrize("term", ["", "spring", "0"])
def test_a_term_that_is_no_id(as_head, term):
    response = as_head.get(URL, {"term": term})
    assert response.status_code == 400
    assert [one["parameter"] for one in response.json()["errors"]] == ["term"]
