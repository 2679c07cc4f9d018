"""Who is ready: stories with every part of the answer, the bar, and how p flows."""

from datetime import UTC, date, datetime, timedelta

import pytest

from engine.progression import AllOf, AnyOf, Leaf
from engine.readiness.judge import Judgement, Missing, judge
from engine.readiness.parameters import DEFAULTS
from engine.readiness.readings import Needs, Readings
from tests.engine.readiness.cards import AS_OF, seen, skills

BAR = 0.80
PRIOR_HANDS_ON, PRIOR_HANDS_NEAR, PRIOR_NO_SPOT = 0.65, 0.40, 0.20

CURRICULUM = skills(
    counting=("habit", {"solo": None}),
    plank={"solo": None},
    table={"solo": Leaf("plank", "solo", "no_spot")},
    bridge={"solo": AllOf((Leaf("plank", "solo", "no_spot"), Leaf("table", "solo", "hands_near")))},
    rock={"solo": Leaf("bridge", "solo", "no_spot")},
    lean={"base": None, "flyer": Leaf("plank", "solo", "no_spot")},
    stand={
        "base": AllOf((Leaf("counting", "solo", "no_spot"), Leaf("table", "solo", "hands_on"))),
        "flyer": AnyOf((Leaf("rock", "solo", "hands_near"), Leaf("lean", "flyer", "no_spot"))),
        "spotter": None,
    },
    arch={
        "solo": AllOf(
            (
                Leaf("table", "solo", "hands_on"),
                Leaf("lean", "base", "hands_on"),
                Leaf("lean", "base", "hands_near"),
            )
        )
    },
    deep={"solo": AllOf((Leaf("rock", "solo", "hands_on"), Leaf("counting", "solo", "no_spot")))},
)
NEEDS = Needs(CURRICULUM)


def readings(**evidence):
    """Evidence by "skill__role"."""
    return Readings(NEEDS, {tuple(key.split("__")): own for key, own in evidence.items()}, DEFAULTS)


# -- stories -----------------------------------------------------------------------------------


def test_plank_is_missing_and_was_last_seen_in_february():
    own = seen((0.2, 0.2, 0.3, 0.3), days_ago=40, counted=3)
    found = judge("table", "solo", readings(plank__solo=own), BAR)
    assert found == Judgement(
        skill="table",
        role="solo",
        ready=False,
        number=0.3,
        source="tree",
        missing=Missing(
            leaf=Leaf("plank", "solo", "no_spot"),
            p=0.3,
            last_at=AS_OF - timedelta(days=40),
            counted=3,
        ),
        evidence=None,
    )
    assert (found.word, found.likely, found.steady) == ("not tried", None, False)


def test_with_nothing_logged_the_first_need_is_missing_and_was_never_tried():
    found = judge("bridge", "solo", readings(), BAR)
    assert (found.ready, found.number, found.source) == (False, PRIOR_NO_SPOT, "tree")
    assert found.missing == Missing(Leaf("plank", "solo", "no_spot"), PRIOR_NO_SPOT, None, 0)


def test_what_needs_nothing_is_ready():
    found = judge("plank", "solo", readings(), BAR)
    assert found == Judgement("plank", "solo", True, 1.0, "no_tree", None, None)


def test_her_own_tries_come_before_the_tree():
    own = seen((0.1, 0.5, 0.3, 0.1), days_ago=3, counted=2)
    found = judge("table", "solo", readings(table__solo=own), BAR)
    assert found == Judgement("table", "solo", True, pytest.approx(0.9), "own", None, own)
    assert (found.word, found.likely) == ("not yet", "hands_on")


def test_own_tries_below_the_bar_leave_it_to_the_tree():
    shaky = seen((0.6, 0.2, 0.1, 0.1), days_ago=3)
    sure = seen((0.0, 0.0, 0.1, 0.9), days_ago=3)
    found = judge("table", "solo", readings(table__solo=shaky, plank__solo=sure), BAR)
    assert found == Judgement("table", "solo", True, 0.9, "tree", None, shaky)
    found = judge("table", "solo", readings(table__solo=shaky), BAR)
    assert (found.ready, found.number, found.source) == (False, PRIOR_NO_SPOT, "tree")
    assert found.evidence is shaky
    found = judge("plank", "solo", readings(plank__solo=shaky), BAR)
    assert found == Judgement("plank", "solo", True, 1.0, "no_tree", None, shaky)


