"""Is a height or a mass plausible as typed? A question about units and typing, nothing else.

Method and cut-offs are those that the US Centers for Disease Control and Prevention publish with
the 2000 growth charts (its SAS program and the page on modified z-scores); the table is
`data/lms_cdc2000_halfmonth.csv`. Sex is not held, so a figure is questioned only when it is
beyond the cut-offs of both tables.
"""

import csv
import math
from bisect import bisect_right
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from enum import Enum
from functools import cache
from pathlib import Path
from typing import Literal, NamedTuple

Sex = Literal["F", "M"]
Measure = Literal["height", "weight", "bmi"]

SEXES: tuple[Sex, ...] = ("F", "M")
YOUNGEST_MONTHS, OLDEST_MONTHS = 24.0, 240.0

# Modified z-scores beyond these are implausible. Upper ends as raised in 2016.
CUT_OFFS: dict[Measure, tuple[float, float]] = {
    "height": (-5.0, 4.0),
    "weight": (-5.0, 8.0),
    "bmi": (-4.0, 8.0),
}
# The cut-offs miss most masses typed in pounds. Of 2,543 children of a US survey (NHANES
# 2009-12) mass / (median BMI x height^2) above 1.8 catches 98 % of them and asks 3 % of the
# others; below 0.75 are 0.2 % of the others.
RATIO_LOW, RATIO_HIGH = 0.75, 1.8

# Common practice, no published source.
SHRINKING_CM = 1.0
GROWING_CM_PER_YEAR = 12.0
MEASURING_CM = 1.0  # two careful measurements of one child differ by as much

CM_PER_INCH = 2.54
KG_PER_POUND = 0.45359237
KG_PER_STONE = 6.35029318
DAYS_PER_YEAR = 365.25


class OutsideTable(Enum):
    """An age for which there is no reference."""

    YOUNGER = "under 2 years"
    OLDER = "over 20 years"


class Lms(NamedTuple):
    """Box-Cox power, median and coefficient of variation of a measure at one age."""

    l: float  # noqa: E741  # the method's own letter
    m: float
    s: float


@dataclass(frozen=True)
class Measured:
    """A height of before: centimetres, and the day on which it was measured."""

    height_cm: float
    on: date


class _Reading(NamedTuple):
    """What may have been meant: the slip, the words for it, and the figures it makes."""

    slip: str
    words: str
    height_cm: float
    mass_kg: float | None


@dataclass(frozen=True)
class Question:
    """What to ask before an entry is taken.

    field: `height`, `mass` or `birth_month`. slip: a word for the likely slip. sentence: the
    question, ready to be shown to whoever typed the entry.
    """

    field: str
    slip: str
    sentence: str


# -- the LMS method ------------------------------------------------------------------------------


def z_score(x: float, lms: Lms) -> float:
    """Standard deviations from the median, for x > 0.

    z = ((x/M)^L - 1)/(L S), and ln(x/M)/S where |L| < 0.01.
    """
    if abs(lms.l) < 0.01:
        return math.log(x / lms.m) / lms.s
    return float(((x / lms.m) ** lms.l - 1) / (lms.l * lms.s))


def measurement_at(z: float, lms: Lms) -> float:
    """The inverse of `z_score`: M (1 + L S z)^(1/L), and M exp(S z) where |L| < 0.01.

    Raises `ValueError` where the distribution ends before z.
    """
    if abs(lms.l) < 0.01:
        return lms.m * math.exp(lms.s * z)
    base = 1 + lms.l * lms.s * z
    if base <= 0:
        raise ValueError(f"no measurement has a z-score of {z:g} here")
    return float(lms.m * base ** (1 / lms.l))


def modified_z_score(x: float, lms: Lms) -> float:
    """The distance from the median in halves of the distance to the +2 or -2 SD value.

    For any x; unlike the z-score it goes on growing far from the median.
    """
    end = measurement_at(2.0 if x >= lms.m else -2.0, lms)
    return 2 * (x - lms.m) / abs(end - lms.m)


