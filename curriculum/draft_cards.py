"""The cards and the outline of a draft, each changed under its own tag.

A tag is the digest of what stands (`parts`). So two who write at different cards never meet, and of
two at one card the second is told what stands now and who wrote it; nothing is lost. Saying what
stands already is no change, whatever tag is said with it: an answer may have been lost on its way.
"""

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from uuid import UUID

from django.db import transaction

from accounts import events
from accounts.faults import BadDocument, Fault
from accounts.models import Member
from accounts.names import alphabetical
from accounts.scope import Conflict, Scope, Stale, Unknown
from curriculum import drafts, editions
from curriculum.checks import MOST_SKILLS, SCHEMA, curriculum_of, read_card
from curriculum.documents import schema_faults
from curriculum.models import Card, Skill
from curriculum.parts import (
    Outline,
    TaggedCard,
    outline_of,
    tag_of,
    tagged_cards,
    with_card,
    with_outline,
    without_card,
)
from curriculum.successions import carried_on

OUTLINE = "outline"
LOOKED_BACK = timedelta(days=30)  # for who changed what somebody has open
MOST_EVENTS = 1000


@dataclass(frozen=True)
class DraftCard:
    """One card of a draft; `document` is a card of curriculum/1, `version` the draft's."""

    skill: str
    tag: str
    document: Mapping
    version: int
    outline_tag: str


@dataclass(frozen=True)
class TaughtBefore:
    """A skill as the newest edition with a card of it called it."""

    skill: str
    name: str


@dataclass(frozen=True)
class DraftOutline:
    """The outline of a draft; `version` is the draft's.

    `taught_before` are skills of editions that stand without a card in the draft, by name: what a
    card of the draft may carry on.
    """

    tag: str
    outline: Outline
    version: int
    taught_before: tuple[TaughtBefore, ...]


@dataclass(frozen=True)
class CarriedOn:
    """A draft after a skill was carried on by others; `changed` are the cards that say another
    thing than before, or are new."""

    version: int
    outline_tag: str
    cards: tuple[TaggedCard, ...]
    changed: tuple[str, ...]


@dataclass(frozen=True)
class Finding:
    """A fault or warning; with a `skill` the pointer is one into its card, else into the draft."""

    skill: str | None
    pointer: str
    message: str


@dataclass(frozen=True)
class CardChecks:
    """What would be said of a draft with a card in it, what is said of that card first."""

    faults: tuple[Finding, ...]
    warnings: tuple[Finding, ...]


@dataclass(frozen=True)
class Editor:
    id: UUID
    name: str


@dataclass(frozen=True)
class Standing:
    """What stands now of a part of a draft (None: nothing), and who wrote it as far as is known."""

    tag: str | None
    document: Mapping | Outline | None
    changed_at: datetime | None
    changed_by: Editor | None


class StalePart(Stale):
    """A part of a draft is another one than was read; `standing` is what stands now."""

    def __init__(self, text: str, standing: Standing) -> None:
        super().__init__(text)
        self.standing = standing


def card(scope: Scope, *, draft_id: UUID, skill: str) -> DraftCard:
    """This will give one card of a draft. Raises `NotAllowed`, `Unknown`."""
    found = drafts.draft(scope, draft_id=draft_id)
    if skill not in found.document["skills"]:
        raise Unknown("no such card")
    return _card(found, skill)


def put(
    scope: Scope,
    *,
    draft_id: UUID,
    skill: str,
    tag: str | None,
    content: bytes,
    at: datetime,
    after: str | None = None,
) -> DraftCard:
    """This will put a card, as JSON, in the place of the one with that tag.

    Without a tag it is added, `after` another card or at the end. Raises `NotAllowed`, `Unknown`,
    `StalePart`, `Conflict` when the draft was published or is full, and `BadDocument` with
    pointers into the card.
    """
    scope.need_head("writing a draft")
    said = read_card(content)
    with transaction.atomic():
        row = drafts.in_hand(scope, draft_id=draft_id)
        document = json.loads(row.document)
        stands = document["skills"].get(skill)
        if stands is not None and tag_of(stands) == tag_of(said):
            return card(scope, draft_id=draft_id, skill=skill)
        if tag != (None if stands is None else tag_of(stands)):
            raise StalePart(
                "the card has changed meanwhile" if stands else "the card is gone from the draft",
                _standing(scope, row.id, skill, stands, at),
            )
        if after is not None and (stands is not None or after not in document["skills"]):
            raise BadDocument([Fault("after", "should name another card, for one that is added")])
        if stands is None and len(document["skills"]) >= MOST_SKILLS:
            raise Conflict(f"there are {MOST_SKILLS} cards already")
        document = with_card(document, skill=skill, card=said, after=after)
        what = "add_card" if stands is None else "change_card"
        told = {"skills": [skill], OUTLINE: stands is None}
        return _card(
            drafts.write(scope, row=row, document=document, at=at, what=what, **told), skill
        )


