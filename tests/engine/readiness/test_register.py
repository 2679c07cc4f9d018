import random
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta, timezone

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.readiness.chain import replay
from engine.readiness.parameters import DEFAULTS
from engine.readiness.register import Chain, IdReused, Row, by_chain, counted
from tests.engine.readiness.build import BEGIN, logs, row


def ids(rows):
    return [one.id for one in rows]


def test_the_greatest_revision_counts():
    first = row("a", attempt="t", revision=1, outcome="clean")
    second = row("b", attempt="t", revision=2, outcome="shaky")
    assert counted([second, first]) == (second,)
    assert counted([first, second]) == (second,)


def test_of_equal_revisions_the_greatest_id_counts():
    one, two = row("phone 1", attempt="t", revision=2), row("phone 2", attempt="t", revision=2)
    assert counted([two, one]) == (two,)
    assert counted([one, two]) == (two,)


def test_revisions_compare_as_numbers_and_ids_by_code_point():
    assert ids(
        counted([row("a", attempt="t", revision=10), row("b", attempt="t", revision=9)])
    ) == ["a"]
    assert ids(counted([row("10", attempt="t"), row("9", attempt="t")])) == ["9"]
    assert ids(counted([row("Z", attempt="t"), row("a", attempt="t")])) == ["a"]


def test_a_removed_try_does_not_count_unless_a_later_revision_brings_it_back():
    there = row("a", attempt="t", revision=1)
    removed = row("b", attempt="t", revision=2, outcome="removed")
    back = row("c", attempt="t", revision=3)
    assert counted([there, removed]) == ()
    assert counted([there, removed, back]) == (back,)


def test_a_correction_moves_a_try_to_another_child():
    ada = row("a", attempt="t", revision=1, chain=Chain("Ada", "bridge", "solo"))
    bo = row("b", attempt="t", revision=2, chain=Chain("Bo", "bridge", "solo"))
    other = row("c", days=1, chain=Chain("Ada", "bridge", "solo"))
    assert by_chain(counted([ada, bo, other])) == {bo.chain: (bo,), other.chain: (other,)}


def test_the_order_is_by_time_then_attempt():
    late = row("1", days=2, attempt="a")
    early_b, early_a = row("2", days=1, attempt="b"), row("3", days=1, attempt="a2")
    assert counted([late, early_b, early_a]) == (early_a, early_b, late)


def test_the_same_row_twice_counts_once():
    assert counted([row("a"), row("a")]) == (row("a"),)


def test_the_same_moment_in_another_zone_is_the_same_row():
    there = replace(row("a"), happened_at=BEGIN.astimezone(timezone(timedelta(hours=2))))
    assert there.happened_at.tzinfo is UTC
    assert counted([row("a"), there]) == (row("a"),)


@pytest.mark.parametrize(
    "change",
    [
        {"attempt": "other"},
        {"revision": 2},
        {"happened_at": BEGIN + timedelta(microseconds=1)},
        {"date": date(2026, 1, 6)},
        {"spot": "hands_on"},
        {"outcome": "shaky"},
        {"weight": 0.5},
        {"chain": "other"},
    ],
    ids=lambda change: next(iter(change)),
)
def test_one_id_for_two_different_rows_is_refused(change):
    first, other = row("a"), replace(row("a"), **change)
    for rows in ([first, row("b"), other], [other, row("b"), first]):
        with pytest.raises(IdReused) as caught:
            counted(rows)
        assert (caught.value.row_id, caught.value.position) == ("a", 2)
        assert str(caught.value) == 'id_reused: the id "a" is used for two different rows'


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"revision": 0}, "revision should be at least 1: 0"),
        (
            {"happened_at": datetime(2026, 3, 2, 17)},  # noqa: DTZ001
            "happened_at needs its offset from UTC: 2026-03-02 17:00:00",
        ),
        ({"spot": "hands"}, "unknown spot: hands"),
        ({"outcome": "perfect"}, "unknown outcome: perfect"),
        ({"weight": 0.0}, "weight should be above 0 and at most 1: 0.0"),
        ({"weight": 1.01}, "weight should be above 0 and at most 1: 1.01"),
    ],
)
def test_a_row_is_checked_at_the_door(change, message):
    with pytest.raises(ValueError) as caught:
        replace(row("a"), **change)
    assert str(caught.value) == message


def test_weight_and_chain_have_defaults():
    short = Row("a", "a", 1, BEGIN, BEGIN.date(), "none", "clean")
    assert short == row("a")
    assert (short.weight, short.chain) == (1.0, ())


@given(logs(), st.randoms(use_true_random=False))
def test_any_order_split_and_repetition_counts_the_same(log: list[Row], dice: random.Random):
    shuffled = log + [dice.choice(log) for _ in log]
    dice.shuffle(shuffled)
    assert counted(shuffled) == counted(log)
    arrived: list[Row] = []
    while shuffled:  # batch after batch, each kept with what was there already
        size = dice.randint(1, len(shuffled))
        arrived, shuffled = arrived + shuffled[:size], shuffled[size:]
        counted(arrived)
    assert replay(arrived, DEFAULTS) == replay(log, DEFAULTS)


@given(logs(), st.data())
def test_two_phones_that_correct_the_same_try_end_alike(log: list[Row], data):
    if not log:
        return
    target = data.draw(st.sampled_from(log)).attempt
    greatest = max(one.revision for one in log if one.attempt == target)
    ada, bo = (
        row(
            name,
            days=data.draw(st.integers(0, 100)),
            attempt=target,
            revision=greatest + 1,
            outcome=data.draw(st.sampled_from(["clean", "shaky", "removed"])),
            chain=Chain("Bo", "bridge", "solo"),
        )
        for name in ("phone ada", "phone bo")
    )
    both_ways = [replay([*log, ada, bo], DEFAULTS), replay([bo, *log, ada], DEFAULTS)]
    assert both_ways[0] == both_ways[1] == replay([*log, bo], DEFAULTS)
    standing = [one for one in counted([*log, ada, bo]) if one.attempt == target]
    assert standing == ([] if bo.outcome == "removed" else [bo])


@given(logs())
def test_the_register_against_the_rule_word_by_word(log: list[Row]):
    expected = []
    for attempt in {one.attempt for one in log}:
        of_attempt = sorted((one.revision, one.id) for one in log if one.attempt == attempt)
        winner = next(one for one in log if one.id == of_attempt[-1][1])
        if winner.outcome != "removed":
            expected.append(winner)
    assert list(counted(log)) == sorted(expected, key=lambda one: (one.happened_at, one.attempt))
