import math
import re
from dataclasses import FrozenInstanceError
from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.growth import (
    SEXES,
    Measured,
    Question,
    measurement_at,
    question,
    reference,
)
from tests.engine.test_growth import CHECKS, name

ON = date(2026, 3, 2)


def asked(height_cm, mass_kg=None, *, months, previous=None):
    """The question about an entry of somebody so many whole months old on `ON`."""
    year, month = divmod(12 * ON.year + ON.month - 1 - months, 12)
    return question(height_cm, mass_kg, year, month + 1, ON, previous=previous)


@pytest.mark.parametrize("check", CHECKS, ids=name)
def test_the_check_values_are_questioned_only_where_they_hold_a_slip(check):
    expected = {
        ("133.0", "65.0"): ("mass", "pounds"),
        ("138.5", "72.8"): ("mass", "pounds"),
        ("52.4", "29.5"): ("height", "inches"),
        ("1.385", "33.0"): ("height", "metres"),
        ("138.5", "5.2"): ("mass", "stones"),
    }.get((check["height_cm"], check["weight_kg"]))
    found = asked(
        float(check["height_cm"]),
        float(check["weight_kg"]),
        months=int(float(check["age_months"]) - 0.5),
    )
    assert (found and (found.field, found.slip)) == expected


@pytest.mark.parametrize(
    ("height", "mass", "months", "expected"),
    [
        (52.4, None, 108, ("height", "inches", "Height 52.4 cm: were inches meant (133.1 cm)?")),
        (1.33, None, 108, ("height", "metres", "Height 1.33 cm: were metres meant (133.0 cm)?")),
        (
            1330,
            None,
            108,
            ("height", "tenfold", "Height 1330 cm: is the decimal point misplaced (133.0 cm)?"),
        ),
        (
            13.3,
            None,
            108,
            ("height", "tenth", "Height 13.3 cm: is the decimal point misplaced (133.0 cm)?"),
        ),
        (
            33,
            None,
            108,
            ("height", "leading_1", "Height 33 cm: is a leading 1 missing (133.0 cm)?"),
        ),
        (133, 65, 108, ("mass", "pounds", "Mass 65 kg: were pounds meant (29.5 kg)?")),
        (133, 4.65, 108, ("mass", "stones", "Mass 4.65 kg: were stones meant (29.5 kg)?")),
        (
            133,
            295,
            108,
            ("mass", "tenfold", "Mass 295 kg: is the decimal point misplaced (29.5 kg)?"),
        ),
        (
            133,
            2.95,
            108,
            ("mass", "tenth", "Mass 2.95 kg: is the decimal point misplaced (29.5 kg)?"),
        ),
        (
            29.5,
            133,
            108,
            (
                "height",
                "swapped",
                "Height 29.5 cm and mass 133 kg: are the two fields swapped (133.0 cm, 29.5 kg)?",
            ),
        ),
        (
            52.4,
            65,
            108,
            (
                "height",
                "inches_and_pounds",
                "Height 52.4 cm and mass 65 kg: were inches and pounds meant (133.1 cm, 29.5 kg)?",
            ),
        ),
        (
            230,
            None,
            108,
            (
                "height",
                "unclear",
                "Height 230 cm: are its figure, its unit and the birth month as meant?",
            ),
        ),
        (
            133,
            15,
            108,
            (
                "mass",
                "unclear",
                "Mass 15 kg: are its figure, its unit and the birth month as meant?",
            ),
        ),
    ],
)
def test_the_likely_slip_is_named(height, mass, months, expected):
    assert asked(height, mass, months=months) == Question(*expected)


def test_a_leading_1_is_missed_in_two_digits_only():
    assert asked(10, months=60).slip == "leading_1"
    assert asked(9.99, months=60).slip == "tenth"
    # At 18 years 202 cm is plausible for one of the two tables.
    assert asked(99.9, months=216) == Question(
        "height", "leading_1", "Height 99.9 cm: is a leading 1 missing (199.9 cm)?"
    )
    assert asked(100, months=216).slip == "unclear"


def test_a_plausible_entry_is_not_questioned():
    assert asked(133, months=108) is None
    assert asked(133, 29.5, months=108) is None


