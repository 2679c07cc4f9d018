"""Candidates: a draft or an edition as a studio would have it in use, before it takes it on."""

from collections.abc import Mapping
from dataclasses import dataclass
from uuid import UUID

from accounts.faults import Fault
from accounts.scope import Scope
from curriculum import drafts, editions
from curriculum.cards import views
from curriculum.checks import curriculum_of
from curriculum.editions import EditionInUse, heirs
from curriculum.models import Skill
from curriculum.successions import steps

NO_NUMBER = 0  # of an edition that a draft would be: it gets one when it is published


@dataclass(frozen=True)
class Candidate:
    """What could be taken on; `number` None is a draft.

    With `faults` there is no `edition`: a graph that is broken says nothing of anybody. `documents`
    are its cards as curriculum/1 writes them, by skill key.
    """

    number: int | None
    name: str
    faults: tuple[Fault, ...]
    edition: EditionInUse | None
    documents: Mapping[str, Mapping[str, object]]


@dataclass(frozen=True)
class Turnover:
    """What becomes of the skills of an edition in use when a candidate takes its place.

    `changed` are those whose card is another or gone, as a yes to them runs out by it; `onward`
    maps each skill to those that newly carry it on, in teaching order.
    """

    changed: frozenset[str]
    onward: Mapping[str, tuple[str, ...]]


def of_draft(scope: Scope, *, draft_id: UUID) -> Candidate:
    """This will read a draft as the edition that it would be. Raises `NotAllowed`, `Unknown`."""
    draft = drafts.draft(scope, draft_id=draft_id)
    curriculum = curriculum_of(draft.document)
    faults = (*curriculum.faults, *editions.succession_faults(scope, document=draft.document))
    edition = None
    if not faults:
        own = {(step["from"], step["to"]) for step in draft.document.get("succession", ())}
        edition = _in_use(scope, draft.id, NO_NUMBER, draft.document, curriculum.cards, own)
    return Candidate(None, draft.name, faults, edition, draft.document["skills"])


def of_edition(scope: Scope, *, number: int) -> Candidate:
    """This will read a published edition; it is a fault that it was withdrawn.

    Raises `NotAllowed`, `Unknown`.
    """
    scope.need_head("weighing an edition")
    row = editions.need(scope, number=number)
    document = editions.said(scope, number=number)
    faults = (Fault("", "it was withdrawn"),) if row.withdrawn_at else ()
    edition = None
    if not faults:
        edition = _in_use(scope, row.id, number, document, views(document["skills"]), frozenset())
    return Candidate(number, row.name, faults, edition, document["skills"])


def turnover(scope: Scope, *, before: EditionInUse, candidate: Candidate) -> Turnover:
    """This will tell what a candidate without faults does to the skills of an edition in use."""
    was = editions.said(scope, number=before.number)["skills"]
    new = candidate.edition.succession - before.succession
    return Turnover(
        changed=frozenset(key for key in was if was[key] != candidate.documents.get(key)),
        onward={
            key: tuple(one for one in candidate.edition.cards if one in heirs(new, key))
            for key in was
        },
    )


def _in_use(scope, id_, number, document, cards, own):
    known = Skill.objects.filter(school_id=scope.school_id, key__in=cards)
    return EditionInUse(
        id=id_,
        number=number,
        name=document["name"],
        families=dict(document["families"]),
        cards=cards,
        # A skill that was never published has no identity yet, and nothing points to it.
        skill_ids=dict(known.values_list("key", "id")),
        succession=steps(scope, until=number or None) | own,
    )
