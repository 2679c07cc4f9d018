"""Words for sheets: dates, names of skills, lists, the cautions. English alone for now."""

from collections.abc import Iterable
from datetime import date

CAUTION = (
    "Partner work can injure. A trained adult is in charge and may always say no. Your governing"
    " body's, insurer's and local rules come first. These are hints from what was logged; they"
    " are not a clearance."
)

# What is not for now, in words that say what rests and never why.
RESTED = {
    "wrists": "the wrists rest",
    "back_bend": "no back bends",
    "neck": "the neck rests",
    "knees": "the knees rest",
    "landing": "no jumps or landings",
    "solo": "nothing alone",
    "partner": "no work in twos",
    "base": "not as base",
    "flyer": "not as flyer",
    "spotter": "not as spotter",
    "front": "not in front",
    "middle": "not in the middle",
    "back": "not at the back",
}
HELP = {
    "not_yet": "not started",
    "hands_on": "with hands on",
    "hands_near": "with hands near",
    "no_spot": "with no spot",
}
SPOT = {"hands_on": "hands on", "hands_near": "hands near", "none": "no spot"}
OUTCOME = {"not_there": "not there", "shaky": "shaky", "clean": "clean"}
NUMBERS = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten")
MONTHS = [
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
]
WEEKDAYS = ["Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday"]


def day(on: date) -> str:
    """3 May; with the year it would only be longer to read aloud."""
    return f"{on.day} {MONTHS[on.month - 1]}"


def long_day(on: date) -> str:
    """Tuesday 3 May 2026."""
    return f"{WEEKDAYS[on.weekday()]} {day(on)} {on.year}"


def lower_first(name: str) -> str:
    """A card's name inside a sentence."""
    return name[:1].lower() + name[1:]


def number(n: int) -> str:
    """Small numbers as words."""
    return NUMBERS[n] if 0 <= n < len(NUMBERS) else str(n)


def spoken(n: int, one: str, many: str | None = None) -> str:
    """“one week”, “three weeks”."""
    return f"{number(n)} {one if n == 1 else many or one + 's'}"


def joined(items: Iterable[str], last: str = "and") -> str:
    """“Bao, Hana and Tariq”; an empty text for nothing."""
    items = list(items)
    if len(items) < 2:
        return "".join(items)
    return f"{', '.join(items[:-1])} {last} {items[-1]}"


def seen(last_on: date | None, on: date) -> str:
    """When something was last seen, as one says it: a date, then the month, then the year."""
    if last_on is None:
        return "not tried yet"
    days = (on - last_on).days
    if days <= 0:
        return "seen tonight"
    if days <= 42:
        return f"last seen on {day(last_on)}"
    if days <= 300:
        return f"last seen in {MONTHS[last_on.month - 1]}"
    return f"last seen in {MONTHS[last_on.month - 1]} {last_on.year}"
