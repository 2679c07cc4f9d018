"""Sentences for what is put side by side: what explains a difference comes before the figure."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from planning.words import OUTCOME, SPOT, joined, number, spoken

PORTIONS = (
    (0.03, "hardly any"),
    (0.1, "about a tenth"),
    (0.25, "about a quarter"),
    (1 / 3, "about a third"),
    (0.5, "about half"),
    (2 / 3, "about two thirds"),
    (0.75, "about three quarters"),
    (0.9, "about nine in ten"),
    (0.97, "nearly all"),
)
NOTHING = "There is nothing to put side by side: the school teaches in one place."
OTHERS_MISSING = (
    "No other studio has enough in its log, for skills that both have tried, to stand beside it."
)
EARLIER_TERM = (
    "What children can do is known as of today, not as of a term that is over: it is told with the"
    " term that began last."
)
NOTHING_STANDS_OUT = "Nothing stands out in how it logs or in the ages of its children."
WITHIN = "beside the others that is within what chance alone gives"
BEYOND = "from the others that differs by more than chance alone gives"
SEE = "see a lesson before you conclude anything"
MAY_BE_LOGGING = "how it is logged may be all of it"


@dataclass(frozen=True)
class Explanation:
    """Of one studio: the lessons without entries, how it `says` more or fewer tries were not
    clean, and by how many years its children are older, and longer at the school, than those of
    the others; None where that is not worth a word. `others_differ`: one of the others logs more
    or fewer as not clean.
    """

    without_entries: int
    says: str | None
    others_differ: bool
    older: float | None
    longer: float | None


def portion(share: float) -> str:
    """A share as one says it: “all”, “none”, “about two thirds”."""
    if share in (0.0, 1.0):
        return "all" if share else "none"
    return min(PORTIONS, key=lambda one: abs(one[0] - share))[1]


# -- how much is logged --------------------------------------------------------------------------


def logging(parts: Mapping, *, target: float | None) -> tuple[str, ...]:
    """What is told of how much one studio logged; `parts` are the fields of a `Logging`."""
    held, entered = parts["lessons_held"], parts["lessons_with_entries"]
    if not held:
        return ("No lesson has been held in this term yet.",)
    said = [_entries(entered, held)]
    # That one logs more than chance gives explains nothing of its own figures.
    if not parts["within_chance"] and entered / held < target:
        said.append("That is fewer than chance alone gives beside all studios together.")
    if parts["tries"] is None:
        said.append("Nothing is said of tries, so that nobody is told of.")
        return tuple(said)
    if not parts["tries"]:
        return tuple(said)
    each = parts["tries_for_each"]
    said.append(f"In a lesson with entries there are about {each:.1f} tries for each child.")
    shares = [
        f"{round(100 * one.clean)} with {SPOT[one.spot]}"
        for one in reversed(parts["by_spot"])
        if one.clean is not None
    ]
    if shares:
        said.append(f"Of a hundred tries clean: {joined(shares)}.")
    if parts["at_once"]:
        share = _capital(portion(parts["at_once"]))
        said.append(
            f"{share} of the tries were seen several at once or summed up afterwards, which says"
            " less of each child."
        )
    if parts["by_one"]:
        said.append("All or nearly all of it was entered by one person.")
    return tuple(said)


def _entries(entered, held):
    if entered == held:
        return f"Every lesson has entries: {entered} of {held}."
    if not entered:
        return f"No lesson has entries: {entered} of {held}."
    return f"{_capital(portion(entered / held))} of the lessons have entries: {entered} of {held}."


def too_few_lessons(entered: int) -> str:
    return f"{spoken(entered, 'lesson')} with entries"


def too_little_of_them(entered: int, held: int) -> str:
    return f"entries for {entered} of {held} lessons only, so that too much was not seen"


def too_few_children() -> str:
    return "too few children"


def too_few_tries() -> str:
    return "too few tries"


def not_enough(name: str, missing: Sequence[str]) -> str:
    """Why nothing is said of what a studio's children can do."""
    return f"{name} has {joined(missing)}: no figure would be fair to its children."


# -- how strictly --------------------------------------------------------------------------------


def strictness_unknown(name: str) -> str:
    return (
        f"{name} and the others have too few tries in the same skills with the same spot to say how"
        " strictly it logs."
    )


def strictness(name: str, *, says: str | None, outcome: str, clean: float, by_one: bool) -> str:
    """How strictly a studio logs, and what may be behind it."""
    if says is None:
        return (
            f"{name} logs as the other studios do, as far as can be seen: for the same skills with"
            " the same spot the shares of clean differ by no more than chance alone gives or than"
            " matters."
        )
    word, less = f"“{OUTCOME[outcome]}”", round(100 * abs(clean))
    if says == "more":
        sentence = (
            f"{name} logs more {word} than the other studios for the same skills with the same"
            f" spot: of a hundred tries about {less} fewer are clean. The log alone cannot tell a"
            " stricter eye from children who are earlier on"
        )
    else:
        sentence = (
            f"{name} logs fewer {word} than the other studios for the same skills with the same"
            f" spot: of a hundred tries about {less} more are clean. The log alone cannot tell"
            " whether what was not clean was left out, the eye is milder, or the children are"
            " further on"
        )
    if by_one:
        return f"{sentence}; nearly all of it is one person's eye. Judge a few tries together."
    return f"{sentence}. Judge a few tries together."


