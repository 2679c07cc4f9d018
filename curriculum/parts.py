"""The parts of a curriculum's document that are changed one by one: its cards and its outline.

A part has a tag, the digest of what it says, and whoever changes it says which one she has read.
Documents are of the format curriculum/1; nothing here changes the one it is given.
"""

import hashlib
import json
from collections.abc import Mapping
from dataclasses import dataclass


def tag_of(part: object) -> str:
    """This will give the tag of a part: 32 hexadecimal digits.

    The order of an object's members says nothing; that of a list does.
    """
    text = json.dumps(part, sort_keys=True, ensure_ascii=False, separators=(",", ":"))
    return hashlib.sha256(text.encode()).hexdigest()[:32]


@dataclass(frozen=True)
class Outline:
    """All that a curriculum says beside its cards.

    `families` are pairs of key and name, `skills` keys, both in teaching order; `successions` are
    pairs of skill keys: tries of the first count for the second.
    """

    name: str
    note: str
    families: tuple[tuple[str, str], ...]
    skills: tuple[str, ...]
    successions: tuple[tuple[str, str], ...]

    @property
    def tag(self) -> str:
        return tag_of([self.name, self.note, self.families, self.skills, self.successions])


@dataclass(frozen=True)
class TaggedCard:
    """The key and the tag of a card."""

    skill: str
    tag: str


def outline_of(document: Mapping) -> Outline:
    """This will take the outline out of a document."""
    return Outline(
        name=document["name"],
        note=document.get("note", ""),
        families=tuple(document["families"].items()),
        skills=tuple(document["skills"]),
        successions=tuple((one["from"], one["to"]) for one in document.get("succession", ())),
    )


def with_outline(document: Mapping, outline: Outline) -> dict:
    """This will give a document another outline over the same cards."""
    said = {
        "name": outline.name,
        "note": outline.note,
        "families": dict(outline.families),
        "skills": {key: document["skills"][key] for key in outline.skills},
        "succession": [{"from": one, "to": other} for one, other in outline.successions],
    }
    return {
        name: value
        for name, value in (dict(document) | said).items()
        if value or name not in ("note", "succession")
    }


def tagged_cards(document: Mapping) -> tuple[TaggedCard, ...]:
    """This will list the tags of a document's cards in teaching order."""
    return tuple(TaggedCard(key, tag_of(card)) for key, card in document["skills"].items())


def with_card(document: Mapping, *, skill: str, card: Mapping, after: str | None = None) -> dict:
    """This will put a card in the place of the one of that key, else add it.

    A card that is added stands `after` another one, without one at the end.
    """
    skills = dict(document["skills"])
    if skill in skills or after is None:
        skills[skill] = card
    else:
        skills = {
            key: said
            for one, stands in skills.items()
            for key, said in ((one, stands), *(((skill, card),) if one == after else ()))
        }
    return dict(document) | {"skills": skills}


def without_card(document: Mapping, *, skill: str) -> dict:
    """This will take a card out; what others say of it stays as it is."""
    skills = {key: card for key, card in document["skills"].items() if key != skill}
    return dict(document) | {"skills": skills}
