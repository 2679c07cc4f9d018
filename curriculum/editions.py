"""Editions: reading a curriculum file, checking it, publishing it, and which one is in use."""

import hashlib
import json
from collections.abc import Collection
from dataclasses import dataclass
from datetime import date, datetime
from pathlib import Path
from uuid import UUID, uuid5

from django.db import transaction
from django.db.models import Max

from accounts.events import record
from accounts.faults import BadDocument, Fault
from accounts.models import Studio
from accounts.names import close_to, folded
from accounts.scope import Scope, Unknown
from curriculum.cards import CardView, views
from curriculum.documents import read_yaml, schema_faults
from curriculum.models import Adoption, Card, Edition, Skill, Succession
from engine import progression

ALWAYS = date(2000, 1, 1)  # a studio's first edition also holds for tries of before

SCHEMA = Path(__file__).parent / "schemas" / "curriculum.schema.json"


@dataclass(frozen=True)
class Curriculum:
    """One curriculum as read from a file: checked, not yet stored."""

    document: dict
    cards: dict[str, CardView]
    warnings: tuple[str, ...]
    digest: str


@dataclass(frozen=True)
class EditionInUse:
    """A published edition with its cards in teaching order.

    `succession` are pairs of skill keys of this edition and those before it: tries of the first
    count for the second.
    """

    id: UUID
    number: int
    name: str
    families: dict[str, str]
    cards: dict[str, CardView]
    skill_ids: dict[str, UUID]
    succession: frozenset[tuple[str, str]]

    def heirs(self, key: str) -> frozenset[str]:
        """The keys of all other skills for which tries of a skill count."""
        return heirs(self.succession, key)

    def find(self, text: str) -> str:
        """The key of a skill that is named by its key or by its card's name, whatever the case.

        Raises `Unknown` with the names that come close, or the keys of all who are called so.
        """
        if text in self.cards:
            return text
        asked = folded(text)
        called = [key for key, card in self.cards.items() if asked in (key, folded(card.name))]
        if len(called) == 1:
            return called[0]
        if called:
            raise Unknown(f"“{text}” may be {' or '.join(called)}: write which")
        hint = close_to(text, {*self.cards, *(card.name for card in self.cards.values())})
        raise Unknown(f"no skill “{text}” in {self.name}{hint}")


def heirs(succession: Collection[tuple[str, str]], key: str) -> frozenset[str]:
    """This will find the other skills for which tries of a skill count, by pairs of skill keys.

    What carried on may be carried on again: a split after a rename. A circle ends.
    """
    found: set[str] = set()
    pending = {key}
    while pending:
        found |= pending
        pending = {other for one, other in succession if one in pending} - found
    return frozenset(found - {key})


@dataclass(frozen=True)
class Published:
    """What publishing did: the edition's number, and what differs from the one before."""

    number: int
    is_new: bool
    added: tuple[str, ...]
    changed: tuple[str, ...]
    gone: tuple[str, ...]


def read_curriculum(content: bytes) -> Curriculum:
    """This will read and check a curriculum file of the format curriculum/1.

    Raises `BadDocument` with every fault at once.
    """
    document = read_yaml(content)
    faults = schema_faults(document, schema=SCHEMA)
    if faults:
        raise BadDocument(faults)
    cards = views(document["skills"])
    skills = {key: card.skill for key, card in cards.items()}
    faults = [
        Fault(
            f"/skills/{fault.skill}" + (f"/roles/{fault.role}" if fault.role else ""),
            fault.sentence,
        )
        for fault in progression.faults(skills)
    ]
    faults += _reference_faults(document, skills)
    if faults:
        raise BadDocument(faults)
    warnings = tuple(warning.sentence for warning in progression.warnings(skills))
    canonical = json.dumps(document, sort_keys=False, ensure_ascii=False, separators=(",", ":"))
    return Curriculum(document, cards, warnings, hashlib.sha256(canonical.encode()).hexdigest())


def _reference_faults(document, skills):
    """Families, ways and successions that name what is not there."""
    for key, card in document["skills"].items():
        if card["family"] not in document["families"]:
            yield Fault(f"/skills/{key}/family", f"no family “{card['family']}”")
        if "at_home" in card and (card.get("lifted") or set(card["roles"]) != {"solo"}):
            yield Fault(f"/skills/{key}/at_home", "only for what is done alone and on the floor")
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


