"""Beliefs as a cache of the log: read, replayed where stale, refreshed, checked.

The order of the three steps of a refresh is what keeps a late worker from calling old beliefs
fresh: first the counter, then the log, then store only if nobody was newer.
"""

import logging
from collections import defaultdict
from collections.abc import Collection
from dataclasses import dataclass, replace
from uuid import UUID

from django.db import InterfaceError, OperationalError, transaction
from django.db.models import F

from accounts.scope import Scope
from classes.models import Attempt, Replay, Student
from classes.models import Belief as BeliefRow
from classes.students import visible
from curriculum.editions import heirs
from curriculum.models import Skill
from engine.readiness import chain
from engine.readiness.chain import Belief
from engine.readiness.parameters import DEFAULTS, WEIGHTS
from engine.readiness.register import Row, by_chain, counted

Chain = tuple[str, str]  # skill key and role
LAST_CLEAN = ("last_clean_hands_on", "last_clean_hands_near", "last_clean_none")
CHILDREN_AT_ONCE = 200


log = logging.getLogger(__name__)


class NotRefreshed(Exception):
    """The replay of some children went wrong; the log tells of whom and by which error."""


@dataclass(frozen=True)
class Difference:
    """A chain whose kept belief is not what the log comes to; None where one of them is missing."""

    student_id: UUID
    skill: str
    role: str
    kept: Belief | None
    replayed: Belief | None

    def __str__(self) -> str:
        return f"{self.student_id} {self.skill} {self.role}: kept {self.kept}, log {self.replayed}"


@dataclass(frozen=True)
class Checked:
    """`children` whose beliefs count as fresh were compared; `stale` ones were not."""

    children: int
    stale: int
    differences: tuple[Difference, ...]


def beliefs(
    scope: Scope, *, student_ids: Collection[UUID], succession: Collection[tuple[str, str]] = ()
) -> dict[UUID, dict[Chain, Belief]]:
    """This will read the beliefs of children in scope; stale ones are replayed in memory.

    `succession` are pairs of skill keys of an edition: tries of the first count for the second
    too. No belief that an edition changes is ever kept.
    """
    ids = visible(scope, student_ids=student_ids)
    stale = set(
        Replay.objects.filter(
            school_id=scope.school_id, student_id__in=ids, done_version__lt=F("log_version")
        ).values_list("student_id", flat=True)
    )
    found = {id_: {} for id_ in ids}
    found |= _stored(scope, ids - stale)
    found |= replayed(scope, student_ids=stale)
    carried = {one for one, _ in succession}
    touched = {id_ for id_ in ids if any(skill in carried for skill, _ in found[id_])}
    for id_, chains in _carried_on(scope, touched, succession).items():
        found[id_] = found[id_] | chains
    return found


def _carried_on(scope, ids, succession):
    """The beliefs of the skills that carry others on, from the tries of both."""
    onward = {one: heirs(succession, one) for one, _ in succession}
    carrying = set().union(*onward.values())
    rows = [
        row if skill == row.chain[1] else replace(row, chain=(row.chain[0], skill, row.chain[2]))
        for row in counted(_log(scope, ids, skills=carrying | onward.keys()))
        for skill in {row.chain[1], *onward.get(row.chain[1], ())} & carrying
    ]
    found = {id_: {} for id_ in ids}
    for (id_, skill, role), belief in chain.beliefs(by_chain(rows), DEFAULTS).items():
        if id_ in found:
            found[id_][skill, role] = belief
    return found


def stale(scope: Scope) -> tuple[UUID, ...]:
    """This will list the children in scope whose beliefs are older than the log."""
    rows = Replay.objects.filter(school_id=scope.school_id, done_version__lt=F("log_version"))
    return tuple(
        sorted(visible(scope, student_ids=list(rows.values_list("student_id", flat=True))))
    )


def refresh(scope: Scope, *, student_ids: Collection[UUID] | None = None) -> int:
    """This will bring stale beliefs of children in scope up to date; how many children it did.

    `student_ids` None: all of them. A worker that was overtaken changes nothing. A child whose
    replay goes wrong stops nobody after her; `NotRefreshed` is raised once all had their turn.
    """
    done, failed = 0, []
    for student_id in stale(scope):
        if student_ids is not None and student_id not in student_ids:
            continue
        try:
            version = log_version(scope, student_id=student_id)
            found = replayed(scope, student_ids={student_id})[student_id]
            done += put(scope, student_id=student_id, version=version, found=found)
        except (OperationalError, InterfaceError):
            raise  # the database is away: for all of them
        except Exception as error:
            log.error("not refreshed: %s, %s", student_id, type(error).__name__)
            failed.append(error)
    if failed:
        raise NotRefreshed(f"{len(failed)} of {len(failed) + done} children") from failed[0]
    return done


def log_version(scope: Scope, *, student_id: UUID) -> int:
    """This will read how often a child was marked: the first step, before the log is read."""
    row = Replay.objects.filter(school_id=scope.school_id, student_id=student_id)
    return row.values_list("log_version", flat=True).first() or 0