def test_a_steady_child_is_said_to_be_steady():
    own = seen((0.0, 0.0, 0.04, 0.96), days_ago=3, counted=6, cleans=3)
    found = judge("plank", "solo", readings(plank__solo=own), BAR)
    assert (found.word, found.likely, found.steady) == ("steady", "no_spot", True)


def test_evidence_without_a_counted_try_is_no_evidence():
    nothing = seen((0.0, 0.0, 0.0, 1.0), days_ago=3, counted=0)
    found = judge("table", "solo", readings(table__solo=nothing, plank__solo=nothing), BAR)
    assert (found.number, found.evidence) == (PRIOR_NO_SPOT, None)
    assert found.missing.last_at is None


def test_a_spotter_is_not_judged():
    with pytest.raises(ValueError, match=r"^a spotter is chosen by who may spot, not by tries$"):
        judge("stand", "spotter", readings(), BAR)


def test_what_is_not_taught_is_an_error():
    with pytest.raises(KeyError):
        judge("unknown", "solo", readings(), BAR)
    with pytest.raises(KeyError):
        readings().at_or_above("plank", "base", "no_spot")


def test_evidence_of_what_is_no_longer_taught_is_left_out():
    own = seen((0, 0, 0, 1.0), days_ago=1)
    found = readings(handstand__solo=own, plank__base=own)
    assert found.at_or_above("plank", "solo", "no_spot") == PRIOR_NO_SPOT
    assert (found.own("handstand", "solo"), found.own("plank", "base")) == (None, None)


# -- the bar -----------------------------------------------------------------------------------


@pytest.mark.parametrize(("p", "ready"), [(0.75, True), (0.7499999999, False), (0.76, True)])
def test_the_bar_itself_is_ready_by_the_tree(p, ready):
    own = seen((1 - p, 0, 0, p), days_ago=3)
    found = judge("table", "solo", readings(plank__solo=own), 0.75)
    assert (found.ready, found.number) == (ready, p)
    assert (found.missing is None) is ready


@pytest.mark.parametrize(("p", "source"), [(0.75, "own"), (0.7499999999, "tree")])
def test_the_bar_itself_is_ready_by_own_tries(p, source):
    own = seen((1 - p, p, 0, 0), days_ago=3)
    assert judge("table", "solo", readings(table__solo=own), 0.75).source == source


# -- how p flows -------------------------------------------------------------------------------

ALONE = seen((0.0, 0.0, 0.05, 0.95), days_ago=3)


def test_who_does_the_harder_alone_has_the_easier():
    found = readings(bridge__solo=ALONE)
    assert found.at_or_above("plank", "solo", "no_spot") == 0.95
    assert found.at_or_above("plank", "solo", "hands_on") == 0.95


def test_a_leaf_is_raised_only_up_to_the_help_it_asks_for():
    found = readings(bridge__solo=ALONE)
    assert found.at_or_above("table", "solo", "hands_on") == 0.95
    assert found.at_or_above("table", "solo", "hands_near") == 0.95
    assert found.at_or_above("table", "solo", "no_spot") == PRIOR_NO_SPOT
    only_on = readings(deep__solo=ALONE)
    assert only_on.at_or_above("rock", "solo", "hands_on") == 0.95
    assert only_on.at_or_above("rock", "solo", "hands_near") == PRIOR_HANDS_NEAR


def test_it_flows_on_from_need_to_need():
    found = readings(deep__solo=ALONE)
    assert found.at_or_above("bridge", "solo", "no_spot") == 0.95
    assert found.at_or_above("table", "solo", "hands_near") == 0.95
    assert found.at_or_above("plank", "solo", "no_spot") == 0.95


def test_what_is_asked_for_twice_stops_nothing_else():
    found = readings(arch__solo=ALONE)
    assert found.at_or_above("lean", "base", "hands_near") == 0.95
    assert found.at_or_above("lean", "base", "no_spot") == PRIOR_NO_SPOT
    assert found.at_or_above("plank", "solo", "no_spot") == 0.95


def test_it_never_flows_through_a_choice():
    found = readings(stand__flyer=ALONE)
    assert found.at_or_above("rock", "solo", "hands_near") == PRIOR_HANDS_NEAR
    assert found.at_or_above("lean", "flyer", "no_spot") == PRIOR_NO_SPOT
    assert found.at_or_above("plank", "solo", "no_spot") == PRIOR_NO_SPOT


