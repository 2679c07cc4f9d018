"""A child's path over a term: the help she needed after each evening, with the tries under it."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from uuid import UUID

from accounts.faults import BadDocument, Fault
from accounts.names import alphabetical
from accounts.scope import Scope
from classes import timetable
from classes.lessons import moment
from classes.timetable import TermView
from classes.tries import Try, counted
from curriculum import skills
from planning.evening import SPOTTER
from planning.group_views import Somebody
from planning.lesson_sheet import EditionLines, Named
from planning.progress.chains import Chain, Log, Reading, When, known, reading, taught
from planning.progress.taught_at import edition_of, end_of, taught_at

A_DAY = timedelta(days=1)
WITHOUT_TERMS = timedelta(days=120)  # looked back on where the school has entered no terms


@dataclass(frozen=True)
class TryLine:
    """One counted try. `logged_as` names the skill that it was logged for, where that is another
    one, which this one carries on."""

    attempt: UUID
    spot: str
    outcome: str
    weight: str
    logged_as: str | None


@dataclass(frozen=True)
class EveningLine:
    """A day on which she tried it: what is read after her last try of that day."""

    reading: Reading
    tries: tuple[TryLine, ...]


@dataclass(frozen=True)
class SkillPath:
    """One skill in one role. `at_first` is read as the first day begins, None if it was not tried
    before; `at_last` as the last day ends or, sooner, now.

    Not `taught`: neither the skill in that role nor what carries it on is in the edition in use.
    """

    skill: str
    name: str
    role: str
    taught: bool
    habit: bool
    at_first: Reading | None
    evenings: tuple[EveningLine, ...]
    at_last: Reading


@dataclass(frozen=True)
class Path:
    """All that she tried from the day `first` to the day `last`, in teaching order; what is no
    longer taught comes after it, by name."""

    student: Somebody
    klass: Named
    studio: Named
    edition: EditionLines
    first: date
    last: date
    known: str
    skills: tuple[SkillPath, ...]


def path(
    scope: Scope,
    *,
    student_id: UUID,
    at: datetime,
    first: date | None = None,
    last: date | None = None,
    class_id: UUID | None = None,
) -> Path:
    """This will tell of a child's path from a day to a day, without them over the term of today,
    between two terms over the one before. `class_id` is as in `taught_at`.

    Raises `NotAllowed`, `Unknown`, and `BadDocument` for days that are no period of a year.
    """
    scope.need_teacher("a child's path")
    where = taught_at(scope, student_id=student_id, class_id=class_id, at=at)
    first, last = _period(timetable.terms(scope), where.on, first, last)
    edition = edition_of(scope, klass=where.klass, on=min(where.on, last))
    found = counted(scope, student_ids=where.ids, since=None)
    tries = [one for one in found if one.local_date <= last]
    log = Log(tries, edition)
    cards = taught(edition)
    shown = [
        (child, key, role)
        for (child, key, role), of in log.chains.items()
        if any(one.local_date >= first for one in of)
        if role != SPOTTER
        if (key, role) in cards or not any((heir, role) in cards for heir in edition.heirs(key))
    ]
    names = {key: card.name for key, card in edition.cards.items()}
    if gone := {one.skill_key for one in tries} - names.keys():
        names |= skills.last_names(scope, keys=gone)
    on = min(where.on, last)
    before = When(first - A_DAY, moment(first, time.min, where.klass.zone), first)
    after = When(last, end_of(on, where.klass, at=at), on)
    evenings = _evenings(log, shown, first)
    found = log.read(
        [(chain, when) for chain in shown for when in (before, *evenings[chain], after)]
    )

    def line(chain: Chain) -> SkillPath:
        _, key, role = chain
        habit = key in edition.cards and edition.cards[key].skill.habit
        began = found[chain, before]
        return SkillPath(
            skill=key,
            name=names[key],
            role=role,
            taught=(key, role) in cards,
            habit=habit,
            at_first=reading(began, habit=habit) if began.tried else None,
            evenings=tuple(
                EveningLine(
                    reading(found[chain, when], habit=habit),
                    tuple(_line(one, key, names) for one in tried),
                )
                for when, tried in evenings[chain].items()
            ),
            at_last=reading(found[chain, after], habit=habit),
        )

    order = {chain: place for place, chain in enumerate(cards)}

    def by_teaching(one: SkillPath):
        place = order.get((one.skill, one.role), len(order))
        return place, alphabetical(one.name), one.skill, one.role

    return Path(
        student=Somebody(student_id, where.name),
        klass=Named(where.klass.id, where.klass.name),
        studio=Named(where.klass.studio_id, where.klass.studio_name),
        edition=EditionLines(edition.id, edition.number, edition.name),
        first=first,
        last=last,
        known=known((one.local_date for one in tries), where.klass, at=after.at),
        skills=tuple(sorted(map(line, shown), key=by_teaching)),
    )


def _period(
    terms: Sequence[TermView], today: date, first: date | None, last: date | None
) -> tuple[date, date]:
    begun = [term for term in terms if term.first_on <= today]
    usual = (begun[-1].first_on, begun[-1].last_on) if begun else (today - WITHOUT_TERMS, today)
    # A day that was not said gives way to one that was.
    begins = first or min(usual[0], last or usual[0])
    ends = last or max(usual[1], begins)
    if ends < begins:
        raise BadDocument([Fault("last", f"{ends} is before {begins}")])
    return begins, ends


def _evenings(
    log: Log, chains: Sequence[Chain], first: date
) -> dict[Chain, dict[When, tuple[Try, ...]]]:
    """The tries of each chain by the evening, which is read as a whole after her last try."""
    tried = {
        chain: [one for one in log.chains[chain] if one.local_date >= first] for chain in chains
    }
    ends: dict[date, datetime] = {}
    for one in (one for of in tried.values() for one in of):
        ends[one.local_date] = max(one.at, ends.get(one.local_date, one.at))
    return {
        chain: {
            When(on, ends[on], on): tuple(one for one in of if one.local_date == on)
            for on in sorted({one.local_date for one in of})
        }
        for chain, of in tried.items()
    }


def _line(one: Try, key: str, names: Mapping[str, str]) -> TryLine:
    logged_as = None if one.skill_key == key else names[one.skill_key]
    return TryLine(one.attempt, one.spot, one.outcome, one.weight, logged_as)
