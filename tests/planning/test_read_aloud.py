from pathlib import Path

import pytest

from curriculum.documents import read_yaml
from planning import proposals
from planning.group_lines import group_section
from planning.proposals import open_roles, propose
from planning.reasons import named
from planning.sheet import Sheet, as_text
from planning.tonight import make_sheet
from planning.words import CAUTION
from tests.planning.build import (
    AGREED,
    ON,
    clean,
    evening,
    pupils,
)
from tests.planning.evenings import EVENINGS, sheet_of
from tests.planning.read_aloud import assert_fit_to_read_aloud, said_of_children

DEMO = Path(__file__).parents[2] / "demo" / "curriculum.yaml"


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("Amara: 31 kg", ["kg"]),
        ("her mass, in kilograms", ["mass", "kilograms"]),
        ("weight on the wrists; Bao weighs more", ["weight", "weighs"]),
        ("the heavier one; heavy; so light; lighter", ["heavier", "heavy", "light", "lighter"]),
        ("a BMI of", ["BMI"]),
        ("70 pounds", ["pounds"]),
        ("the smaller, the tallest, a short one", ["smaller", "tallest", "short"]),
        ("fat, thin, bigger and big", ["fat", "thin", "bigger", "big"]),
        ("best, worst, ranked third", ["best", "worst", "ranked"]),
        ("the stronger of the two is weak", ["stronger", "weak"]),
        ("Tariq's fault; he failed", ["fault", "failed"]),
        ("SAFE, cleared and approved; a clearance", ["SAFE", "cleared", "approved", "clearance"]),
        ("measure Bao again; Hana is measured", ["measure", "measured"]),
        (f"Amara. {CAUTION}", []),
        (CAUTION.replace(" ", "\n"), []),
        (f"{CAUTION} {CAUTION} It is a clearance.", ["clearance"]),
        ("a small jump, a small child", ["small"]),
        # Parts of other words are other words.
        ("the massage, a lightning flash, Frank, Tallulah, thinking, the Sthenlights", []),
    ],
)
def test_what_is_never_said_is_found(text, found):
    assert said_of_children(text) == found


@pytest.mark.parametrize("name", EVENINGS)
def test_a_sheet_may_be_read_aloud(name):
    assert_fit_to_read_aloud(as_text(sheet_of(name)))


def test_a_sheet_whose_search_was_cut_off_too(monkeypatch):
    monkeypatch.setattr(proposals, "EFFORT", 1e-9)
    tonight, _ = EVENINGS["lifts by name"]
    sheet, found = make_sheet(tonight, skills=("seat", "lean", "line"))
    assert not all(one.proven for one in found)
    assert_fit_to_read_aloud(as_text(sheet))


def demo_documents():
    return read_yaml(DEMO.read_bytes())["skills"]


def able(documents, *names):
    """Children who may do everything that is taught: they have done it all and are old enough."""
    tries = tuple(
        tried
        for key, document in documents.items()
        for role in document["roles"]
        if role != "spotter"
        for tried in clean(key, role=role, weeks=(1,))
    )
    known = {"age": 30, "agreed": AGREED, "height_cm": 140.0, "height_on": ON}
    return pupils(*names, tries=tries, **known)


def as_said(section):
    return as_text(Sheet("", "", "", (section,), ""))


def test_every_card_of_the_demo_may_be_read_aloud():
    documents = demo_documents()
    tonight = evening(*able(documents, "Amara", "Bao", "Demba", "Hana"), documents=documents)
    grouped = 0
    for card in tonight.edition.cards.values():
        for role in open_roles(card):
            assert_fit_to_read_aloud(f"{named(card, role)} ({card.criterion})")
        assert_fit_to_read_aloud(f"{card.name} {card.criterion}")
        for way in (*card.ways_in, *card.ways_out):
            assert_fit_to_read_aloud(way.name)
        if open_roles(card) != ("solo",) and not card.skill.habit:
            found = propose(tonight, card)
            assert_fit_to_read_aloud(as_said(group_section(tonight, found, [])))
            grouped += len(found.groups) > 0
    assert grouped > 20  # not words of stops alone: groups with their spots, ways and asks


def test_a_demo_class_of_beginners_may_be_read_aloud():
    """The demo's cards in sentences of what is missing, what is asked and what begins."""
    tries = clean("standing_tight", "hands_and_knees_table", weeks=(3, 1))
    tonight = evening(
        *pupils("Amara", "Bao", tries=tries), *pupils("Hana", "Tariq"), documents=demo_documents()
    )
    sheet, _ = make_sheet(tonight)
    assert "missing" in as_text(sheet)
    assert_fit_to_read_aloud(as_text(sheet))
