"""Drafts: a curriculum that a head teacher is still writing.

A draft is one document that follows the schema and may be wrong in itself; it is no card and no
skill yet. A skill's identity is for ever, so what is only tried out (or a slip of the pen) gets
none, and nobody can log a try of it; faults that rows could not hold, such as a need that names
nothing, are kept and told. The whole of it is changed under its version, a part of it under the
tag of that part (`draft_cards`). Once published it is an edition, which never changes, and no draft
any more.
"""

import json
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from django.db import transaction

from accounts.events import record
from accounts.faults import Fault
from accounts.scope import Conflict, Scope, Stale, Unknown
from curriculum import editions
from curriculum.checks import curriculum_of, read_document, written
from curriculum.documents import MAX_BYTES
from curriculum.models import Edition
from curriculum.parts import TaggedCard, outline_of, tagged_cards
from curriculum.writing import one_at_a_time

MOST = 8  # a handful to choose from; what was published is kept elsewhere
CHANGE = "change_draft"  # the event of another document in its place
LONGEST = 2 * MAX_BYTES  # as JSON a file grows by its quotes


@dataclass(frozen=True)
class Draft:
    """A draft as it stands: `document` follows curriculum/1, `version` counts its changes."""

    id: UUID
    name: str
    note: str
    version: int
    digest: str
    document: dict

    @property
    def cards(self) -> tuple[TaggedCard, ...]:
        return tagged_cards(self.document)

    @property
    def outline_tag(self) -> str:
        return outline_of(self.document).tag


@dataclass(frozen=True)
class Checks:
    """What forbids to publish a draft, what to look at again, and what it changes."""

    faults: tuple[Fault, ...]
    warnings: tuple[Fault, ...]
    difference: editions.Difference


def load(scope: Scope, *, content: bytes, at: datetime) -> Draft:
    """This will keep a file of the format curriculum/1 as a draft; faults of its graph may stand.

    The same content again is the same draft. Raises `NotAllowed`, `Conflict` when there are too
    many, and `BadDocument` with everything that breaks the schema.
    """
    scope.need_head("writing a draft")
    return _begin(scope, read_document(content), at=at, what="load_draft")


def begin(scope: Scope, *, number: int, at: datetime) -> Draft:
    """This will begin a draft with what a published edition says.

    A draft that says just that already is the draft. Raises `NotAllowed`, `Unknown`, and `Conflict`
    when there are too many.
    """
    scope.need_head("writing a draft")
    document = editions.said(scope, number=number)
    return _begin(scope, document, at=at, what="begin_draft", number=number)


def drafts(scope: Scope) -> tuple[Draft, ...]:
    """This will list the school's drafts, the oldest first. Raises `NotAllowed`."""
    scope.need_head("reading drafts")
    return tuple(_view(row) for row in _drafts(scope))


def draft(scope: Scope, *, draft_id: UUID) -> Draft:
    """This will give one draft. Raises `NotAllowed`, `Unknown`."""
    scope.need_head("reading drafts")
    return _view(_need(scope, draft_id))


def change(scope: Scope, *, draft_id: UUID, version: int, content: bytes, at: datetime) -> Draft:
    """This will put another document in place of the draft of that version.

    The same content again changes nothing. Raises `NotAllowed`, `Unknown`, `Stale`, `Conflict`
    when it was published, and `BadDocument` with everything that breaks the schema.
    """
    scope.need_head("writing a draft")
    document = read_document(content)
    with transaction.atomic():
        row = in_hand(scope, draft_id=draft_id, version=version)
        return write(scope, row=row, document=document, at=at, what=CHANGE)


def check(scope: Scope, *, draft_id: UUID) -> Checks:
    """This will tell what publishing a draft would say and do. Raises `NotAllowed`, `Unknown`."""
    scope.need_head("reading drafts")
    document = json.loads(_need(scope, draft_id).document)
    curriculum = curriculum_of(document)
    return Checks(
        faults=(*curriculum.faults, *editions.succession_faults(scope, document=document)),
        warnings=curriculum.warnings,
        difference=editions.difference(scope, document=document),
    )


def publish(scope: Scope, *, draft_id: UUID, version: int, at: datetime) -> editions.Published:
    """This will publish the draft of that version as the next edition.

    Raises `NotAllowed`, `Unknown`, `Stale`, `BadDocument` with its faults, and `Conflict` when it
    was published or says the same as the newest edition.
    """
    scope.need_head("publishing a curriculum")
    with transaction.atomic():
        row = in_hand(scope, draft_id=draft_id, version=version)
        published = editions.publish(
            scope, curriculum=curriculum_of(json.loads(row.document)), at=at, draft_id=row.id
        )
        if not published.is_new:
            raise Conflict(f"edition {published.number} says the same already")
    return published


def discard(scope: Scope, *, draft_id: UUID, version: int, at: datetime) -> None:
    """This will delete the draft of that version.

    Raises `NotAllowed`, `Unknown`, `Stale`, and `Conflict` when it was published.
    """
    scope.need_head("deleting a draft")
    with transaction.atomic():
        row = in_hand(scope, draft_id=draft_id, version=version)
        record(scope, what="delete_draft", at=at, about=row.id)
        row.delete()


def _drafts(scope):
    rows = Edition.objects.filter(school_id=scope.school_id, published_at__isnull=True)
    return list(rows.order_by("id"))


def _need(scope, draft_id):
    row = Edition.objects.filter(
        school_id=scope.school_id, id=draft_id, published_at__isnull=True
    ).first()
    if row is None:
        raise Unknown("no such draft")
    return row


def in_hand(scope: Scope, *, draft_id: UUID, version: int | None = None) -> Edition:
    """This will take the row of a draft that nobody else can change until the transaction ends.

    Raises `Unknown`, `Conflict` when it was published, and `Stale` where it is not of that version.
    """
    one_at_a_time(scope)
    row = Edition.objects.filter(school_id=scope.school_id, id=draft_id).first()
    if row is None:
        raise Unknown("no such draft")
    if row.published_at:
        raise Conflict(f"it was published as edition {row.number}")
    if version is not None and row.version != version:
        raise Stale(f"the draft is at version {row.version} by now")
    return row


def write(
    scope: Scope, *, row: Edition, document: dict, at: datetime, what: str, **details: object
) -> Draft:
    """This will write a document into a draft that is in hand, and count its version on.

    The same document changes nothing. Raises `Conflict` for one that is too large.
    """
    columns = _columns(document)
    if row.digest != columns["digest"]:
        for column, value in columns.items():
            setattr(row, column, value)
        row.version += 1
        row.save()
        record(scope, what=what, at=at, about=row.id, **details)
    return _view(row)


def _begin(scope, document, *, at, what, **details):
    columns = _columns(document)
    with transaction.atomic():
        one_at_a_time(scope)
        standing = _drafts(scope)
        for row in standing:
            if row.digest == columns["digest"]:
                return _view(row)
        if len(standing) >= MOST:
            raise Conflict(f"there are {MOST} drafts already: delete or publish one first")
        row = Edition.objects.create(school_id=scope.school_id, **columns)
        record(scope, what=what, at=at, about=row.id, **details)
    return _view(row)


def _columns(document):
    text, digest = written(document)
    if len(text) > LONGEST:
        raise Conflict(f"a draft cannot be longer than {LONGEST} characters")
    return {
        "name": document["name"],
        "note": document.get("note", ""),
        "families": list(document["families"].items()),
        "document": text,
        "digest": digest,
    }


def _view(row):
    return Draft(
        id=row.id,
        name=row.name,
        note=row.note,
        version=row.version,
        digest=row.digest,
        document=json.loads(row.document),
    )
