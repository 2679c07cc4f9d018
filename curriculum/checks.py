"""What is wrong in a curriculum, and what to look at again before it is published.

Two stages: what breaks the schema is no curriculum at all; what the cards then say of each other
may be wrong for as long as somebody is still writing.
"""

import hashlib
import json
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

from accounts.faults import BadDocument, Fault
from curriculum.cards import CardView, views
from curriculum.documents import MAX_DEPTH, read_json, read_yaml, schema_faults, text_faults
from engine import pose, progression

SCHEMA = Path(__file__).parent / "schemas" / "curriculum.schema.json"
MOST_SKILLS = 1000
DEEPEST_CARD = MAX_DEPTH - 3  # in a file it stands below the document and its skills


@dataclass(frozen=True)
class Curriculum:
    """One curriculum that follows the schema: as text, and with what was found in it.

    `faults` forbid to publish it, `warnings` do not; there are none of them beside faults.
    `text` is the whole document in its own order, `digest` the SHA-256 of it.
    """

    document: dict
    cards: dict[str, CardView]
    faults: tuple[Fault, ...]
    warnings: tuple[Fault, ...]
    text: str
    digest: str


def read_document(content: bytes) -> dict:
    """This will read a document that follows the schema of curriculum/1.

    Raises `BadDocument` with everything that breaks it.
    """
    document = read_yaml(content)
    if faults := schema_faults(document, schema=SCHEMA):
        raise BadDocument(faults)
    return document


def read_card(content: bytes) -> dict:
    """This will read one card as JSON, as strictly as a card of a file.

    Raises `BadDocument` with everything that breaks the schema, at pointers into the card.
    """
    card = read_json(content, deepest=DEEPEST_CARD)
    if not isinstance(card, dict):
        raise BadDocument([Fault("", "should be a mapping")])
    alone = {"format": "curriculum/1", "name": "x", "families": {"x": "x"}, "skills": {"x": card}}
    inside = "/skills/x"
    faults = [
        Fault(one.place.removeprefix(inside), one.message)
        for one in schema_faults(alone, schema=SCHEMA)
    ]
    if faults := [*text_faults(card), *faults]:
        raise BadDocument(faults)
    return card


def written(document: dict) -> tuple[str, str]:
    """This will write a document in its own order: the text, and the SHA-256 of it."""
    text = json.dumps(document, sort_keys=False, ensure_ascii=False, separators=(",", ":"))
    return text, hashlib.sha256(text.encode()).hexdigest()


def curriculum_of(document: dict) -> Curriculum:
    """This will check a document that follows the schema of curriculum/1."""
    cards = views(document["skills"])
    skills = {key: card.skill for key, card in cards.items()}
    faults = (
        *_placed(progression.faults(skills)),
        *_reference_faults(document, skills),
        *_pose_faults(document, skills),
    )
    text, digest = written(document)
    return Curriculum(
        document=document,
        cards=cards,
        faults=faults,
        warnings=() if faults else tuple(_placed(progression.warnings(skills))),
        text=text,
        digest=digest,
    )


def _placed(found) -> Iterator[Fault]:
    for one in found:
        place = f"/skills/{one.skill}" + (f"/roles/{one.role}" if one.role else "")
        yield Fault(place, one.sentence)


def _reference_faults(document, skills):
    """Families, ways and successions that name what is not there; what a card's roles belie."""
    for key, card in document["skills"].items():
        if card["family"] not in document["families"]:
            yield Fault(f"/skills/{key}/family", f"no family “{card['family']}”")
        if "at_home" in card and (card.get("lifted") or set(card["roles"]) != {"solo"}):
            yield Fault(f"/skills/{key}/at_home", "only for what is done alone and on the floor")
        fewest = skills[key].fewest
        if "learning_size" in card and card["learning_size"] < fewest:
            yield Fault(
                f"/skills/{key}/learning_size", f"below the {fewest} whom a group takes at least"
            )
        for kind in ("ways_in", "shapes", "ways_out"):
            seen = set()
            for index, way in enumerate(card.get(kind, ())):
                place = f"/skills/{key}/{kind}/{index}"
                if way["key"] in seen:
                    yield Fault(f"{place}/key", f"the key “{way['key']}” is given twice")
                seen.add(way["key"])
                yield from _way_faults(place, way, card, document)
    for index, step in enumerate(document.get("succession", ())):
        if step["to"] not in skills:
            yield Fault(f"/succession/{index}/to", f"no skill “{step['to']}” in this file")
        if step["from"] == step["to"]:
            yield Fault(f"/succession/{index}", "a skill cannot carry on itself")


def _way_faults(place, way, card, document):
    for role, node in way.get("needs", {}).items():
        if role not in card["roles"]:
            yield Fault(f"{place}/needs/{role}", "no such role on this card")
        stack = [(f"{place}/needs/{role}", node)]
        while stack:
            pointer, tree = stack.pop()
            for mark in ("all_of", "any_of"):
                stack += [
                    (f"{pointer}/{mark}/{i}", part) for i, part in enumerate(tree.get(mark, ()))
                ]
            if "skill" not in tree:
                continue
            needed = document["skills"].get(tree["skill"])
            if needed is None:
                yield Fault(pointer, f"no skill “{tree['skill']}”")
            elif not (
                tree.get("role", role) in needed["roles"]
                or ("role" not in tree and len(needed["roles"]) == 1)
            ):
                yield Fault(pointer, f"“{tree['skill']}” has no role {tree.get('role', role)}")


def _pose_faults(document, skills):
    """Pictures that show who is not on the card, or what cannot be stood, held or reached."""
    for key, card in document["skills"].items():
        if "pose" not in card:
            continue
        place = f"/skills/{key}/pose/figures"
        if strangers := list(_strangers(place, card, skills[key])):
            yield from strangers
            continue
        for one in _misplaced(json.dumps(card["pose"]), skills[key].lifted):
            yield Fault(f"{place}/{one.figure}" + (f"/{one.key}" if one.key else ""), one.sentence)


@lru_cache(maxsize=2048)
def _misplaced(text, lifted):
    """Of a whole draft one pose is new at a time, and poses are most of the work."""
    return pose.faults(pose.pose_of(json.loads(text)), lifted=lifted)


def _strangers(place, card, skill):
    """Figures of a role that the card does not have, or that fewer hold; adults may spot."""
    seen = Counter()
    for index, figure in enumerate(card["pose"]["figures"]):
        role = figure["role"]
        seen[role] += 1
        if role == "spotter" and skill.spotted:
            continue
        if role not in skill.roles:
            yield Fault(f"{place}/{index}/role", "no such role on this card")
        elif seen[role] > skill.roles[role].max:
            yield Fault(f"{place}/{index}/role", f"at most {skill.roles[role].max} hold this role")
