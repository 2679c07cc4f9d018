"""What is on a sheet tells nothing about a mass beyond the groups themselves."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from planning.sheet import as_html, as_text
from planning.tonight import make_sheet
from tests.planning.build import (
    AGREED,
    FOUR,
    ON,
    PROPS,
    Pupil,
    clean,
    evening,
    pupils,
)

KNOWN = {"agreed": AGREED, "height_cm": 130.0, "height_on": ON}


def sheet(*children, masses=None, **asked):
    """Both forms, as bytes; `masses` are in kg by name."""
    tonight = evening(*children, **asked)
    known = masses or {}
    tonight = replace(
        tonight, here=tuple(replace(one, mass_kg=known.get(one.name)) for one in tonight.here)
    )
    made, _ = make_sheet(tonight, skills=("seat",))
    return as_text(made).encode(), as_html(made).encode()


def carries(masses, ratio=0.8):
    """Which pairs the rule of load lets stand, worked out by hand: flyer ≤ ratio × base."""
    return {
        (base, flyer)
        for base in masses
        for flyer in masses
        if base != flyer and masses[flyer] <= ratio * masses[base]
    }


LIMITS = {"Amara": 45.0, "Bao": 25.0, "Hana": 24.0, "Tariq": 46.0}


@pytest.mark.parametrize("name", FOUR)
@pytest.mark.parametrize("by", [-1.0, -0.1, 0.1, 1.0])
def test_another_mass_inside_the_same_decision_changes_no_byte(name, by):
    other = LIMITS | {name: LIMITS[name] + by}
    assert carries(other) == carries(LIMITS)
    four = pupils(*FOUR, tries=PROPS, **KNOWN)
    said = sheet(*four, masses=LIMITS)
    assert sheet(*four, masses=other) == said
    assert b"Group 2" in said[0]


@given(st.fixed_dictionaries(dict.fromkeys(FOUR, st.integers(15, 70))))
def test_a_class_all_of_whom_have_twice_the_mass_reads_the_same(masses):
    """The same pairs stand, whatever they are: the rule knows no more than a ratio."""
    four = pupils(*FOUR, tries=PROPS, **KNOWN)
    double = {name: 2 * mass for name, mass in masses.items()}
    assert sheet(*four, masses=double) == sheet(*four, masses=masses)


# One can only be base and one only flyer, so that knowing more leaves the same pair.
BASE = Pupil("Amara", (*clean("table"), *clean("stop_word", role="partner")), **KNOWN)
FLYER = Pupil("Bao", (*clean("tight"), *clean("stop_word", role="partner")), **KNOWN)


@pytest.mark.parametrize(
    "masses",
    [
        {"Amara": 40.0, "Bao": 32.0},  # at the limit
        {"Amara": 60.0, "Bao": 20.0},
        {"Amara": 40.0},
        {"Bao": 25.0},
    ],
)
@pytest.mark.parametrize("said_yes", [(), [("Amara", "Bao")]])
def test_a_pair_within_the_limit_reads_as_one_of_which_nothing_is_known(masses, said_yes):
    unknown = sheet(BASE, FLYER, pairs_ok=said_yes)
    assert b"base Amara; flyer Bao" in unknown[0]
    assert sheet(BASE, FLYER, masses=masses, pairs_ok=said_yes) == unknown


def test_a_pair_above_the_limit_is_not_proposed_and_nobody_is_told_why():
    text, _ = sheet(BASE, FLYER, masses={"Amara": 40.0, "Bao": 32.1})
    assert b"Group 1" not in text
    tall, _ = sheet(BASE, replace(FLYER, height_cm=135.1))
    assert text == tall


def test_a_yes_for_the_pair_is_stronger_than_what_is_known():
    asked = {"pairs_ok": [("Amara", "Bao")]}
    above = sheet(BASE, FLYER, masses={"Amara": 40.0, "Bao": 40.0}, **asked)
    assert above == sheet(BASE, FLYER, **asked)


def test_what_stays_on_the_floor_takes_no_notice_of_a_mass():
    two = pupils("Amara", "Bao", tries=PROPS, **KNOWN)

    def props(*masses):
        tonight = evening(*two)
        here = zip(tonight.here, masses, strict=True)
        tonight = replace(tonight, here=tuple(replace(one, mass_kg=kg) for one, kg in here))
        return as_text(make_sheet(tonight, skills=("chest_rest", "lean"))[0])

    assert props(20.0, 90.0) == props(90.0, 20.0) == props(None, 50.0) == props(None, None)