# -- what explains a difference ------------------------------------------------------------------


def _explained(found: Explanation) -> list[str]:
    """What to think of before a share of what is reached."""
    said = []
    if found.without_entries:
        said.append(f"Entries are missing for {spoken(found.without_entries, 'lesson')}.")
    if found.says:
        said.append(
            f"It logs {found.says} tries as not clean for the same skills, and that alone makes"
            f" this {'lower' if found.says == 'more' else 'higher'}."
        )
    if found.others_differ:
        said.append("Another studio logs otherwise, and that alone moves what this stands beside.")
    if found.older:
        said.append(
            f"Its children are {_about_years(found.older)}"
            f" {'older' if found.older > 0 else 'younger'} than those of the others, which is"
            " allowed for."
        )
    if found.longer:
        said.append(
            f"They have been here {_about_years(found.longer)}"
            f" {'longer' if found.longer > 0 else 'less long'}, which is allowed for."
        )
    return said or [NOTHING_STANDS_OUT]


def _with(found: Explanation) -> str:
    """The same in a few words, before a time; nothing of it is allowed for there."""
    said = []
    if found.without_entries:
        said.append(f"no entries for {spoken(found.without_entries, 'lesson')}")
    if found.says:
        said.append(f"{found.says} tries logged as not clean")
    if found.older:
        side = "older" if found.older > 0 else "younger"
        said.append(f"children {_about_years(found.older)} {side}")
    if found.longer:
        side = "longer" if found.longer > 0 else "less long"
        said.append(f"children here {_about_years(found.longer)} {side}")
    return f"With {joined(said)}: " if said else ""


def _chance(found: Explanation, within: bool) -> str:
    if within:
        return WITHIN
    return f"{BEYOND}: {MAY_BE_LOGGING if found.says or found.others_differ else SEE}"


def _about_years(years):
    whole, half = divmod(round(2 * abs(years)), 2)
    if not whole:
        return "about half a year"
    if half:
        return f"about {number(whole)} and a half years"
    return "about a year" if whole == 1 else f"about {number(whole)} years"


# -- what is reached -----------------------------------------------------------------------------


def reached(
    explains: Explanation, *, share: float, low: float, high: float, within: bool, everywhere: float
) -> str:
    """What of the skills tried needs no spot, with its limits, beside all studios together."""
    least, most, here, all_ = (round(100 * one) for one in (low, high, share, everywhere))
    return (
        f"{' '.join(_explained(explains))} Of a hundred skills tried this term about {here} need"
        f" no spot (between {least} and {most}), in all studios together about {all_};"
        f" {_chance(explains, within)}."
    )


def allowed_for(slopes: Sequence[float], errors: Sequence[float]) -> tuple[str, ...]:
    """What the straight lines for age and for time at the school came to, each by its sentence."""
    told = []
    for name, who, slope, error in zip(
        ("Age", "Time at the school"),
        ("in children a year older", "in children who have been here a year longer"),
        slopes,
        errors,
        strict=True,
    ):
        said = "as far as chance lets one see it makes no difference"
        if abs(slope) > 2 * error and round(100 * slope):
            side = "more" if slope > 0 else "fewer"
            said = (
                f"of a hundred skills tried about {round(100 * abs(slope))} {side} need no spot"
                f" {who}"
            )
        told.append(f"{name} is allowed for by a straight line within studios: {said}.")
    return tuple(told)


# -- how long it takes ---------------------------------------------------------------------------


def time(
    explains: Explanation,
    *,
    median: float | None,
    low: float | None,
    high: float | None,
    within: bool,
) -> str:
    """By when half of those who began had a clean try with no spot; figures are weeks."""
    first = _with(explains)
    if median is None:
        said = "not yet half of those who began it have been seen clean with no spot"
    else:
        said = f"half of those who began it were seen clean with no spot {_by(median)}"
        if low is not None:
            said += f" ({_weeks(low)} {'or longer' if high is None else f'to {_weeks(high)}'})"
    return _capital(f"{first}{said}; {_chance(explains, within)}.")


def _by(weeks):
    return "at the first lesson with it" if round(weeks) == 0 else f"within {_weeks(weeks)}"


def _weeks(weeks):
    return "the first lesson" if round(weeks) == 0 else spoken(round(weeks), "week")


# -- how to read it ------------------------------------------------------------------------------


def heading(studios: int) -> str:
    return (
        f"{_capital(number(studios))} studios in alphabetical order. First how much and how"
        " strictly each one logs: that alone may be all that differs further down."
    )


def _capital(text):
    return text[:1].upper() + text[1:]
