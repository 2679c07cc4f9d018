"""Rename, split and merge of a document: needs, succession, teaching order."""

from copy import deepcopy

import pytest

from curriculum.successions import carried_on
from tests.curriculum.build import DOCUMENT, leaf

HIPS, HANDS = leaf("hips"), leaf("hands")


def carried(heirs, *, needs=None, published=True, cards=None, **said):
    """`table` of the small curriculum carried on; `seat` needs what is given, as base."""
    document = deepcopy(DOCUMENT) | said
    if needs is not None:
        document["skills"]["seat"]["roles"]["base"]["needs"] = needs
    before = deepcopy(document)
    card = document["skills"]["table"]
    cards = dict.fromkeys(heirs, card) if cards is None else cards
    found = carried_on(document, skill="table", heirs=heirs, cards=cards, published=published)
    assert document == before
    return found


def asked(found):
    return found["skills"]["seat"]["roles"]["base"].get("needs")


@pytest.mark.parametrize(
    ("heirs", "needs", "now"),
    [
        (["hips"], leaf("table"), HIPS),
        (
            ["hips"],
            leaf("table", help="hands_on", role="solo"),
            HIPS | {"help": "hands_on", "role": "solo"},
        ),
        (["hips"], {"any_of": [leaf("table"), leaf("lean")]}, {"any_of": [HIPS, leaf("lean")]}),
        (["hips", "hands"], leaf("table"), {"all_of": [HIPS, HANDS]}),
        (
            ["hips", "hands"],
            {"all_of": [leaf("lean"), leaf("table")]},
            {"all_of": [leaf("lean"), HIPS, HANDS]},
        ),
        (
            ["hips", "hands"],
            {"any_of": [leaf("table"), leaf("lean")]},
            {"any_of": [{"all_of": [HIPS, HANDS]}, leaf("lean")]},
        ),
        (
            ["hips", "hands"],
            {"all_of": [leaf(f"a{n}") for n in range(29)] + [leaf("table")]},
            {"all_of": [leaf(f"a{n}") for n in range(29)] + [{"all_of": [HIPS, HANDS]}]},
        ),
        # Equal needs become one; what was written twice elsewhere is left alone.
        (["lean"], {"all_of": [leaf("table"), leaf("lean")]}, {"all_of": [leaf("lean")]}),
        (["hips"], {"all_of": [leaf("lean"), leaf("lean")]}, {"all_of": [leaf("lean")] * 2}),
    ],
)
def test_who_needed_it_needs_its_heirs(heirs, needs, now):
    cards = {} if heirs == ["lean"] else None
    assert asked(carried(heirs, needs=needs, cards=cards)) == now


@pytest.mark.parametrize(
    ("needs", "now"),
    [
        (leaf("table"), None),
        ({"all_of": [leaf("table")]}, None),
        ({"all_of": [leaf("table"), leaf("lean")]}, {"all_of": [leaf("lean")]}),
        # What is left of a choice is for a teacher to say; until then a fault names it.
        ({"any_of": [leaf("table"), leaf("lean")]}, {"any_of": [leaf("table"), leaf("lean")]}),
    ],
)
def test_an_heir_does_not_need_what_it_takes_in(needs, now):
    assert asked(carried(["seat"], needs=needs, cards={})) == now


def test_ways_ask_for_the_heirs_too():
    document = deepcopy(DOCUMENT)
    way = {"key": "a", "name": "A", "needs": {"base": leaf("table"), "flyer": leaf("lean")}}
    document["skills"]["seat"]["ways_in"] = [way, {"key": "b", "name": "B"}]
    found = carried_on(document, skill="table", heirs=["lean"], cards={}, published=True)
    assert found["skills"]["seat"]["ways_in"] == [
        way | {"needs": {"base": leaf("lean"), "flyer": leaf("lean")}},
        {"key": "b", "name": "B"},
    ]
    assert "ways_out" not in found["skills"]["seat"]


def test_new_cards_stand_where_the_old_one_stood():
    assert list(carried(["hips", "table"])["skills"]) == ["hips", "table", "lean", "seat"]
    assert list(carried(["lean"], cards={})["skills"]) == ["lean", "seat"]


@pytest.mark.parametrize(
    ("heirs", "published", "before", "after"),
    [
        ("b", True, "", "tb"),
        ("bc", True, "", "tb tc"),
        ("tb", True, "", "tb"),
        ("b", False, "", ""),
        ("b", True, "at", "ab tb"),
        ("b", True, "bt", "tb"),  # renamed back: what was written before falls away
        ("b", False, "bt", ""),
        ("bc", False, "at tx", "ab ac bx cx"),
        ("b", True, "tb", "tb"),
    ],
)
def test_the_succession_that_is_written(heirs, published, before, after):
    names = {"t": "table"}

    def steps(text):
        pairs = [[names.get(key, key) for key in pair] for pair in text.split()]
        return [{"from": one, "to": other} for one, other in pairs]

    said = {"succession": steps(before)} if before else {}
    heirs = [names.get(key, key) for key in heirs]
    found = carried(heirs, published=published, **said)
    assert found.get("succession", []) == steps(after)
