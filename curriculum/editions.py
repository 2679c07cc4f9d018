"""Editions: publishing a curriculum, reading what is published, and which one is in use where."""

from collections.abc import Collection
from dataclasses import dataclass, replace
from datetime import date, datetime
from uuid import UUID, uuid5

from django.db import transaction
from django.db.models import Max

from accounts.events import record
from accounts.faults import BadDocument, Fault
from accounts.models import Studio
from accounts.names import close_to, folded
from accounts.scope import Scope, Unknown
from curriculum.adoptions import ALWAYS as ALWAYS
from curriculum.adoptions import AdoptionView, HeldBackView, adopt, held_back, in_use_now
from curriculum.cards import CardView, views
from curriculum.checks import Curriculum, curriculum_of, read_document
from curriculum.models import Adoption, Card, Edition, Skill, Succession
from curriculum.parts import outline_of
from curriculum.successions import steps
from curriculum.writing import one_at_a_time


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
class Difference:
    """The keys of skills by which a curriculum differs from edition `number`, the newest that
    stands."""

    number: int | None
    added: tuple[str, ...]
    changed: tuple[str, ...]
    gone: tuple[str, ...]


@dataclass(frozen=True)
class Published:
    """What publishing did: the edition's number, and what differs from the one before."""

    number: int
    is_new: bool
    added: tuple[str, ...]
    changed: tuple[str, ...]
    gone: tuple[str, ...]


@dataclass(frozen=True)
class Withdrawn:
    at: datetime
    reason: str


@dataclass(frozen=True)
class EditionView:
    """A published edition; the studios where it is in use today, since when, and those that hold
    it back."""

    number: int
    name: str
    note: str
    published_at: datetime
    withdrawn: Withdrawn | None
    in_use: tuple[AdoptionView, ...]
    held_back: tuple[HeldBackView, ...]


def read_curriculum(content: bytes) -> Curriculum:
    """This will read and check a curriculum file of the format curriculum/1.

    Raises `BadDocument` with every fault at once.
    """
    curriculum = curriculum_of(read_document(content))
    if curriculum.faults:
        raise BadDocument(curriculum.faults)
    return curriculum


def publish(
    scope: Scope, *, curriculum: Curriculum, at: datetime, draft_id: UUID | None = None
) -> Published:
    """This will publish a curriculum as the next edition, unless it is the newest already.

    The draft that it was, if it was one, becomes the edition. Skills that are new get an identity;
    none is ever deleted. Raises `NotAllowed`, and `BadDocument` with the curriculum's faults or
    when the succession names a skill that never was.
    """
    scope.need_head("publishing a curriculum")
    document = curriculum.document
    with transaction.atomic():
        one_at_a_time(scope)  # each number follows the one before
        newest = _newest(scope)
        before = newest and _said_by(newest)
        after = document["skills"]
        found = _difference(newest, before, after)
        differs = {"added": found.added, "changed": found.changed, "gone": found.gone}
        if newest and _says(before) == _says(document):
            return Published(number=newest.number, is_new=False, **differs)
        if faults := [*curriculum.faults, *succession_faults(scope, document=document)]:
            raise BadDocument(faults)
        number = (_published(scope).aggregate(last=Max("number"))["last"] or 0) + 1
        edition, _ = Edition.objects.update_or_create(
            id=draft_id or uuid5(scope.school_id, f"edition {number}"),
            school_id=scope.school_id,
            published_at=None,
            defaults={
                "number": number,
                "name": document["name"],
                "note": document.get("note", ""),
                "families": list(document["families"].items()),
                "document": "",
                "digest": curriculum.digest,
                "published_at": at,
                "published_by_id": scope.member_id,
            },
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
    return Published(number=number, is_new=True, **differs)


def difference(scope: Scope, *, document: dict) -> Difference:
    """This will tell by which skills a document of curriculum/1 differs from the newest edition."""
    newest = _newest(scope)
    return _difference(newest, newest and _said_by(newest), document["skills"])


def said(scope: Scope, *, number: int) -> dict:
    """This will give a published edition as a document of curriculum/1. Raises `Unknown`."""
    return _said_by(need(scope, number=number))


def _said_by(edition: Edition) -> dict:
    """This will write what an edition says as a document of curriculum/1."""
    rows = Succession.objects.filter(edition=edition)
    pairs = sorted(rows.values_list("from_skill__key", "to_skill__key"))
    document = {
        "format": "curriculum/1",
        "name": edition.name,
        "note": edition.note,
        "families": dict(edition.families),
        "skills": dict(edition.cards.order_by("position").values_list("skill__key", "document")),
        "succession": [{"from": one, "to": other} for one, other in pairs],
    }
    return {name: said for name, said in document.items() if said}


def succession_faults(scope: Scope, *, document: dict) -> list[Fault]:
    """This will find what a document of curriculum/1 carries on although it never was."""
    known = set(Skill.objects.filter(school_id=scope.school_id).values_list("key", flat=True))
    return [
        Fault(f"/succession/{index}/from", f"no edition ever had a skill “{step['from']}”")
        for index, step in enumerate(document.get("succession", ()))
        if step["from"] not in known and step["from"] not in document["skills"]
    ]


def _published(scope):
    return Edition.objects.filter(school_id=scope.school_id, published_at__isnull=False)


def need(scope: Scope, *, number: int) -> Edition:
    """This will find the row of a published edition. Raises `Unknown`."""
    edition = _published(scope).filter(number=number).first()
    if edition is None:
        raise Unknown("no such edition")
    return edition


def _newest(scope):
    """The newest edition that stands."""
    return _published(scope).filter(withdrawn_at__isnull=True).order_by("-number").first()


def _says(document):
    """What a document says, whatever the order of members and of successions."""
    outline = outline_of(document)
    return replace(outline, successions=sorted(outline.successions)), document["skills"]


def _difference(newest, before, after):
    before = before["skills"] if before else {}
    return Difference(
        number=newest.number if newest else None,
        added=tuple(key for key in after if key not in before),
        changed=tuple(key for key in after if key in before and after[key] != before[key]),
        gone=tuple(key for key in before if key not in after),
    )


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
        adopt(scope, studio_id=studio_id, number=number, at=at)
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
        succession=steps(scope, until=edition.number),
    )


