"""The second edition of the demo's curriculum: published in week 11, held back at one studio."""

from collections.abc import Mapping
from pathlib import Path

from curriculum.documents import read_yaml
from curriculum.successions import carried_on

WEEK = 11
SAID = read_yaml((Path(__file__).parent / "second_edition.yaml").read_bytes())
[(SPLIT, HEIRS)] = ((skill, tuple(cards)) for skill, cards in SAID["split"].items())
# studio -> the class whose lesson of that week is the first with it
ADOPTED = {"Brackfold Mill": "Monday beginners", "Far Orrow Hall": "Friday mixed"}
HELD_BACK = "Sellane Harbour"
REASON = "The recital is rehearsed with the cards as they are; we take it on after it."


def second(first: Mapping) -> dict:
    """The document of the first edition, of the format curriculum/1, as the second says it."""
    document = carried_on(
        first, skill=SPLIT, heirs=HEIRS, cards=SAID["split"][SPLIT], published=True
    )
    skills = document["skills"]
    changed = {key: skills[key] | card for key, card in SAID["changed"].items()}
    head = {name: SAID[name] for name in ("name", "note")}
    return document | head | {"skills": skills | changed}
