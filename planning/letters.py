"""A letter for a child's guardians: what she can, what she works on, what may be practised at home.

In kind plain words that need no pronoun: no number, no comparison, nothing about anybody else, and
never why something rests.
"""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from uuid import UUID

from django.db import transaction
from django.template.loader import render_to_string

from accounts.events import record
from accounts.scope import Scope
from classes import agreements, falls, restrictions
from classes.models.children import HANDS_ON, LIFTING
from classes.tries import counted
from curriculum.cards import CardView
from curriculum.editions import EditionInUse
from engine.readiness.evidence import NEARLY_ALWAYS, STEADY, Evidence
from planning.child_lines import AT_HOME, SOLO
from planning.group_views import Somebody
from planning.lesson_sheet import Named
from planning.progress.chains import Log, When, taught
from planning.progress.holidays import SEEN_ON
from planning.progress.taught_at import TaughtAt, edition_of, end_of, taught_at
from planning.reasons import named
from planning.words import CAUTION, long_day

READ = "read_letter"
WORKED_ON = timedelta(days=60)  # tried so lately
# A page has room for so many; those tried last are told, in teaching order.
MOST_CAN, MOST_WORKED_ON, MOST_AT_HOME = 8, 6, 3
MOST_LETTERS = 600  # of the lines of a section
KIND = {
    "not_yet": "just begun",
    "hands_on": "with helping hands",
    "hands_near": "with hands near",
    "no_spot": "nearly without help",
}
COMING_ALONG = "coming along"  # of what nobody spots
AT_HOME_SAYS = "With a grown-up in the room, and only for as long as it is fun:"
NO_LIFTS = (
    "No lifts at home, please, and nothing that needs a partner or a spotter: that waits for the"
    " class, where a trained adult stands beside it."
)
CLOSING = "Ask us about any of it: we are glad to show it."


@dataclass(frozen=True)
class Section:
    """A heading and a sentence below it, with the lines that it leads to."""

    heading: str
    says: str
    lines: tuple[str, ...] = ()


@dataclass(frozen=True)
class Letter:
    """All that stands in a letter, in reading order: at most a page. `on` is the day up to which
    it tells, of a child who has left her last."""

    student: Somebody
    klass: Named
    studio: Named
    on: date
    title: str
    known: str
    opening: str
    sections: tuple[Section, ...]
    closing: str = CLOSING
    caution: str = CAUTION


@dataclass(frozen=True)
class _Tried:
    """One skill in one role that she has tried; `rests` says that it is not for now."""

    card: CardView
    role: str
    own: Evidence
    rests: bool

    @property
    def can(self) -> bool:
        if self.card.skill.habit:
            return self.own.ticked
        return self.own.belief.days >= SEEN_ON and self.own.word in (NEARLY_ALWAYS, STEADY)

    @property
    def worked_on(self) -> bool:
        lately = self.own.as_of - self.own.belief.last_at <= WORKED_ON
        return lately and not self.can and not self.rests

    @property
    def for_home(self) -> bool:
        may = bool(self.card.at_home) and not self.card.spotted
        return may and self.role == SOLO and not self.rests


def letter(
    scope: Scope,
    *,
    student_id: UUID,
    at: datetime,
    class_id: UUID | None = None,
    printed: bool = False,
) -> Letter:
    """This will write the letter of a child; that it was read, or printed, is kept as an event.

    `class_id` is as in `taught_at`. Raises `NotAllowed`, `Unknown`.
    """
    scope.need_teacher("a letter for guardians")
    where = taught_at(scope, student_id=student_id, class_id=class_id, at=at)
    tried = _tried(scope, where, at)
    with transaction.atomic():
        record(scope, what=READ, at=at, about=student_id, printed=printed)
    return Letter(
        student=Somebody(student_id, where.name),
        klass=Named(where.klass.id, where.klass.name),
        studio=Named(where.klass.studio_id, where.klass.studio_name),
        on=where.on,
        title=f"{where.name} in {where.klass.name}",
        known=f"{where.klass.studio_name}, as known on {long_day(where.on)}.",
        opening=f"Dear family, {_opening(where, tried)}",
        sections=tuple(_sections(where, tried)),
    )