def reference(measure: Measure, sex: Sex, age_months: float) -> Lms | OutsideTable:
    """L, M and S at an age, linear between the table's rows (24.5, 25.5, … 239.5, 240).

    From 24 months to 24.5 the first row holds. Height in cm, weight in kg, BMI in kg/m^2.
    """
    if age_months < YOUNGEST_MONTHS:
        return OutsideTable.YOUNGER
    if age_months > OLDEST_MONTHS:
        return OutsideTable.OLDER
    ages, rows = _table()[sex, measure]
    after = bisect_right(ages, age_months)
    if after == 0:
        return rows[0]
    if after == len(ages):
        return rows[-1]
    share = (age_months - ages[after - 1]) / (ages[after] - ages[after - 1])
    return Lms(*(a + share * (b - a) for a, b in zip(rows[after - 1], rows[after], strict=True)))


@cache
def _table() -> dict[tuple[str, str], tuple[list[float], list[Lms]]]:
    path = Path(__file__).parent / "data" / "lms_cdc2000_halfmonth.csv"
    table: dict[tuple[str, str], tuple[list[float], list[Lms]]] = {}
    with path.open(encoding="ascii", newline="") as file:
        for row in csv.DictReader(file):
            for measure in CUT_OFFS:
                ages, rows = table.setdefault((row["sex"], measure), ([], []))
                ages.append(float(row["age_months"]))
                rows.append(Lms(*(float(row[f"{measure}_{letter}"]) for letter in "LMS")))
    return table


def age_months(birth_year: int, birth_month: int, on: date) -> float:
    """Age in months when only the month of birth is known: whole months, and half a month.

    Below 0 for a day before the month of birth.
    """
    return 12 * (on.year - birth_year) + on.month - birth_month + 0.5


# -- questions -----------------------------------------------------------------------------------


def question(
    height_cm: float,
    mass_kg: float | None,
    birth_year: int,
    birth_month: int,
    on: date,
    *,
    previous: Measured | None = None,
) -> Question | None:
    """What to ask about a height, and a mass if there is one, as typed; None when plausible.

    `on` is the day of measuring. Raises `ValueError` for a figure that is not above 0 or not
    finite: that is no measurement at all.
    """
    for figure in (height_cm, mass_kg):
        if figure is not None and not 0 < figure < math.inf:
            raise ValueError("a measurement should be a finite number above 0")
    age = age_months(birth_year, birth_month, on)
    if isinstance(outside := reference("height", "F", age), OutsideTable):
        return Question(
            "birth_month",
            "age_outside_table",
            f"The birth month makes an age {outside.value}, for which heights cannot be checked: "
            "are its year and month as meant?",
        )
    field = _implausible(height_cm, mass_kg, age)
    if field is not None:
        return _likely_slip(field, height_cm, mass_kg, age)
    if previous is not None:
        return _change(height_cm, on, previous)
    return None


def _implausible(
    height_cm: float, mass_kg: float | None, age_months: float
) -> Literal["height", "mass"] | None:
    """Which of the two figures is beyond the cut-offs of both sexes at an age within the table.

    A mass is also beyond them when it is so for its height, by BMI or by the ratio to what the
    median BMI makes of that height.
    """
    if _beyond("height", height_cm, age_months):
        return "height"
    if mass_kg is None:
        return None
    bmi = mass_kg / (height_cm / 100) ** 2
    ratios = [bmi / lms.m for lms in _both("bmi", age_months)]
    if (
        _beyond("weight", mass_kg, age_months)
        or _beyond("bmi", bmi, age_months)
        or max(ratios) < RATIO_LOW
        or min(ratios) > RATIO_HIGH
    ):
        return "mass"
    return None


