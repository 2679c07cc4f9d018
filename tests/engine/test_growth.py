import csv
import math
import re
from dataclasses import FrozenInstanceError
from datetime import date, timedelta
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.growth import (
    CUT_OFFS,
    SEXES,
    Lms,
    Measured,
    OutsideTable,
    Question,
    age_months,
    measurement_at,
    modified_z_score,
    question,
    reference,
    z_score,
)

FACTS = Path(__file__).parent / "facts"
TABLE = Path(__file__).parents[2] / "engine" / "data" / "lms_cdc2000_halfmonth.csv"

ON = date(2026, 3, 2)
MEASURES = tuple(CUT_OFFS)
AGES = st.floats(24, 240)


def rows(path):
    with path.open(newline="") as file:
        return list(csv.DictReader(file))


CHECKS = rows(FACTS / "growth_check_values.csv")


def name(check):
    return f"{check['sex']}-{check['age_months']}-{check['height_cm']}-{check['weight_kg']}"


def figures(check):
    height, mass = float(check["height_cm"]), float(check["weight_kg"])
    return {"height": height, "weight": mass, "bmi": mass / (height / 100) ** 2}


def asked(height_cm, mass_kg=None, *, months, previous=None):
    """The question about an entry of somebody so many whole months old on `ON`."""
    year, month = divmod(12 * ON.year + ON.month - 1 - months, 12)
    return question(height_cm, mass_kg, year, month + 1, ON, previous=previous)


# -- against values from outside -----------------------------------------------------------------


@pytest.mark.parametrize("check", CHECKS, ids=name)
def test_z_scores_are_the_published_methods(check):
    # Source of the values: facts/README.md. They have four decimals.
    for measure, column in (("height", "haz"), ("weight", "waz"), ("bmi", "baz")):
        lms = reference(measure, check["sex"], float(check["age_months"]))
        x = figures(check)[measure]
        assert z_score(x, lms) == pytest.approx(float(check[f"cdc_{column}"]), abs=5.1e-5)
        assert modified_z_score(x, lms) == pytest.approx(
            float(check[f"cdc_mod_{column}"]), abs=5.1e-5
        )
        low, high = CUT_OFFS[measure]
        modified = modified_z_score(x, lms)
        assert (modified > high) - (modified < low) == int(check[f"cdc_flag_{column}"])


@pytest.mark.parametrize("check", CHECKS, ids=name)
def test_z_scores_are_those_of_the_reference_library(check):
    # Stored output of rcpchgrowth 4.6.5, see facts/README.md; from the 95th centile of BMI
    # (z = 1.645) upwards it follows another method.
    for measure, column in (("height", "haz"), ("weight", "waz"), ("bmi", "baz")):
        z = z_score(
            figures(check)[measure],
            reference(measure, check["sex"], float(check["age_months"])),
        )
        if measure != "bmi" or z < 1.645:
            assert z == pytest.approx(float(check[f"rcpch_cdc_{column}"]), abs=5.1e-5)


def test_the_check_values_are_all_there():
    assert len(CHECKS) == 24
    assert sum(check["cdc_flag_haz"] != "0" for check in CHECKS) == 2


@pytest.mark.parametrize("check", CHECKS, ids=name)
def test_the_ratio_is_that_of_the_check_values(check):
    lms = reference("bmi", check["sex"], float(check["age_months"]))
    ratio = figures(check)["bmi"] / lms.m
    assert ratio == pytest.approx(float(check["weight_over_est"]), rel=2e-3)


def test_the_worked_example_of_the_method():
    # Seen in CDC's text on modified z-scores, with what it prints; see facts/README.md.
    girl = Lms(-2.18, 20.76, 0.148)
    assert z_score(33, girl) == pytest.approx(1.97, abs=0.005)
    assert z_score(333, girl) == pytest.approx(3.1, abs=0.05)
    assert modified_z_score(333, girl) == pytest.approx(312.24 / 6.32, abs=0.05)
    assert measurement_at(2, girl) == pytest.approx(33.40, abs=0.005)
    assert measurement_at(-2, girl) == pytest.approx(16.52, abs=0.005)
    assert modified_z_score(12, girl) == pytest.approx(-4.1, abs=0.05)


def test_a_girl_of_200_months_is_read_at_200_and_a_half():
    l, m, s = reference("bmi", "F", age_months(2000, 1, date(2016, 9, 30)))  # noqa: E741
    assert (round(l, 2), round(m, 2), round(s, 3)) == (-2.18, 20.76, 0.148)


def test_the_worked_example_of_a_boy():
    # Seen on a summary of the same text.
    boy = reference("bmi", "M", 48.5)
    assert measurement_at(-2, boy) == pytest.approx(13.74, abs=0.005)
    assert modified_z_score(12, boy) == pytest.approx(-3.85, abs=0.0005)


