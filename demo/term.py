"""A term of tries before tonight, as rows of a tries file: fixed seed, any date of tonight.

Lesson n of a class is in week n; tonight is the Tuesday of week 14; a break of two weeks follows
week 7. The rows of the Tuesday beginners also tell the stories in `stories`.
"""

import csv
import random
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date, datetime, time, timedelta
from pathlib import Path

from curriculum.cards import CardView
from demo import second_edition, stories
from demo.play import NO_SPOT, NOT_YET, Pupil, in_groups, measure_of
from demo.programs import HOLD, KNOWN_BEFORE, PROGRAMS, SUMMARY, TICK, TRIES, TUESDAY

LESSONS = 13
TUESDAY_CLASS = "Tuesday beginners"
HERE = Path(__file__).parent
# class -> (days after the Tuesday of its week, start, who logs)
CLASSES = {
    "Tuesday beginners": (0, time(17, 0), "Tendai R."),
    "Thursday second year": (2, time(17, 30), "Tendai R."),
    "Saturday seniors": (4, time(10, 0), "Tendai R."),
    "Monday beginners": (-1, time(16, 30), "Pilar G."),
    "Wednesday mixed": (1, time(17, 0), "Pilar G."),
    "Friday mixed": (3, time(16, 0), "Zeynep A."),
}
STUDIOS = {
    "Tuesday beginners": "Sellane Harbour",
    "Thursday second year": "Sellane Harbour",
    "Saturday seniors": "Sellane Harbour",
    "Monday beginners": "Brackfold Mill",
    "Wednesday mixed": "Brackfold Mill",
    "Friday mixed": "Far Orrow Hall",
}
LOGS_HALF = ("Monday beginners", "Wednesday mixed")  # and mostly what was clean
STRICT = ("Friday mixed",)
STORM = ("Friday mixed", 5)


def tuesday(tonight: date, week: int) -> date:
    """The Tuesday of a week of the term; tonight is week 14."""
    return tonight - timedelta(weeks=14 - week + (2 if week <= 7 else 0))


def lesson_day(tonight: date, name: str, week: int) -> date:
    return tuesday(tonight, week) + timedelta(days=CLASSES[name][0])


def children() -> list[dict[str, str]]:
    """The rows of children.csv."""
    with (HERE / "children.csv").open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


@dataclass
class Log:
    """The tries of one class as rows, in the order in which they happened."""

    name: str
    rows: list[dict[str, object]] = field(default_factory=list)
    moment: datetime = datetime(2000, 1, 1)  # noqa: DTZ001 - local time, as the file has it
    goes: int = 0

    def begin(self, on: date) -> None:
        self.moment = datetime.combine(on, CLASSES[self.name][1])
        self.goes = 0

    def go(self) -> str:
        """A new physical try, half a minute later; its label."""
        self.moment += timedelta(seconds=30)
        self.goes += 1
        return f"{self.moment:%m%d}-{self.goes}"

    def add(self, go: str, student: str, skill: str, role: str, **values: object) -> None:
        self.moment += timedelta(seconds=1)
        self.rows.append(
            {
                "date": f"{self.moment:%Y-%m-%d}",
                "time": f"{self.moment:%H:%M:%S}",
                "student": student,
                "skill": skill,
                "role": role,
                "try": go,
                "by": CLASSES[self.name][2],
                **values,
            }
        )


def term(name: str, cards: Mapping[str, CardView], tonight: date, today: date) -> Log:
    """All rows of one class, for lessons before `today`; `cards` are those of every edition."""
    dice = random.Random(f"term of {name}")
    pupils = {
        row["given_name"]: Pupil(row["given_name"], 0.8 + 0.4 * dice.random(), cards)
        for row in children()
        if row["class"] == name
    }
    _know_before(name, pupils.values(), cards)
    log = Log(name)
    for week in range(1, LESSONS + 1):
        on = lesson_day(tonight, name, week)
        if week == second_edition.WEEK and _takes_it_on(name):
            _carry_on(pupils.values())
        here = [
            pupil
            for child, pupil in pupils.items()
            if (name != TUESDAY_CLASS or stories.here(child, week)) and dice.random() > 0.06
        ]
        for pupil in here:
            _practise(pupil, cards, dice)
        if on >= today or (name, week) == STORM or (name in LOGS_HALF and week % 2 == 0):
            continue
        log.begin(on)
        for kind, key in _program(name, week):
            log.moment += timedelta(minutes=3)
            _station(log, kind, cards[key], here, dice, week)
        if name == TUESDAY_CLASS:
            stories.tell(log, week, pupils)
    return log