def _beyond(measure: Measure, x: float, age_months: float) -> bool:
    low, high = CUT_OFFS[measure]
    scores = [modified_z_score(x, lms) for lms in _both(measure, age_months)]
    return max(scores) < low or min(scores) > high


def _both(measure: Measure, age_months: float) -> list[Lms]:
    return [lms for sex in SEXES if isinstance(lms := reference(measure, sex, age_months), Lms)]


def _likely_slip(
    field: str, height_cm: float, mass_kg: float | None, age_months: float
) -> Question:
    """The question that names the reading nearest to the medians, of those that are plausible."""
    readings = [
        reading
        for reading in _readings(height_cm, mass_kg)
        if _implausible(reading.height_cm, reading.mass_kg, age_months) is None
    ]
    if not readings:
        typed = f"Height {height_cm:g} cm" if field == "height" else f"Mass {mass_kg:g} kg"
        sentence = f"{typed}: are its figure, its unit and the birth month as meant?"
        return Question(field, "unclear", sentence)
    best = min(readings, key=lambda it: _distance(it.height_cm, it.mass_kg, age_months))
    was, would_be = [], []
    if best.height_cm != height_cm:
        was.append(f"height {height_cm:g} cm")
        would_be.append(f"{best.height_cm:.1f} cm")
    if best.mass_kg != mass_kg:
        was.append(f"mass {mass_kg:g} kg")
        would_be.append(f"{best.mass_kg:.1f} kg")
    sentence = f"{' and '.join(was)}: {best.words} ({', '.join(would_be)})?"
    field = "mass" if best.height_cm == height_cm else "height"
    return Question(field, best.slip, sentence[0].upper() + sentence[1:])


def _distance(height_cm: float, mass_kg: float | None, age_months: float) -> float:
    def off(measure: Measure, x: float) -> float:
        return min(abs(math.log(x / lms.m)) for lms in _both(measure, age_months))

    distance = off("height", height_cm)
    if mass_kg is not None:
        distance += off("bmi", mass_kg / (height_cm / 100) ** 2)
    return distance


def _readings(height_cm: float, mass_kg: float | None) -> Iterator[_Reading]:
    point = "is the decimal point misplaced"
    yield _Reading("inches", "were inches meant", height_cm * CM_PER_INCH, mass_kg)
    yield _Reading("metres", "were metres meant", height_cm * 100, mass_kg)
    yield _Reading("tenfold", point, height_cm / 10, mass_kg)
    yield _Reading("tenth", point, height_cm * 10, mass_kg)
    if 10 <= height_cm < 100:
        yield _Reading("leading_1", "is a leading 1 missing", height_cm + 100, mass_kg)
    if mass_kg is None:
        return
    yield _Reading("pounds", "were pounds meant", height_cm, mass_kg * KG_PER_POUND)
    yield _Reading("stones", "were stones meant", height_cm, mass_kg * KG_PER_STONE)
    yield _Reading("tenfold", point, height_cm, mass_kg / 10)
    yield _Reading("tenth", point, height_cm, mass_kg * 10)
    yield _Reading("swapped", "are the two fields swapped", mass_kg, height_cm)
    yield _Reading(
        "inches_and_pounds",
        "were inches and pounds meant",
        height_cm * CM_PER_INCH,
        mass_kg * KG_PER_POUND,
    )


def _change(height_cm: float, on: date, previous: Measured) -> Question | None:
    days = (on - previous.on).days
    grown_cm = height_cm - previous.height_cm if days > 0 else previous.height_cm - height_cm
    most_cm = GROWING_CM_PER_YEAR * abs(days) / DAYS_PER_YEAR + MEASURING_CM
    if days == 0 or -SHRINKING_CM <= grown_cm <= most_cm:
        return None
    return Question(
        "height",
        "unlike_before",
        f"Height {height_cm:g} cm, and {previous.height_cm:g} cm on {previous.on}: "
        "are both in centimetres and in the right row?",
    )