@pytest.mark.parametrize("measure", MEASURES)
@pytest.mark.parametrize("sex", SEXES)
def test_between_rows_the_table_is_linear(measure, sex):
    # numpy.interp as the reference.
    table = [row for row in rows(TABLE) if row["sex"] == sex]
    ages = [float(row["age_months"]) for row in table]
    assert (ages[0], ages[-1], len(ages)) == (24.5, 240.0, 217)
    for age in np.linspace(24, 240, 433 * 3):
        expected = [
            np.interp(age, ages, [float(row[f"{measure}_{letter}"]) for row in table])
            for letter in "LMS"
        ]
        assert reference(measure, sex, age) == pytest.approx(expected, rel=1e-12)


def test_the_first_row_holds_down_to_two_years():
    assert reference("height", "F", 24.0) == (1.051272912, 85.3973169, 0.040859727)
    assert reference("height", "F", 24.5) == (1.051272912, 85.3973169, 0.040859727)


@pytest.mark.parametrize("measure", MEASURES)
@pytest.mark.parametrize("sex", SEXES)
def test_ages_outside_the_table_have_a_name(measure, sex):
    assert reference(measure, sex, 23.999) is OutsideTable.YOUNGER
    assert isinstance(reference(measure, sex, 24), Lms)
    assert isinstance(reference(measure, sex, 240), Lms)
    assert reference(measure, sex, 240.001) is OutsideTable.OLDER


# -- the method ----------------------------------------------------------------------------------


def test_below_a_hundredth_the_power_counts_as_none():
    logarithm = math.log(1.2) / 0.1
    assert z_score(12, Lms(0.0, 10, 0.1)) == pytest.approx(logarithm, rel=1e-15)
    assert z_score(12, Lms(0.00999, 10, 0.1)) == pytest.approx(logarithm, rel=1e-15)
    assert z_score(12, Lms(-0.00999, 10, 0.1)) == pytest.approx(logarithm, rel=1e-15)
    assert z_score(12, Lms(0.01, 10, 0.1)) == (1.2**0.01 - 1) / (0.01 * 0.1)
    assert z_score(12, Lms(-0.01, 10, 0.1)) == (1.2**-0.01 - 1) / (-0.01 * 0.1)
    assert measurement_at(2, Lms(0.00999, 10, 0.1)) == 10 * math.exp(0.2)
    assert measurement_at(2, Lms(-0.00999, 10, 0.1)) == 10 * math.exp(0.2)
    assert measurement_at(2, Lms(0.01, 10, 0.1)) == 10 * (1 + 0.01 * 0.1 * 2) ** (1 / 0.01)
    assert measurement_at(2, Lms(-0.01, 10, 0.1)) == 10 * (1 - 0.01 * 0.1 * 2) ** (1 / -0.01)


def test_where_the_distribution_ends_there_is_no_measurement():
    # L S z = -1: the end itself.
    with pytest.raises(ValueError, match=r"^no measurement has a z-score of -4 here$"):
        measurement_at(-4, Lms(0.5, 10, 0.5))
    assert measurement_at(-3, Lms(0.5, 10, 0.5)) == 10 * 0.25**2


@given(
    sex=st.sampled_from(SEXES),
    measure=st.sampled_from(MEASURES),
    age=AGES,
    share=st.floats(0.4, 2.5),
)
def test_the_inverse_gives_the_measurement_back(sex, measure, age, share):
    lms = reference(measure, sex, age)
    x = share * lms.m
    assert measurement_at(z_score(x, lms), lms) == pytest.approx(x, rel=1e-9)


@given(sex=st.sampled_from(SEXES), measure=st.sampled_from(MEASURES), age=AGES)
def test_the_modified_z_score_agrees_at_the_median_and_two_deviations(sex, measure, age):
    lms = reference(measure, sex, age)
    assert modified_z_score(lms.m, lms) == 0
    for z in (-2.0, 2.0):
        assert modified_z_score(measurement_at(z, lms), lms) == pytest.approx(z, rel=1e-12)
    upper = (measurement_at(2, lms) - lms.m) / 2
    assert modified_z_score(lms.m + 10 * upper, lms) == pytest.approx(10, rel=1e-12)
    lower = (lms.m - measurement_at(-2, lms)) / 2
    assert modified_z_score(lms.m - 3 * lower, lms) == pytest.approx(-3, rel=1e-12)


@pytest.mark.parametrize(
    ("born", "on", "months"),
    [
        ((2016, 3), date(2026, 3, 1), 120.5),
        ((2016, 3), date(2026, 3, 31), 120.5),
        ((2016, 4), date(2026, 3, 31), 119.5),
        ((2016, 12), date(2017, 1, 1), 1.5),
        ((2026, 4), date(2026, 3, 31), -0.5),
    ],
)
def test_age_counts_whole_months_and_half_a_month(born, on, months):
    assert age_months(*born, on) == months


# -- questions -----------------------------------------------------------------------------------


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
