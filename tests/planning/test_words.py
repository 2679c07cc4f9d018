from datetime import date, timedelta

import pytest

from curriculum.models import LOADS, ROLES
from engine.readiness.parameters import HELP, OUTCOMES, SPOTS
from planning import words

TONIGHT = date(2026, 3, 10)


def test_a_day_is_said_without_zeros():
    assert words.day(date(2026, 5, 3)) == "3 May"
    assert words.long_day(TONIGHT) == "Tuesday 10 March 2026"


@pytest.mark.parametrize(
    ("n", "said"), [(0, "no"), (1, "one"), (10, "ten"), (11, "11"), (-1, "-1"), (140, "140")]
)
def test_small_numbers_are_words(n, said):
    assert words.number(n) == said


def test_one_and_many():
    assert words.spoken(1, "week") == "one week"
    assert words.spoken(2, "week") == "two weeks"
    assert words.spoken(0, "adult") == "no adults"
    assert words.spoken(1, "try", "tries") == "one try"
    assert words.spoken(12, "try", "tries") == "12 tries"


@pytest.mark.parametrize(
    ("items", "said"),
    [
        ([], ""),
        (["Bao"], "Bao"),
        (["Bao", "Hana"], "Bao and Hana"),
        (["Bao", "Hana", "Tariq"], "Bao, Hana and Tariq"),
    ],
)
def test_a_list_in_a_sentence(items, said):
    assert words.joined(items) == said
    assert words.joined(iter(items), last="or") == said.replace("and", "or")


def test_a_name_inside_a_sentence():
    assert words.lower_first("Úp and over") == "úp and over"
    assert words.lower_first("") == ""


@pytest.mark.parametrize(
    ("days", "said"),
    [
        (0, "seen tonight"),
        (1, "last seen on 9 March"),
        (42, "last seen on 27 January"),
        (43, "last seen in January"),
        (300, "last seen in May"),
        (301, "last seen in May 2025"),
        (700, "last seen in April 2024"),
    ],
)
def test_when_something_was_last_seen(days, said):
    assert words.seen(TONIGHT - timedelta(days=days), TONIGHT) == said


def test_what_was_never_tried():
    assert words.seen(None, TONIGHT) == "not tried yet"


def test_every_word_of_the_closed_lists_has_its_own_words():
    assert words.RESTED.keys() == {*LOADS, *ROLES}
    assert tuple(words.HELP) == HELP
    assert tuple(words.SPOT) == SPOTS
    assert tuple(words.OUTCOME) == OUTCOMES
    assert len(set(words.RESTED.values())) == len(words.RESTED)


def test_the_caution_stands_as_it_was_agreed():
    assert words.CAUTION == (
        "Partner work can injure. A trained adult is in charge and may always say no. Your"
        " governing body's, insurer's and local rules come first. These are hints from what was"
        " logged; they are not a clearance."
    )