def delete(scope: Scope, *, draft_id: UUID, skill: str, tag: str, at: datetime) -> None:
    """This will take the card with that tag out of a draft; who needs it still says so.

    Raises `NotAllowed`, `Unknown`, `StalePart`, and `Conflict` for the last card or when the draft
    was published.
    """
    scope.need_head("writing a draft")
    with transaction.atomic():
        row, document = _open(scope, draft_id, skill, tag, at)
        if len(document["skills"]) == 1:
            raise Conflict("it is the only card of the draft")
        document = without_card(document, skill=skill)
        told = {"skills": [skill], OUTLINE: True}
        drafts.write(scope, row=row, document=document, at=at, what="delete_card", **told)


def check(scope: Scope, *, draft_id: UUID, skill: str, content: bytes) -> CardChecks:
    """This will check a draft as if a card stood in it; nothing is kept.

    Raises `NotAllowed`, `Unknown`, and `BadDocument` with pointers into the card where it is none.
    """
    found = drafts.draft(scope, draft_id=draft_id)
    document = with_card(found.document, skill=skill, card=read_card(content))
    curriculum = curriculum_of(document)
    succession = editions.succession_faults(scope, document=document)
    return CardChecks(
        faults=_findings((*curriculum.faults, *succession), skill),
        warnings=_findings(curriculum.warnings, skill),
    )


def outline(scope: Scope, *, draft_id: UUID) -> DraftOutline:
    """This will give the outline of a draft. Raises `NotAllowed`, `Unknown`."""
    return _outline(scope, drafts.draft(scope, draft_id=draft_id))


def change_outline(
    scope: Scope, *, draft_id: UUID, tag: str, said: Outline, at: datetime
) -> DraftOutline:
    """This will give a draft another outline in place of the one with that tag.

    It holds each card of the draft once. Raises `NotAllowed`, `Unknown`, `StalePart`, `Conflict`
    when the draft was published, and `BadDocument` with pointers to families, skills and
    successions.
    """
    scope.need_head("writing a draft")
    with transaction.atomic():
        row = drafts.in_hand(scope, draft_id=draft_id)
        document = json.loads(row.document)
        stands = outline_of(document)
        if stands.tag not in (said.tag, tag):
            raise StalePart(
                "the outline has changed meanwhile", _standing(scope, row.id, None, stands, at)
            )
        if faults := list(_outline_faults(said, stands)):
            raise BadDocument(faults)
        document = with_outline(document, said)
        told = {"skills": [], OUTLINE: True}
        draft = drafts.write(
            scope, row=row, document=document, at=at, what="change_outline", **told
        )
        return _outline(scope, draft)


def rename(
    scope: Scope, *, draft_id: UUID, skill: str, tag: str, to: str, at: datetime
) -> CarriedOn:
    """This will give the card with that tag another key; what needs it needs the new one.

    Raises `NotAllowed`, `Unknown`, `StalePart`, `Conflict` when the draft was published, and
    `BadDocument` with a pointer to `/to`.
    """

    def new(document):
        if to in document["skills"]:
            raise BadDocument([Fault("/to", f"there is a card “{to}” already")])
        return [to], {to: document["skills"][skill]}

    return _carry_on(scope, draft_id, skill, tag, new, at=at, what="rename_card")


def split(
    scope: Scope,
    *,
    draft_id: UUID,
    skill: str,
    tag: str,
    into: Sequence[tuple[str, str]],
    at: datetime,
) -> CarriedOn:
    """This will put copies, each with a key and a name, in the place of the card with that tag.

    One of them may keep its key. What needs the skill needs all of them from now on. Raises
    `NotAllowed`, `Unknown`, `StalePart`, `Conflict` when the draft was published, and
    `BadDocument` with pointers such as `/into/1/key`.
    """

    def new(document):
        keys = [key for key, _ in into]
        faults = [
            Fault(f"/into/{place}/key", f"there is a card “{key}” already")
            for place, key in enumerate(keys)
            if key in keys[:place] or (key != skill and key in document["skills"])
        ]
        if faults:
            raise BadDocument(faults)
        return keys, {key: document["skills"][skill] | {"name": name} for key, name in into}

    return _carry_on(scope, draft_id, skill, tag, new, at=at, what="split_card")