def _know_before(name, pupils, cards):
    for pupil in pupils:
        for card in cards.values():
            if card.skill.family in KNOWN_BEFORE.get(name, ()):
                for role in card.skill.roles:
                    pupil.help[card.key, role] = NO_SPOT


def _takes_it_on(name):
    return STUDIOS[name] in second_edition.ADOPTED


def _carry_on(pupils):
    """What was one skill so far is begun in both of its parts where it stood."""
    for pupil in pupils:
        state = pupil.help.get((second_edition.SPLIT, "solo"), NOT_YET)
        pupil.help |= {(heir, "solo"): state for heir in second_edition.HEIRS}


def _practise(pupil, cards, dice):
    """Warm-ups and what is done at home: whatever is begun on the floor goes on."""
    for key, role in list(pupil.help):
        if dice.random() < (0.4 if cards[key].spotted else 0.8):
            pupil.learn(key, role, dice)


def _program(name, week) -> Iterator[tuple[str, str]]:
    if name == TUESDAY_CLASS:
        yield from TUESDAY[week]
        return
    solo, groups = PROGRAMS[name]["solo"], PROGRAMS[name]["groups"]
    if week <= 2:
        yield from ((TICK, "stop_word"), (TICK, "counting_in"))
    yield HOLD, solo[(2 * week) % len(solo)]
    yield SUMMARY, solo[(2 * week + 1) % len(solo)]
    yield HOLD, solo[(2 * week + 3) % len(solo)]
    if week >= second_edition.WEEK and _takes_it_on(name):
        yield from ((SUMMARY, heir) for heir in second_edition.HEIRS)
    begun = (week * len(groups)) // (LESSONS + 1)
    yield TRIES, groups[begun]
    if begun:
        yield TRIES, groups[begun - 1]


def _station(log, kind, card, here, dice, week):
    if kind == TRIES:
        _in_groups(log, card, here, dice, week)
        return
    go = log.go()
    role = next(iter(card.skill.roles))
    for pupil in here:
        if card.skill.habit:
            pupil.help[card.key, role] = NO_SPOT
            log.add("", pupil.name, card.key, role, outcome="clean")
            continue
        pupil.learn(card.key, role, dice)
        spot = pupil.spot(card.key, role)
        outcome = _as_logged(log.name, pupil.outcome(card.key, role, spot, dice), dice)
        if outcome is None or _overlooked(log.name, pupil.name, week):
            continue
        if kind == HOLD and card.measure:
            value = measure_of(outcome, card.measure["figure"], dice)
            log.add(go, pupil.name, card.key, role, spot=spot, measure=value)
        else:
            weight = "summary" if kind == SUMMARY else "own"
            log.add(go, pupil.name, card.key, role, spot=spot, outcome=outcome, weight=weight)


def _in_groups(log, card, here, dice, week):
    sizes = {
        role: spec.min or 1
        for role, spec in card.skill.roles.items()
        if role != "spotter" and spec.max
    }
    pupils = sorted(here, key=lambda pupil: stories.comes_first(pupil.name, week))
    for group in in_groups(pupils, sizes, card.key, dice, apart=stories.APART):
        members = [(role, pupil) for role, held in group.items() for pupil in held]
        for role, pupil in members:
            pupil.learn(card.key, role, dice)
        strictest = min(
            (pupil.spot(card.key, role) for role, pupil in members),
            key=("hands_on", "hands_near", "none").index,
        )
        for _ in range(2 if log.name == TUESDAY_CLASS else 1):
            go = log.go()
            for role, pupil in members:
                outcome = _as_logged(log.name, pupil.outcome(card.key, role, strictest, dice), dice)
                if outcome and not _overlooked(log.name, pupil.name, week):
                    log.add(go, pupil.name, card.key, role, spot=strictest, outcome=outcome)


def _as_logged(name, outcome, dice):
    """What whoever logs makes of an outcome; None when it is not written down."""
    if name in STRICT and outcome == "clean" and dice.random() < 0.35:
        return "shaky"
    if name in LOGS_HALF and outcome != "clean" and dice.random() < 0.8:
        return None
    return outcome


def _overlooked(name, child, week):
    return name == TUESDAY_CLASS and stories.overlooked(child, week)
