"""What went in the holidays: the help that was needed before the last break, and now."""

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import pairwise
from uuid import UUID

from classes import lessons
from classes.classes import ClassView
from classes.tries import Try
from curriculum.cards import CardView
from engine.readiness.parameters import HELP as STATES
from planning.group_views import Somebody
from planning.progress.chains import Chain, Log, When
from planning.reasons import named
from planning.words import HELP, day

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
    log: Log,
    tries: Collection[Try],
    cards: Mapping[tuple[str, str], CardView],
    *,
    klass: ClassView,
    names: Mapping[UUID, str],
    now: When,
) -> Holidays | None:
    """This will tell what went in the last break of at least 14 days between evenings on which
    this class tried anything; None if there was none.

    It went by the days alone, or by how she first tried it again; what went later is no matter of
    the holidays, and what has come back since is not told.
    """
    # With the moment of the last try, since tries come by time.
    evenings_anywhere = {(one.lesson_id, one.local_date): one.at for one in tries}
    evenings = {
        on: at
        for (lesson, on), at in evenings_anywhere.items()
        if lesson == lessons.lesson_id(klass.id, on)
    }
    days = sorted(evenings)
    ends = [*days, now.on] if days and days[-1] < now.on else days
    breaks = [(a, b) for a, b in pairwise(ends) if b - a >= BREAK]
    if not breaks:
        return None
    last, first = breaks[-1]
    before = When(last, evenings[last], last)
    chains = [key for key in log.chains if key[0] in names and _may_go(key, cards)]
    found = log.read({(key, when) for key in chains for when in (before, now)})

    def level(key: Chain, when: When) -> int:
        return STATES.index(found[key, when].likely)

    less = [
        key
        for key in chains
        if found[key, before].belief.days >= SEEN_ON and level(key, now) < level(key, before)
    ]
    again = {key: _first_again(log.chains[key], last) or now for key in less}
    found |= log.read(again.items())
    gone = [key for key in less if level(key, again[key]) < level(key, before)]
    order = {chain: place for place, chain in enumerate(cards)}
    by_name = {id_: place for place, id_ in enumerate(names)}
    gone.sort(key=lambda key: (by_name[key[0]], order[key[1:]]))
    over = first in evenings

    def line(key: Chain) -> Went:
        then, today = found[key, before], found[key, now]
        return _went(key, cards[key[1:]], names, then, today, tried=again[key] != now)

    return Holidays(
        last=last,
        first=first if over else None,
        says=f"between {day(last)} and {day(first)}" if over else f"since {day(last)}",
        went=tuple(map(line, gone)),
    )


def _may_go(key: Chain, cards) -> bool:
    """Whether it is taught in that role, and no habit, which is not forgotten."""
    card = cards.get(key[1:])
    return card is not None and not card.skill.habit


def _first_again(tries: Collection[Try], last: date) -> When | None:
    """The first evening on which it was tried after the break, after her last try of it there."""
    since = [one for one in tries if one.local_date > last]
    if not since:
        return None
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