def merge(
    scope: Scope, *, draft_id: UUID, skill: str, tag: str, into: str, at: datetime
) -> CarriedOn:
    """This will take out the card with that tag and let another card of the draft carry it on.

    What needs the skill needs the other from now on. Raises `NotAllowed`, `Unknown`, `StalePart`,
    `Conflict` when the draft was published, and `BadDocument` with a pointer to `/into`.
    """

    def new(document):
        if into == skill or into not in document["skills"]:
            raise BadDocument([Fault("/into", "should be another card of the draft")])
        return [into], {}

    return _carry_on(scope, draft_id, skill, tag, new, at=at, what="merge_card")


def _carry_on(scope, draft_id, skill, tag, new, *, at, what):
    scope.need_head("writing a draft")
    with transaction.atomic():
        row, before = _open(scope, draft_id, skill, tag, at)
        heirs, cards = new(before)
        published = Skill.objects.filter(school_id=scope.school_id, key=skill).exists()
        after = carried_on(before, skill=skill, heirs=heirs, cards=cards, published=published)
        if faults := schema_faults(after, schema=SCHEMA):
            raise BadDocument(faults)
        old, now = before["skills"], after["skills"]
        changed = tuple(key for key in now if now[key] != old.get(key))
        told = {"skills": sorted({skill, *changed}), OUTLINE: True}
        draft = drafts.write(scope, row=row, document=after, at=at, what=what, **told)
    return CarriedOn(draft.version, draft.outline_tag, tagged_cards(after), changed)


def _open(scope, draft_id, skill, tag, at):
    """The row and the document of a draft in hand whose card has that tag."""
    row = drafts.in_hand(scope, draft_id=draft_id)
    document = json.loads(row.document)
    stands = document["skills"].get(skill)
    if stands is None:
        raise Unknown("no such card")
    if tag_of(stands) != tag:
        raise StalePart(
            "the card has changed meanwhile", _standing(scope, row.id, skill, stands, at)
        )
    return row, document


def _standing(scope, draft_id, skill, document, at):
    """What stands of a card, or without a skill of the outline, and the last event about it."""
    tag = document.tag if skill is None else document and tag_of(document)
    told = events.events(scope, most=MOST_EVENTS, since=at - LOOKED_BACK, about=draft_id)
    for event in told:
        if event.what == drafts.CHANGE:
            break  # the whole draft was written: who knows what of it was new
        said = event.details
        if said.get(OUTLINE) if skill is None else skill in said.get("skills", ()):
            member = Member.objects.filter(school_id=scope.school_id, id=event.member_id).first()
            return Standing(tag, document, event.at, member and Editor(member.id, member.name))
    return Standing(tag, document, None, None)


def _outline_faults(said: Outline, stands: Outline):
    keys = [key for key, _ in said.families]
    yield from _twice("/families/{}/key", keys)
    if set(said.skills) != set(stands.skills) or len(said.skills) != len(stands.skills):
        yield Fault("/skills", "should hold each card of the draft once")
    yield from _twice("/successions/{}", said.successions)


def _twice(place, items):
    for index, item in enumerate(items):
        if item in items[:index]:
            yield Fault(place.format(index), "stands there twice")


def _findings(faults, skill):
    found = []
    for fault in faults:
        start, _, rest = fault.place.partition("/skills/")
        key, _, inside = rest.partition("/")
        if start or not rest:
            found.append(Finding(None, fault.place, fault.message))
        else:
            found.append(Finding(key, f"/{inside}" if inside else "", fault.message))
    return tuple(sorted(found, key=lambda one: one.skill != skill))


def _card(draft, skill):
    said = draft.document["skills"][skill]
    return DraftCard(skill, tag_of(said), said, draft.version, draft.outline_tag)


def _outline(scope, draft):
    found = outline_of(draft.document)
    cards = Card.objects.filter(school_id=scope.school_id, edition__withdrawn_at__isnull=True)
    rows = cards.order_by("edition__number").values_list("skill__key", "name")
    before = {key: name for key, name in rows if key not in draft.document["skills"]}
    by_name = sorted(before, key=lambda key: (alphabetical(before[key]), key))
    return DraftOutline(
        found.tag, found, draft.version, tuple(TaughtBefore(key, before[key]) for key in by_name)
    )
