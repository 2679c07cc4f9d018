"""Drafts: a curriculum that a head teacher is still writing.

A draft is one document that follows the schema and may be wrong in itself; it is no card and no
skill yet. A skill's identity is for ever, so what is only tried out (or a slip of the pen) gets
none, and nobody can log a try of it; faults that rows could not hold, such as a need that names
nothing, are kept and told. One card of it is changed by changing the document under its version.
Once published it is an edition, which never changes, and no draft any more.
"""

import json
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from django.db import transaction

from accounts.events import record
from accounts.faults import Fault
from accounts.models import School
from accounts.scope import Conflict, Scope, Stale, Unknown
from curriculum import editions
from curriculum.checks import Curriculum, curriculum_of, read_document
from curriculum.models import Edition

MOST = 8  # a handful to choose from; what was published is kept elsewhere


@dataclass(frozen=True)
class Draft:
    """A draft as it stands: `document` follows curriculum/1, `version` counts its changes."""

    id: UUID
    name: str
    note: str
    version: int
    digest: str
    document: dict


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
    curriculum = curriculum_of(read_document(content))
    with transaction.atomic():
        _alone(scope)
        standing = _drafts(scope)
        for row in standing:
            if row.digest == curriculum.digest:
                return _view(row)
        if len(standing) >= MOST:
            raise Conflict(f"there are {MOST} drafts already: delete or publish one first")
        row = Edition.objects.create(school_id=scope.school_id, **_columns(curriculum))
        record(scope, what="load_draft", at=at, about=row.id)
    return _view(row)


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
    curriculum = curriculum_of(read_document(content))
    with transaction.atomic():
        row = _in_hand(scope, draft_id, version)
        if row.digest != curriculum.digest:
            for column, value in _columns(curriculum).items():
                setattr(row, column, value)
            row.version += 1
            row.save()
            record(scope, what="change_draft", at=at, about=row.id)
    return _view(row)


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
        row = _in_hand(scope, draft_id, version)
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
        row = _in_hand(scope, draft_id, version)
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


def _alone(scope):
    """Two who change the drafts of a school do it one after the other."""
    list(School.objects.select_for_update(no_key=True).filter(id=scope.school_id))


def _in_hand(scope, draft_id, version):
    """The row of a draft that nobody else can change until the transaction ends."""
    _alone(scope)
    row = Edition.objects.filter(school_id=scope.school_id, id=draft_id).first()
    if row is None:
        raise Unknown("no such draft")
    if row.published_at:
        raise Conflict(f"it was published as edition {row.number}")
    if row.version != version:
        raise Stale(f"the draft is at version {row.version} by now")
    return row


def _columns(curriculum: Curriculum):
    document = curriculum.document
    return {
        "name": document["name"],
        "note": document.get("note", ""),
        "families": list(document["families"].items()),
        "document": curriculum.text,
        "digest": curriculum.digest,
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
