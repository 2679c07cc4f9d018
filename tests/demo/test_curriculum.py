"""The demo's cards, read against what a careful teacher wants to know before she begins."""

from curriculum.checks import curriculum_of
from curriculum.documents import read_yaml
from curriculum.editions import read_curriculum
from demo.management.commands.demo import CURRICULUM
from demo.second_edition import HEIRS, SPLIT, second
from tests.planning.read_aloud import said_of_children

FIRST = read_yaml(CURRICULUM.read_bytes())
SECOND = second(FIRST)
CARDS = FIRST["skills"] | {key: SECOND["skills"][key] for key in HEIRS}
FEWEST = {"steps": 3, "cues": 2, "faults": 2}
SPOT = ("stands", "way_up", "hold", "way_down")
WAYS = ("ways_in", "shapes", "ways_out")


def test_it_is_a_sound_curriculum_of_79_skills():
    assert len(read_curriculum(CURRICULUM.read_bytes()).cards) == 79


def test_the_second_edition_is_sound_and_splits_one_of_them():
    after = curriculum_of(SECOND)
    assert after.faults == ()
    assert after.cards.keys() == FIRST["skills"].keys() - {SPLIT} | {*HEIRS}
    assert SECOND["succession"] == [{"from": SPLIT, "to": heir} for heir in HEIRS]


def missing(card):
    """What a card in depth would say beyond this one. How it is taught and what to watch, always;
    alone, what may be practised at home; together, how the others hold on, come down and stop;
    wherever an adult spots, where her hands are all the way and what is done when somebody slips.
    """
    wanted = {"caution"}
    if set(card["roles"]) == {"solo"}:
        wanted |= {"at_home"}
    elif not card.get("habit"):
        wanted |= {"contacts", "ways_in", "ways_out", "way_down", "stop", "bail_out"}
    if "spot" in card:
        wanted |= {"way_down", "stop", "bail_out"}
    if card.get("lifted"):
        wanted |= {"spot", "youngest_age", "carried_share", "agreed_before"}
    yield from wanted - card.keys()
    yield from (name for name, least in FEWEST.items() if len(card.get(name, ())) < least)
    if "spot" in card:
        yield from (f"spot/{name}" for name in SPOT if name not in card["spot"])
        ways = (way for kind in WAYS for way in card.get(kind, ()) if "needs" in way)
        yield from (f"{way['key']}/spot" for way in ways if "spot" not in way)


def test_every_card_is_written_in_depth():
    found = {key: sorted(missing(card)) for key, card in CARDS.items()}
    assert {key: names for key, names in found.items() if names} == {}


def test_all_that_a_card_says_may_be_read_aloud():
    found = {key: said_of_children(" ".join(texts(card))) for key, card in CARDS.items()}
    assert {key: words for key, words in found.items() if words} == {}


def texts(part):
    """All sentences of a part of a card, without its keys."""
    if isinstance(part, str):
        yield part
    elif isinstance(part, dict):
        for name, inner in part.items():
            if name not in ("family", "roles", "key", "needs", "pose"):
                yield from texts(inner)
    elif isinstance(part, list):
        for inner in part:
            yield from texts(inner)