def page(scope: Scope, *, student_id: UUID, at: datetime, class_id: UUID | None = None) -> str:
    """This will write the letter as one HTML page for print: no script, no file beside it."""
    written = letter(scope, student_id=student_id, at=at, class_id=class_id, printed=True)
    return render_to_string("planning/letter.html", {"letter": written})


def _tried(scope: Scope, where: TaughtAt, at: datetime) -> list[_Tried]:
    """What the edition in use has of all that she has tried, in teaching order."""
    edition = edition_of(scope, klass=where.klass, on=where.on)
    log = Log(counted(scope, student_ids=where.ids, since=None), edition)
    when = When(where.on, end_of(where.on, where.klass, at=at), where.on)
    found = log.read({(chain, when) for chain in log.chains})
    rests = _rests(scope, where, edition)
    return [
        _Tried(card, role, own, rests(card, role))
        for (key, role), card in taught(edition).items()
        if (own := found.get(((where.student_id, key, role), when))) and own.tried
    ]


def _rests(scope: Scope, where: TaughtAt, edition: EditionInUse) -> Callable[[CardView, str], bool]:
    """What is not for now that day, whatever the reason: a letter leaves it out and is silent."""
    asked = {"student_ids": where.ids, "on": where.on}
    blocked = {one.blocks for one in restrictions.current(scope, **asked)[where.student_id]}
    fallen = {key for _, key, _ in falls.open_falls(scope, edition=edition, **asked)}
    no_lifts = (
        where.trial
        or {LIFTING, HANDS_ON} & (agreements.withdrawn(scope, **asked)[where.student_id])
    )

    def rests(card: CardView, role: str) -> bool:
        too_young = card.youngest_age is not None and (where.age or 0) < card.youngest_age
        not_now = blocked & {role, *card.loads.get(role, ())} or card.key in fallen
        return bool(not_now or too_young or (card.lifted and no_lifts))

    return rests


def _opening(where: TaughtAt, tried: Sequence[_Tried]) -> str:
    if where.left:
        return f"this is where things stood when {where.name} left."
    if where.trial:
        return f"{where.name} has come to try the class: thank you for the visit."
    if not tried:
        return f"{where.name} has just begun. There will be more to tell soon."
    return f"this is what {where.name} is doing in class."


def _sections(where: TaughtAt, tried: Sequence[_Tried]) -> Iterator[Section]:
    name = where.name
    can = [one for one in _last_first(tried) if one.can]
    if lines := _as_fits(tried, can, MOST_CAN, lambda one: named(one.card, one.role)):
        verb = "could" if where.left else "can"
        yield Section("Already there", f"{name} {verb} already:", lines)
    working = [one for one in _last_first(tried) if one.worked_on]
    if lines := _as_fits(tried, working, MOST_WORKED_ON, _learned):
        verb = "was" if where.left else "is"
        yield Section("Being learned", f"{name} {verb} working on:", lines)
    # What still grows comes first, as on the sheet.
    grows = [one for help_needed in AT_HOME for one in tried if one.own.likely == help_needed]
    home = [one for one in grows if one.for_home]
    if lines := _as_fits(grows, home, MOST_AT_HOME, lambda one: _at_home(one.card)):
        yield Section("At home", AT_HOME_SAYS, lines)
    yield Section("Not at home", NO_LIFTS)


def _last_first(tried: Sequence[_Tried]) -> list[_Tried]:
    return sorted(tried, key=lambda one: one.own.belief.last_at, reverse=True)


def _as_fits(
    order: Sequence[_Tried],
    wanted: Sequence[_Tried],
    most: int,
    line: Callable[[_Tried], str],
) -> tuple[str, ...]:
    """The lines of the first wanted ones for which a page has room, told in this order."""
    told: dict[int, str] = {}
    for one in wanted[:most]:
        text = line(one)
        if told and sum(map(len, told.values())) + len(text) > MOST_LETTERS:
            break
        told[id(one)] = text
    return tuple(told[id(one)] for one in order if id(one) in told)


def _at_home(card: CardView) -> str:
    return f"{card.name}: {card.at_home}"


def _learned(one: _Tried) -> str:
    spotted = one.own.likely == "not_yet" or one.card.spotted
    how = KIND[one.own.likely] if spotted else COMING_ALONG
    return f"{named(one.card, one.role)}: {how}"
