"""How much and how strictly is logged at each studio, which is read before anything else."""

from collections import Counter, defaultdict
from dataclasses import dataclass
from uuid import UUID

import numpy as np

from engine.comparison import Z_95, Z_998, strictness, wilson, within_funnel
from engine.readiness.parameters import OUTCOMES, SPOTS
from planning.comparison import words
from planning.comparison.gathered import Gathered
from planning.comparison.policy import (
    CHANCE,
    LEAST_CELL,
    LEAST_CHILDREN,
    LEAST_DIFFERENCE,
    LEAST_LESSONS,
    LEAST_LOGGED,
    LEAST_TRIES,
    ONE_HAND,
)

CLEAN = OUTCOMES.index("clean")
SAYS = MORE, FEWER = ("more", "fewer")


@dataclass(frozen=True)
class Share:
    """A share with the limits between which it is known at 95 %."""

    share: float
    low: float
    high: float


@dataclass(frozen=True)
class SpotShare:
    """Of the tries with one spot the share that was clean; None where fewer than five children
    had any."""

    spot: str
    tries: int | None
    clean: float | None


@dataclass(frozen=True)
class Logging:
    """How much one studio logged in the term.

    `with_entries`: of the lessons held the share with at least one try. `within_chance`: whether
    that is what chance alone gives beside all studios together. `tries_for_each`: tries for each
    child on the list of a lesson with entries. `at_once`: the share of tries that are summaries,
    or that several made alone on one clock. `loggers`: how many people entered any. None where
    there is nothing, or where fewer than five children would be told of.
    """

    lessons_held: int
    lessons_with_entries: int
    with_entries: Share | None
    within_chance: bool | None
    children: int | None
    tries: int | None
    tries_for_each: float | None
    at_once: float | None
    loggers: int
    by_one: bool
    by_spot: tuple[SpotShare, ...]
    sentences: tuple[str, ...]
    missing: tuple[str, ...]

    @property
    def enough(self) -> bool:
        """Whether anything may be said of what this studio's children can do."""
        return not self.missing


@dataclass(frozen=True)
class Strict:
    """How strictly one studio logs beside all others: for the same skill, role and spot, by how
    much the share of clean is higher here. No figures where there is too little.

    `says`, one of SAYS: it logs more or fewer tries as not clean than chance gives.
    """

    clean: float | None
    low: float | None
    high: float | None
    says: str | None
    sentence: str


def logging(found: Gathered) -> dict[UUID, Logging]:
    """How much each studio logged."""
    tries, hands, summaries = Counter(), defaultdict(Counter), Counter()
    for tally in found.logged:
        tries[tally.lesson_id] += tally.tries
        summaries[tally.lesson_id] += tally.summaries
        hands[tally.lesson_id][tally.member_id] += tally.tries
    # A child of two studios is logged at both.
    children = defaultdict(set)
    for place in found.places:
        children[place.studio_id].add(place.student_id)
    spots = _by_spot(found)
    held = {studio.id: found.of_studio.get(studio.id, []) for studio in found.studios}
    entered = {id_: [one for one in those if tries[one.id]] for id_, those in held.items()}
    many = sum(map(len, held.values()))
    target = sum(map(len, entered.values())) / many if many else None
    answer = {}
    for studio in found.studios:
        told = len(children[studio.id]) >= LEAST_CELL
        with_entries = entered[studio.id]
        total = sum(tries[one.id] for one in with_entries)
        by_member = sum((hands[one.id] for one in with_entries), Counter())
        on_list = sum(found.on_list[one.id] for one in with_entries)
        together = sum(found.at_once.get(one.id, 0) + summaries[one.id] for one in with_entries)
        counts = len(with_entries), len(held[studio.id])
        parts = {
            "lessons_held": counts[1],
            "lessons_with_entries": counts[0],
            "with_entries": _share(*counts) if counts[1] else None,
            "within_chance": within_funnel(*counts, target, CHANCE) if counts[1] else None,
            "children": len(children[studio.id]) if told else None,
            "tries": total if told else None,
            "tries_for_each": round(total / on_list, 2) if told and on_list else None,
            "at_once": round(together / total, 3) if told and total else None,
            "loggers": len(by_member),
            "by_one": bool(total) and max(by_member.values()) >= ONE_HAND * total,
            "by_spot": spots[studio.id],
        }
        answer[studio.id] = Logging(
            **parts,
            sentences=words.logging(parts, target=target),
            missing=tuple(_missing(parts, len(children[studio.id]), total)),
        )
    return answer