def test_only_no_spot_flows():
    near = seen((0.0, 0.0, 0.9, 0.1), days_ago=3)
    found = readings(table__solo=near)
    assert found.at_or_above("plank", "solo", "no_spot") == PRIOR_NO_SPOT
    assert found.at_or_above("table", "solo", "hands_near") == 1.0


def test_the_greatest_of_own_and_what_flows_counts():
    weak = seen((0.5, 0.2, 0.2, 0.1), days_ago=3)
    strong = seen((0.0, 0.0, 0.01, 0.99), days_ago=3)
    assert (
        readings(plank__solo=weak, bridge__solo=ALONE).at_or_above("plank", "solo", "no_spot")
        == 0.95
    )
    assert (
        readings(plank__solo=strong, bridge__solo=ALONE).at_or_above("plank", "solo", "no_spot")
        == 0.99
    )
    assert (
        readings(rock__solo=ALONE, bridge__solo=strong).at_or_above("plank", "solo", "no_spot")
        == 0.99
    )


def test_other_roles_of_a_skill_are_other_chains():
    found = readings(lean__base=ALONE)
    assert found.at_or_above("lean", "flyer", "no_spot") == PRIOR_NO_SPOT
    assert found.at_or_above("lean", "base", "no_spot") == 0.95


def test_what_flows_is_no_evidence_of_her_own():
    """She is ready for the table by its tree; her own table was never tried."""
    found = judge("table", "solo", readings(rock__solo=ALONE), BAR)
    assert found == Judgement("table", "solo", True, 0.95, "tree", None, None)


def test_not_yet_is_always_reached():
    assert readings().at_or_above("plank", "solo", "not_yet") == 1.0
    assert readings(plank__solo=ALONE).at_or_above("plank", "solo", "not_yet") == 1.0
    assert readings().at_or_above("counting", "solo", "not_yet") == 1.0


def test_untried_is_the_prior():
    found = readings()
    assert found.at_or_above("plank", "solo", "hands_on") == pytest.approx(PRIOR_HANDS_ON)
    assert found.at_or_above("plank", "solo", "hands_near") == PRIOR_HANDS_NEAR
    assert found.at_or_above("plank", "solo", "no_spot") == PRIOR_NO_SPOT


# -- habits ------------------------------------------------------------------------------------


def test_a_habit_is_ticked_by_one_clean():
    ticked = seen((0.9, 0.1, 0.0, 0.0), days_ago=200, counted=1, cleans=1)
    tried = seen((0.0, 0.0, 0.0, 1.0), days_ago=2, counted=9, cleans=0)
    for help_needed in ("hands_on", "hands_near", "no_spot"):
        assert readings(counting__solo=ticked).at_or_above("counting", "solo", help_needed) == 1.0
        assert readings(counting__solo=tried).at_or_above("counting", "solo", help_needed) == 0.0
        assert readings().at_or_above("counting", "solo", help_needed) == 0.0


def test_an_unticked_habit_is_what_is_missing():
    found = judge("stand", "base", readings(table__solo=ALONE), BAR)
    assert found.missing == Missing(Leaf("counting", "solo", "no_spot"), 0.0, None, 0)
    assert (found.ready, found.number) == (False, 0.0)


def test_nothing_flows_to_a_habit():
    found = readings(stand__base=ALONE)
    assert found.at_or_above("counting", "solo", "no_spot") == 0.0
    assert found.at_or_above("table", "solo", "hands_on") == 0.95


def test_a_habit_itself_is_judged_by_its_tick():
    ticked = seen((0.9, 0.1, 0.0, 0.0), days_ago=200, counted=1, cleans=1)
    tried = seen((0.0, 0.0, 0.0, 1.0), days_ago=2, counted=9, cleans=0)
    found = judge("counting", "solo", readings(counting__solo=ticked), BAR)
    assert (found.ready, found.number, found.source) == (True, 1.0, "own")
    found = judge("counting", "solo", readings(counting__solo=tried), BAR)
    assert (found.ready, found.number, found.source) == (True, 1.0, "no_tree")


def test_the_dates_in_these_stories():
    assert (AS_OF, ALONE.on) == (datetime(2026, 3, 20, 16, 0, tzinfo=UTC), date(2026, 3, 20))