@given(months=st.integers(24, 239), sex=st.sampled_from(SEXES), z=st.floats(-2.5, 2.5))
def test_an_ordinary_height_is_never_questioned(months, sex, z):
    assert asked(measurement_at(z, reference("height", sex, months + 0.5)), months=months) is None


@given(months=st.integers(24, 239), sex=st.sampled_from(SEXES), z=st.floats(-2.5, 2.5))
def test_metres_are_always_named(months, sex, z):
    height = measurement_at(z, reference("height", sex, months + 0.5))
    assert asked(height / 100, months=months).slip == "metres"


@given(months=st.integers(24, 239), sex=st.sampled_from(SEXES), z=st.floats(-2.5, 2.5))
def test_inches_are_always_named_unless_a_leading_1_lies_nearer(months, sex, z):
    height = measurement_at(z, reference("height", sex, months + 0.5))
    found = asked(height / 2.54, months=months)
    assert found.field == "height"
    assert found.slip in {"inches", "leading_1"}


def at(modified, lms):
    """The figure with this modified z-score."""
    end = measurement_at(math.copysign(2, modified), lms)
    return lms.m + modified / 2 * abs(end - lms.m)


def ends(measure, months):
    """The least and the greatest figure within the cut-offs of one table or the other."""
    tables = [reference(measure, sex, months + 0.5) for sex in SEXES]
    low, high = {"height": (-5, 4), "weight": (-5, 8), "bmi": (-4, 8)}[measure]
    return min(at(low, lms) for lms in tables), max(at(high, lms) for lms in tables)


@pytest.mark.parametrize("months", [24, 60, 108, 150, 200, 239])
def test_a_height_is_questioned_beyond_both_tables_only(months):
    least, most = ends("height", months)
    assert asked(least + 1e-6, months=months) is None
    assert asked(least - 1e-6, months=months).field == "height"
    assert asked(most - 1e-6, months=months) is None
    assert asked(most + 1e-6, months=months).field == "height"


@pytest.mark.parametrize("months", [60, 108, 150, 200])
def test_a_mass_is_questioned_beyond_the_ratio_of_both_tables_only(months):
    medians = [reference("bmi", sex, months + 0.5).m for sex in SEXES]
    height = reference("height", "F", months + 0.5).m
    least = 0.75 * min(medians) * (height / 100) ** 2
    most = 1.8 * max(medians) * (height / 100) ** 2
    assert asked(height, most - 1e-6, months=months) is None
    assert asked(height, most + 1e-6, months=months).field == "mass"
    assert asked(height, least + 1e-6, months=months) is None
    assert asked(height, least - 1e-6, months=months).field == "mass"


def test_a_mass_is_questioned_beyond_the_cut_offs_of_bmi():
    # At 48 months they are narrower than the ratio below, at 30 months above.
    least, _ = ends("bmi", 48)
    assert asked(100, least + 1e-6, months=48) is None
    assert asked(100, least - 1e-6, months=48).field == "mass"
    _, most = (bmi * 0.95**2 for bmi in ends("bmi", 30))
    assert asked(95, most - 1e-6, months=30) is None
    assert asked(95, most + 1e-6, months=30).field == "mass"


def test_a_mass_is_questioned_beyond_the_cut_offs_of_weight():
    # Near the ends of the heights of that age they are narrower than the others.
    least, _ = ends("weight", 30)
    assert asked(72, least + 1e-6, months=30) is None
    assert asked(72, least - 1e-6, months=30).field == "mass"
    _, most = ends("weight", 24)
    assert asked(100, most - 1e-6, months=24) is None
    assert asked(100, most + 1e-6, months=24).field == "mass"


def test_the_nearest_plausible_reading_is_named():
    # 45 is 114 cm in inches and 145 cm with a leading 1.
    assert asked(45, months=60).slip == "inches"
    assert asked(45, months=132).slip == "leading_1"
    # Where both are plausible the nearer to the medians counts: 128 cm at 8 years.
    assert asked(46, months=90).slip == "inches"
    assert asked(46, months=114).slip == "leading_1"


def test_a_mass_helps_to_tell_the_reading_of_a_height():
    # 47 is 119.4 cm in inches or 147 cm with a leading 1.
    assert asked(47, 22.0, months=104).slip == "inches"
    assert asked(47, 38.0, months=104).slip == "leading_1"
    # The BMI alone would be nearer with a leading 1 (off by a factor of 1.22, not 1.24).
    assert asked(47, 28.3, months=104).slip == "inches"


