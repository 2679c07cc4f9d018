import csv
import math
from datetime import date
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.growth import (
    CUT_OFFS,
    SEXES,
    Lms,
    OutsideTable,
    age_months,
    measurement_at,
    modified_z_score,
    reference,
    z_score,
)

FACTS = Path(__file__).parent / "facts"
TABLE = Path(__file__).parents[2] / "engine" / "data" / "lms_cdc2000_halfmonth.csv"

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
    asked = np.linspace(24, 240, 433 * 3)
    columns = ([float(row[f"{measure}_{letter}"]) for row in table] for letter in "LMS")
    expected = np.transpose([np.interp(asked, ages, column) for column in columns])
    found = [reference(measure, sex, age) for age in asked]
    np.testing.assert_allclose(found, expected, rtol=1e-12, atol=0)


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
