"""What went in the holidays: the help that was needed before the last break, and now."""

from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from itertools import pairwise
from uuid import UUID

from classes.tries import Try
from curriculum.cards import CardView
from curriculum.editions import EditionInUse
from engine.readiness.evidence import Evidence
from engine.readiness.parameters import HELP as STATES
from planning.group_views import Somebody
from planning.progress.chains import Chain, Log, When, read, taught
from planning.reasons import named
from planning.words import HELP, day

A_DAY = timedelta(days=1)
BREAK = timedelta(days=14)
SEEN_ON = 2  # days; from one alone nobody knows that it was there


@dataclass(frozen=True)
class Went:
    """A skill in a role for which more help is needed than before; `tried` says whether it was
    tried again since."""

    student: Somebody
    skill: str
    name: str
    role: str
    before: str
    now: str
    tried: bool
    says: str


@dataclass(frozen=True)
class Holidays:
    """The last break of a class: the last evening before it, and the first after it, None while
    it lasts. `went` by name, of each child in teaching order."""

    last: date
    first: date | None
    says: str
    went: tuple[Went, ...]


def holidays(
    found: Mapping[Chain, Evidence],
    counted: Callable[..., Collection[Try]],
    evenings: Mapping[date, datetime],
    edition: EditionInUse,
    *,
    names: Mapping[UUID, str],
    on: date,
) -> Holidays | None:
    """This will tell what went in the last break of at least 14 days between evenings on which
    this class tried anything; None if there was none.

    `found` is what all tries of its children say on the day `on`, `counted` reads these tries as
    `tries.counted` does, and `evenings` are those of the class, with the moment of the last try.

    It went by the days alone, or by how she first tried it again; what went later is no matter of
    the holidays, and what has come back since is not told.
    """
    days = sorted(evenings)
    ends = [*days, on] if days and days[-1] < on else days
    breaks = [(a, b) for a, b in pairwise(ends) if b - a >= BREAK]
    if not breaks:
        return None
    last, first = breaks[-1]
    before = When(last, evenings[last], last)
    cards = taught(edition)
    today = {key: own for key, own in found.items() if _may_have_gone(key, own, cards)}
    since = Log(counted(since=last + A_DAY, skills=_counting(today, edition)), edition).chains
    # The log is read only where the beliefs cannot tell: what was not tried since is as it was.
    again = today.keys() & since.keys()
    log = Log(counted(since=None, skills=_counting(again, edition)), edition)
    then = read({key: today[key].belief for key in today.keys() - again}, before)
    then |= {key: own for (key, _), own in log.read({(key, before) for key in again}).items()}
    less = [
        key for key, own in then.items() if own.belief.days >= SEEN_ON and _less(today[key], own)
    ]
    firsts = {key: _first_again(since[key]) for key in again}
    first_tried = log.read({(key, firsts[key]) for key in again & set(less)})
    gone = [
        key for key in less if key not in again or _less(first_tried[key, firsts[key]], then[key])
    ]
    order = {chain: place for place, chain in enumerate(cards)}
    by_name = {id_: place for place, id_ in enumerate(names)}
    gone.sort(key=lambda key: (by_name[key[0]], order[key[1:]]))
    over = first in evenings

    def line(key: Chain) -> Went:
        return _went(key, cards[key[1:]], names, then[key], today[key], tried=key in again)

    return Holidays(
        last=last,
        first=first if over else None,
        says=f"between {day(last)} and {day(first)}" if over else f"since {day(last)}",
        went=tuple(map(line, gone)),
    )


def _may_have_gone(key: Chain, own: Evidence, cards) -> bool:
    """Whether it is taught in that role, is no habit, which is not forgotten, and needs more help
    now than the least."""
    card = cards.get(key[1:])
    return (
        card is not None
        and not card.skill.habit
        and own.belief.days >= SEEN_ON
        and own.likely != STATES[-1]
    )


def _counting(chains: Collection[Chain], edition: EditionInUse) -> set[str]:
    """The skills of which a try counts for any of these chains."""
    keys = {key for _, key, _ in chains}
    return keys | {one for one, _ in edition.succession if edition.heirs(one) & keys}


def _less(one: Evidence, other: Evidence) -> bool:
    return STATES.index(one.likely) < STATES.index(other.likely)


def _first_again(since: Collection[Try]) -> When:
    """The first evening on which it was tried after the break, after her last try of it there."""
    on = min(one.local_date for one in since)
    return When(on, max(one.at for one in since if one.local_date == on), on)


def _went(key: Chain, card: CardView, names, before, now, *, tried: bool) -> Went:
    student, skill, role = key
    says = f"{named(card, role)}: {HELP[before.likely]} before, {HELP[now.likely]} now"
    return Went(
        student=Somebody(student, names[student]),
        skill=skill,
        name=card.name,
        role=role,
        before=before.likely,
        now=now.likely,
        tried=tried,
        says=says if tried else f"{says}, not tried since",
    )