@pytest.mark.parametrize("height", [52.4, 1.33, 1330, 13.3, 33])
def test_a_sound_mass_does_not_change_the_question_about_a_height(height):
    assert asked(height, 29.5, months=108) == asked(height, months=108)


@pytest.mark.parametrize(
    ("months", "age"),
    [(23, "under 2 years"), (-1, "under 2 years"), (240, "over 20 years"), (400, "over 20 years")],
)
def test_an_age_outside_the_table_is_asked_about(months, age):
    assert asked(133, 29.5, months=months) == Question(
        "birth_month",
        "age_outside_table",
        f"The birth month makes an age {age}, for which heights cannot be checked: "
        "are its year and month as meant?",
    )


def test_the_table_serves_from_24_to_239_whole_months():
    assert asked(86, months=24) is None
    assert asked(170, months=239) is None


@pytest.mark.parametrize("figure", [0, -1, -133, math.inf, -math.inf, math.nan])
def test_what_is_no_measurement_is_refused(figure):
    with pytest.raises(ValueError, match=r"^a measurement should be a finite number above 0$"):
        asked(figure, months=108)
    with pytest.raises(ValueError, match=r"^a measurement should be a finite number above 0$"):
        asked(133, figure, months=108)


@pytest.mark.parametrize("height", [5e-324, 1e-300, 0.5, 1e300])
@pytest.mark.parametrize("mass", [None, 5e-324, 0.5, 1e300])
def test_absurd_figures_are_questions_too(height, mass):
    assert isinstance(asked(height, mass, months=108), Question)


# -- against a height of before ------------------------------------------------------------------


def compared(height_cm, before_cm, *, days):
    return asked(height_cm, months=108, previous=Measured(before_cm, ON - timedelta(days)))


def test_a_height_unlike_the_one_before_is_asked_about():
    assert compared(131, 134, days=56) == Question(
        "height",
        "unlike_before",
        "Height 131 cm, and 134 cm on 2026-01-05: are both in centimetres and in the right row?",
    )


@pytest.mark.parametrize(
    ("grown_cm", "days", "questioned"),
    [
        (-1.0, 100, False),
        (-1.125, 100, True),
        (-1.125, 1, True),
        (-1.03125, 1, True),
        (0, 1, False),
        (3, 90, False),
        # 12 cm a year, and 1 cm for measuring: 487 days are four thirds of a year of 365.25.
        (17.0, 487, False),
        (17.0, 486, True),
        (17.125, 487, True),
    ],
)
def test_how_much_change_is_too_much(grown_cm, days, questioned):
    # Common practice, no published source.
    assert (compared(125 + grown_cm, 125, days=days) is not None) is questioned
    # The later height was typed first: the same two heights, the same question.
    assert (compared(125, 125 + grown_cm, days=-days) is not None) is questioned


def test_a_second_entry_of_the_same_day_corrects_the_first():
    assert compared(133, 143, days=0) is None
    assert compared(143, 133, days=0) is None


def test_the_table_is_asked_before_the_height_of_before():
    assert compared(52.4, 133, days=100).slip == "inches"


# -- wording -------------------------------------------------------------------------------------

BODIES = re.compile(
    r"\b(child|she|her|he|his|weigh\w*|heavy|heavier|light|lighter|fat|thin|big|bigger|small|"
    r"smaller|tall|taller|short|shorter|over|normal|healthy|bmi|percentile|centile)\b",
    re.IGNORECASE,
)


@given(
    height=st.floats(0.1, 3000),
    mass=st.none() | st.floats(0.1, 3000),
    months=st.integers(24, 239),
    before=st.none() | st.floats(50, 200),
)
def test_a_question_is_about_units_and_typing(height, mass, months, before):
    previous = before and Measured(before, ON - timedelta(100))
    found = asked(height, mass, months=months, previous=previous)
    if found is not None:
        assert found.field in {"height", "mass"}
        assert found.sentence.endswith("?")
        assert "\n" not in found.sentence
        assert not BODIES.search(found.sentence)
        if mass is None:
            assert " kg" not in found.sentence


def test_answers_are_frozen():
    with pytest.raises(FrozenInstanceError):
        asked(52.4, months=108).slip = "none"
