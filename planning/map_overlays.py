"""A class or a child laid over the map of the edition in use: words for each skill and role.

Places are those of the edition's own map; nothing here is a number of somebody or an order by
what she can do.
"""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from uuid import UUID

from accounts.scope import Scope
from classes.classes import enrolled, find, today
from curriculum.cards import CardView
from planning import child_lines, gates, tonight, words
from planning import evening as evenings
from planning.child_lines import readiness
from planning.evening import Asked, Child, Evening, local
from planning.group_views import Somebody
from planning.lesson_sheet import EditionLines, Named
from planning.progress.chains import NOT_TICKED, TICKED
from planning.progress.taught_at import taught_at
from planning.proposals import open_roles
from planning.reasons import Standing
from planning.words import CAUTION, joined, number

NOT_TRIED, NOT_YET, HANDS_ON, HANDS_NEAR, NO_SPOT = HELP = ("not_tried", *words.HELP)
WORDS = {NOT_TRIED: child_lines.NOT_TRIED} | words.HELP
STANDS = GOES_ON, MAY_BEGIN, MISSING, NOT_FOR_NOW = (
    "goes_on",
    "may_begin",
    "missing",
    "not_for_now",
)
BEGUN = NOBODY, SOME, MOST, EVERYBODY = ("nobody", "some", "most", "everybody")


@dataclass(frozen=True)
class ChildRole:
    """Where a child stands in one role of a skill. `help` is the key of `word`, the help that she
    needs by her own tries; `stands` the key of what `says` tells."""

    role: str
    help: str
    word: str
    stands: str
    says: str


@dataclass(frozen=True)
class ChildSkill:
    skill: str
    roles: tuple[ChildRole, ...]


@dataclass(frozen=True)
class StudentMap:
    """Skills in teaching order, each with the roles that children hold."""

    student: Somebody
    klass: Named
    studio: Named
    edition: EditionLines
    as_of: datetime
    known: str
    skills: tuple[ChildSkill, ...]
    caution: str = CAUTION


@dataclass(frozen=True)
class Count:
    """How many children need this help."""

    help: str
    word: str
    children: int


@dataclass(frozen=True)
class ClassRole:
    """Where a class stands in one role of a skill: `counts` from not tried to no spot, `begun` the
    key of how many do it with whatever help, `may_begin` how many could begin it now."""

    role: str
    begun: str
    counts: tuple[Count, ...]
    may_begin: int
    says: str


@dataclass(frozen=True)
class ClassSkill:
    skill: str
    roles: tuple[ClassRole, ...]


@dataclass(frozen=True)
class ClassMap:
    """Skills in teaching order; `children` is how many have a place in the class today."""

    klass: Named
    studio: Named
    edition: EditionLines
    as_of: datetime
    known: str
    children: int
    skills: tuple[ClassSkill, ...]
    caution: str = CAUTION


def student_map(
    scope: Scope, *, student_id: UUID, at: datetime, class_id: UUID | None = None
) -> StudentMap:
    """This will tell where a child stands on the map of the edition in use where she is taught, as
    known at `at`. `class_id` is as in `taught_at`. Raises `NotAllowed`, `Unknown`."""
    scope.need_teacher("a child on the map")
    where = taught_at(scope, student_id=student_id, class_id=class_id, at=at)
    asked = Asked(on=where.on, visitors=frozenset({student_id}), as_of=at)
    evening = evenings.load(scope, klass=where.klass, asked=asked)
    evening = _of(evening, [one for one in evening.listed if one.id == student_id])
    [child] = evening.here
    return StudentMap(
        student=Somebody(child.id, child.name),
        **_about(evening),
        skills=tuple(
            ChildSkill(
                card.key,
                tuple(_child_role(evening, card, role, child) for role in open_roles(card)),
            )
            for card in evening.edition.cards.values()
        ),
    )


def class_map(scope: Scope, *, class_id: UUID, at: datetime) -> ClassMap:
    """This will tell where those who have a place in a class today stand on the map of the edition
    in use there, as known at `at`. Raises `NotAllowed`, `Unknown`."""
    scope.need_teacher("a class on the map")
    klass = find(scope, class_id=class_id)
    on = today(klass, at)
    evening = evenings.load(scope, klass=klass, asked=Asked(on=on, as_of=at))
    ids = {place.student_id for place in enrolled(scope, class_id=class_id, on=on)}
    evening = _of(evening, [one for one in evening.listed if one.id in ids])
    return ClassMap(
        **_about(evening),
        children=len(evening.here),
        skills=tuple(
            ClassSkill(card.key, tuple(_class_role(evening, card, r) for r in open_roles(card)))
            for card in evening.edition.cards.values()
        ),
    )


def _of(evening: Evening, children: Sequence[Child]) -> Evening:
    """What is known of these children alone; whether one rests today is not asked of a map."""
    ids = {child.id for child in children}
    return replace(
        evening,
        here=tuple(replace(child, not_today=False) for child in children),
        away=(),
        tries=tuple(one for one in evening.tries if one.student_id in ids),
    )


def _about(evening: Evening):
    edition, klass = evening.edition, evening.klass
    return {
        "klass": Named(klass.id, klass.name),
        "studio": Named(klass.studio_id, klass.studio_name),
        "edition": EditionLines(edition.id, edition.number, edition.name),
        "as_of": local(evening.as_of, klass),
        "known": tonight.known(evening),
    }


def _help(card: CardView, role: str, child: Child) -> str:
    """The key of the help that she needs; a habit is there or it is not."""
    judged = child.judged[card.key, role]
    if card.skill.habit:
        return NO_SPOT if judged.evidence and judged.evidence.ticked else NOT_TRIED
    return judged.likely or NOT_TRIED


def _word(card: CardView, help_: str) -> str:
    if card.skill.habit:
        return TICKED if help_ == NO_SPOT else NOT_TICKED
    return WORDS[help_]


def _child_role(evening: Evening, card: CardView, role: str, child: Child) -> ChildRole:
    stops = gates.stops(evening, card, role, child)
    one = Standing(card, role, child)
    help_ = _help(card, role, child)
    return ChildRole(
        role=role,
        help=help_,
        word=_word(card, help_),
        stands=stands(evening, one, stops),
        says=readiness(evening, one, stops),
    )


def stands(evening: Evening, one: Standing, stops: tuple[gates.Stop, ...]) -> str:
    """Where a child stands who is stopped by these: one of `STANDS`."""
    if stops:
        return NOT_FOR_NOW
    if one.judged.ready:
        return GOES_ON if one.judged.source == "own" else MAY_BEGIN
    return MAY_BEGIN if gates.has_yes(evening, one.card, one.role, one.child) else MISSING


def _class_role(evening: Evening, card: CardView, role: str) -> ClassRole:
    needed = Counter(_help(card, role, child) for child in evening.here)
    may_begin = sum(
        stands(evening, Standing(card, role, child), gates.stops(evening, card, role, child))
        == MAY_BEGIN
        for child in evening.here
    )
    says = joined(f"{number(needed[one])} {_word(card, one)}" for one in HELP if needed[one])
    return ClassRole(
        role=role,
        begun=_begun(needed[HANDS_ON] + needed[HANDS_NEAR] + needed[NO_SPOT], len(evening.here)),
        counts=tuple(Count(one, _word(card, one), needed[one]) for one in HELP),
        may_begin=may_begin,
        says=f"{says}; {number(may_begin)} may begin" if may_begin else says,
    )


def _begun(do_it: int, many: int) -> str:
    if do_it in (0, many):
        return EVERYBODY if do_it else NOBODY
    return MOST if 2 * do_it > many else SOME