def _share(part, whole):
    low, high = wilson(part, whole)
    return Share(round(part / whole, 3), round(low, 3), round(high, 3))


def _by_spot(found):
    """The share of clean by spot at each studio, of its own children."""
    ours = found.ours
    answer = {}
    for place, studio in enumerate(found.studios):
        here = ours.studio == place
        counts, students = ours.counts[here], ours.student[here]
        answer[studio.id] = tuple(
            _spot_share(spot, counts[:, code], students) for code, spot in enumerate(SPOTS)
        )
    return answer


def _spot_share(spot, counts, students):
    tried = counts.sum(axis=1) > 0
    if len(np.unique(students[tried])) < LEAST_CELL:
        return SpotShare(spot, None, None)
    total = int(counts.sum())
    return SpotShare(spot, total, round(int(counts[:, CLEAN].sum()) / total, 3))


def _missing(parts, children, tries):
    """What this studio lacks before anything is said of its children."""
    held, entered = parts["lessons_held"], parts["lessons_with_entries"]
    if entered < LEAST_LESSONS:
        yield words.too_few_lessons(entered)
    elif entered < LEAST_LOGGED * held:
        yield words.too_little_of_them(entered, held)
    if children < LEAST_CHILDREN:
        yield words.too_few_children()
    elif tries < LEAST_TRIES:
        yield words.too_few_tries()


def strict(found: Gathered, logs: dict[UUID, Logging]) -> dict[UUID, Strict]:
    """How strictly each studio logs beside all others, whatever their number."""
    ours, many = found.ours, len(SPOTS)
    counts = ours.counts.reshape(-1, len(OUTCOMES))
    tried = counts.any(axis=1)
    studio = np.repeat(ours.studio, many)[tried]
    columns = {
        "stratum": (many * np.repeat(ours.item, many) + np.tile(range(many), len(ours.item)))[
            tried
        ],
        "member": np.repeat(ours.student, many)[tried],
    }
    answer = {}
    for place, one in enumerate(found.studios):
        beside = strictness(counts[tried], here=studio == place, **columns)
        few = (
            beside is None
            or beside.tries < LEAST_TRIES
            or min(beside.members, beside.others) < LEAST_CHILDREN
        )
        answer[one.id] = (
            _not_said(one.name) if few else _said(one.name, beside, logs[one.id].by_one)
        )
    return answer


def _not_said(name):
    return Strict(None, None, None, None, words.strictness_unknown(name))


def _said(name, beside, by_one):
    clean, error = beside.differences[CLEAN], beside.standard_errors[CLEAN]
    beyond = abs(clean) > Z_998 * error and abs(clean) >= LEAST_DIFFERENCE
    says = (FEWER if clean > 0 else MORE) if beyond else None
    # Which of the two others takes up what clean has less or more of.
    other = max(
        (place for place in range(len(OUTCOMES)) if place != CLEAN),
        key=lambda place: abs(beside.differences[place]),
    )
    return Strict(
        clean=round(float(clean), 3),
        low=round(float(clean - Z_95 * error), 3),
        high=round(float(clean + Z_95 * error), 3),
        says=says,
        sentence=words.strictness(
            name, says=says, outcome=OUTCOMES[other], clean=float(clean), by_one=by_one
        ),
    )