def newest_number(scope: Scope, *, before: int | None = None) -> int | None:
    """This will find the number of the newest published edition that was not withdrawn.

    With `before` only those of lower numbers count.
    """
    rows = _published(scope).filter(withdrawn_at__isnull=True)
    if before is not None:
        rows = rows.filter(number__lt=before)
    return rows.aggregate(newest=Max("number"))["newest"]


def editions(scope: Scope, *, at: datetime) -> tuple[EditionView, ...]:
    """This will list the published editions, the newest first.

    Where they are in use or held back is told of the studios in scope, on each one's day of `at`.
    """
    in_use, held = in_use_now(scope, at=at), held_back(scope)
    return tuple(
        EditionView(
            number=edition.number,
            name=edition.name,
            note=edition.note,
            published_at=edition.published_at,
            withdrawn=Withdrawn(edition.withdrawn_at, edition.withdrawn_why)
            if edition.withdrawn_at
            else None,
            in_use=tuple(one for one in in_use if one.number == edition.number),
            held_back=tuple(one for one in held if one.number == edition.number),
        )
        for edition in _published(scope).order_by("-number")
    )


def document(scope: Scope, *, number: int) -> dict:
    """This will give all that a published edition says; it never changes. Raises `Unknown`.

    `{number, name, note, published_at, families: [{key, name}], cards: [{skill, skill_id,
    document}] in teaching order, successions: [{from_key, to_key}]}`, each `document` a card of
    curriculum/1.
    """
    edition = need(scope, number=number)
    rows = edition.cards.order_by("position").values_list("skill__key", "skill_id", "document")
    pairs = Succession.objects.filter(edition=edition).values_list(
        "from_skill__key", "to_skill__key"
    )
    return {
        "number": edition.number,
        "name": edition.name,
        "note": edition.note,
        "published_at": edition.published_at,
        "families": [{"key": key, "name": name} for key, name in edition.families],
        "cards": [
            {"skill": key, "skill_id": skill_id, "document": card} for key, skill_id, card in rows
        ],
        "successions": [{"from_key": one, "to_key": other} for one, other in sorted(pairs)],
    }


def card(scope: Scope, *, number: int, skill: str) -> dict:
    """This will give one card of a published edition as in `document`. Raises `Unknown`."""
    found = (
        Card.objects.filter(edition__in=_published(scope).filter(number=number), skill__key=skill)
        .values_list("skill__key", "skill_id", "document")
        .first()
    )
    if found is None:
        raise Unknown("no such card")
    skill, skill_id, said = found
    return {"skill": skill, "skill_id": skill_id, "document": said}


def studios(scope: Scope) -> dict[str, UUID]:
    """This will list the studios in scope, by name."""
    return dict(
        Studio.objects.filter(school_id=scope.school_id, id__in=scope.studio_ids)
        .order_by("name")
        .values_list("name", "id")
    )