def publish(scope: Scope, *, curriculum: Curriculum, at: datetime) -> Published:
    """This will publish a curriculum as the next edition, unless it is the newest already.

    Skills that are new get an identity; none is ever deleted. Raises `NotAllowed`, and
    `BadDocument` when the succession names a skill that never was.
    """
    scope.need_head("publishing a curriculum")
    document = curriculum.document
    with transaction.atomic():
        newest = Edition.objects.filter(school_id=scope.school_id).order_by("-number").first()
        before = _documents(newest) if newest else {}
        after = document["skills"]
        difference = {
            "added": tuple(key for key in after if key not in before),
            "changed": tuple(key for key in after if key in before and after[key] != before[key]),
            "gone": tuple(key for key in before if key not in after),
        }
        if newest and newest.digest == curriculum.digest:
            return Published(number=newest.number, is_new=False, **difference)
        _check_succession(scope, document)
        number = newest.number + 1 if newest else 1
        edition = Edition.objects.create(
            id=uuid5(scope.school_id, f"edition {number}"),
            school_id=scope.school_id,
            number=number,
            name=document["name"],
            note=document.get("note", ""),
            families=list(document["families"].items()),
            digest=curriculum.digest,
            published_at=at,
            published_by_id=scope.member_id,
        )
        ids = _skill_ids(scope, keys=after)
        Card.objects.bulk_create(
            Card(
                id=uuid5(edition.id, key),
                school_id=scope.school_id,
                edition=edition,
                skill_id=ids[key],
                position=card.position,
                name=card.name,
                family=card.skill.family,
                tier=card.tier,
                lifted=card.lifted,
                document=after[key],
            )
            for key, card in curriculum.cards.items()
        )
        Succession.objects.bulk_create(
            Succession(
                id=uuid5(edition.id, f"{step['from']} to {step['to']}"),
                school_id=scope.school_id,
                edition=edition,
                from_skill_id=ids[step["from"]],
                to_skill_id=ids[step["to"]],
            )
            for step in document.get("succession", ())
        )
        record(scope, what="publish_edition", at=at, about=edition.id, number=number)
    return Published(number=number, is_new=True, **difference)


def _check_succession(scope, document):
    known = set(Skill.objects.filter(school_id=scope.school_id).values_list("key", flat=True))
    faults = [
        Fault(f"/succession/{index}/from", f"no edition ever had a skill “{step['from']}”")
        for index, step in enumerate(document.get("succession", ()))
        if step["from"] not in known and step["from"] not in document["skills"]
    ]
    if faults:
        raise BadDocument(faults)


def _documents(edition):
    return dict(edition.cards.order_by("position").values_list("skill__key", "document"))


def _skill_ids(scope, *, keys):
    """Ids of all skills of the school by key, after giving an identity to those that are new."""
    Skill.objects.bulk_create(
        (
            Skill(id=uuid5(scope.school_id, f"skill {key}"), school_id=scope.school_id, key=key)
            for key in keys
        ),
        ignore_conflicts=True,
    )
    return dict(Skill.objects.filter(school_id=scope.school_id).values_list("key", "id"))


def adopt(scope: Scope, *, studio_id: UUID, number: int, from_date: date, at: datetime) -> bool:
    """This will take an edition into use at a studio from a local date.

    True when that is new; False when the same edition is taken on from that date already.
    Raises `NotAllowed`, `Unknown`.
    """
    scope.need_head("taking on an edition")
    edition = Edition.objects.filter(
        school_id=scope.school_id, number=number, published_at__isnull=False
    ).first()
    if edition is None:
        raise Unknown(f"no published edition {number}")
    if studio_id not in scope.studio_ids:
        raise Unknown("no such studio")
    with transaction.atomic():
        standing = Adoption.objects.filter(
            school_id=scope.school_id, studio_id=studio_id, from_date=from_date
        ).first()
        if standing and standing.edition_id == edition.id:
            return False
        Adoption.objects.update_or_create(
            school_id=scope.school_id,
            studio_id=studio_id,
            from_date=from_date,
            defaults={"edition": edition, "member_id": scope.member_id},
        )
        record(scope, what="adopt_edition", at=at, about=studio_id, number=number)
    return True


def adopt_first(scope: Scope, *, at: datetime) -> tuple[str, ...]:
    """This will give every studio that has never taken on an edition the newest one.

    The names of those studios; none when nothing is published yet.
    """
    number = newest_number(scope)
    if number is None:
        return ()
    adopted = Adoption.objects.filter(school_id=scope.school_id).values_list("studio_id", flat=True)
    without = {name: id_ for name, id_ in studios(scope).items() if id_ not in set(adopted)}
    for studio_id in without.values():
        adopt(scope, studio_id=studio_id, number=number, from_date=ALWAYS, at=at)
    return tuple(without)


def in_use(scope: Scope, *, studio_id: UUID, on: date) -> EditionInUse | None:
    """This will find the edition of a studio on a local date: its last adoption not after it."""
    adoption = (
        Adoption.objects.select_related("edition")
        .filter(school_id=scope.school_id, studio_id=studio_id, from_date__lte=on)
        .order_by("-from_date")
        .first()
    )
    if adoption is None or studio_id not in scope.studio_ids:
        return None
    edition = adoption.edition
    rows = list(
        edition.cards.order_by("position").values_list("skill__key", "skill_id", "document")
    )
    return EditionInUse(
        id=edition.id,
        number=edition.number,
        name=edition.name,
        families=dict(edition.families),
        cards=views({key: document for key, _, document in rows}),
        skill_ids={key: skill_id for key, skill_id, _ in rows},
        succession=frozenset(
            Succession.objects.filter(
                school_id=scope.school_id, edition__number__lte=edition.number
            ).values_list("from_skill__key", "to_skill__key")
        ),
    )


def newest_number(scope: Scope) -> int | None:
    """This will find the number of the newest published edition."""
    return Edition.objects.filter(school_id=scope.school_id, published_at__isnull=False).aggregate(
        newest=Max("number")
    )["newest"]


def studios(scope: Scope) -> dict[str, UUID]:
    """This will list the studios in scope, by name."""
    return dict(
        Studio.objects.filter(school_id=scope.school_id, id__in=scope.studio_ids)
        .order_by("name")
        .values_list("name", "id")
    )