def put(scope: Scope, *, student_id: UUID, version: int, found: dict[Chain, Belief]) -> bool:
    """This will keep beliefs worked out from a log at least as new as `version`.

    False, and nothing changes, when beliefs of that version or a newer one are there.
    """
    with transaction.atomic():
        won = Replay.objects.filter(
            school_id=scope.school_id,
            student_id=student_id,
            done_version__lt=version,
            log_version__gte=version,
        ).update(done_version=version)
        if not won:
            return False
        BeliefRow.objects.filter(school_id=scope.school_id, student_id=student_id).delete()
        skills = dict(
            Skill.objects.filter(
                school_id=scope.school_id, key__in={key for key, _ in found}
            ).values_list("key", "id")
        )
        BeliefRow.objects.bulk_create(
            BeliefRow(
                school_id=scope.school_id,
                student_id=student_id,
                skill_id=skills[key],
                role=role,
                state=list(belief.state),
                last_at=belief.last_at,
                counted=belief.counted,
                days=belief.days,
                **dict(zip(LAST_CLEAN, belief.last_clean_on, strict=True)),
                clean_unspotted=belief.clean_unspotted,
                clean_unspotted_days=belief.clean_unspotted_days,
            )
            for (key, role), belief in sorted(found.items())
        )
    return True


def check(scope: Scope) -> Checked:
    """This will compare the beliefs kept of children in scope with a full replay of the log.

    They must agree to the last digit. Stale ones are only counted: nobody takes them for fresh.
    """
    everybody = Student.objects.filter(school_id=scope.school_id).values_list("id", flat=True)
    ids = sorted(visible(scope, student_ids=everybody))
    children, differences = 0, []
    for start in range(0, len(ids), CHILDREN_AT_ONCE):
        chunk = set(ids[start : start + CHILDREN_AT_ONCE])
        before = _versions(scope, chunk)
        kept, worked_out = _stored(scope, chunk), replayed(scope, student_ids=chunk)
        after = _versions(scope, chunk)
        # Whoever was marked or refreshed while both were read is left for the next check.
        steady = {id_ for id_ in chunk if before[id_] == after[id_] and len(set(after[id_])) == 1}
        children += len(steady)
        for id_ in sorted(steady):
            ours, logged = kept.get(id_, {}), worked_out[id_]
            differences += [
                Difference(id_, skill, role, ours.get((skill, role)), logged.get((skill, role)))
                for skill, role in sorted(ours.keys() | logged.keys())
                if ours.get((skill, role)) != logged.get((skill, role))
            ]
    return Checked(children, len(ids) - children, tuple(differences))


def _versions(scope, ids):
    """Log and done version of each child; both 0 for whom nothing was ever logged."""
    found = Replay.objects.filter(school_id=scope.school_id, student_id__in=ids)
    return dict.fromkeys(ids, (0, 0)) | {
        id_: (log, done)
        for id_, log, done in found.values_list("student_id", "log_version", "done_version")
    }


def replayed(scope: Scope, *, student_ids: Collection[UUID]) -> dict[UUID, dict[Chain, Belief]]:
    """This will work out beliefs from the log alone."""
    found: dict[UUID, dict[Chain, Belief]] = {id_: {} for id_ in student_ids}
    log = _log(scope, student_ids)
    for (student_id, skill_key, role), belief in chain.replay(log, DEFAULTS).items():
        if student_id in found:
            found[student_id][skill_key, role] = belief
    return found


def _log(scope, student_ids, skills=None):
    """All revisions of the attempts in which these children stand, with one of some skills."""
    if not student_ids:
        return []
    rows = Attempt.objects.filter(school_id=scope.school_id)
    touched = rows.filter(student_id__in=list(student_ids)).values("attempt")
    if skills is not None:
        touched = touched.filter(skill__key__in=skills)
    return [
        Row(
            id=str(id_),
            attempt=str(attempt),
            revision=revision,
            happened_at=at,
            date=local_date,
            spot=spot,
            outcome=outcome,
            weight=WEIGHTS[weight],
            chain=(student_id, skill_key, role),
        )
        for (
            id_,
            attempt,
            revision,
            at,
            local_date,
            spot,
            outcome,
            weight,
            student_id,
            skill_key,
            role,
        ) in rows.filter(attempt__in=touched).values_list(
            "id",
            "attempt",
            "revision",
            "at",
            "local_date",
            "spot",
            "outcome",
            "weight",
            "student_id",
            "skill__key",
            "role",
        )
    ]


def _stored(scope, ids):
    found = defaultdict(dict)
    rows = BeliefRow.objects.filter(school_id=scope.school_id, student_id__in=ids)
    # A whole studio has thousands: no objects are made of them but the beliefs.
    for student_id, key, role, state, last_at, counted_, days, *clean in rows.values_list(
        "student_id",
        "skill__key",
        "role",
        "state",
        "last_at",
        "counted",
        "days",
        "clean_unspotted",
        "clean_unspotted_days",
        *LAST_CLEAN,
    ):
        unspotted, unspotted_days, *last_clean_on = clean
        found[student_id][key, role] = Belief(
            state=tuple(state),
            last_at=last_at,
            counted=counted_,
            days=days,
            last_clean_on=tuple(last_clean_on),
            clean_unspotted=unspotted,
            clean_unspotted_days=unspotted_days,
        )
    return dict(found)
