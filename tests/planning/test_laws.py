"""What holds for every class, whoever is in it and whatever is said of her."""

from datetime import timedelta

from hypothesis import given
from hypothesis import strategies as st

from curriculum.models import LOADS, ROLES
from engine.readiness.parameters import OUTCOMES, SPOTS
from planning import gates
from planning.proposals import number_for, propose, upper_bound
from planning.sheet import as_text
from planning.tonight import make_sheet
from tests.planning.build import (
    AGREED,
    AROHA,
    CARDS,
    ON,
    PROPS,
    SIX,
    ZEYNEP,
    Pupil,
    Tried,
    evening,
)
from tests.planning.evenings import texts_of
from tests.planning.read_aloud import assert_fit_to_read_aloud

GROUPED = ["lean", "straight_lean", "chest_rest", "seat", "line"]
SKILL_ROLES = [
    (key, role) for key, card in CARDS.items() for role in card.skill.roles if role != "spotter"
]


def some(strategy, most):
    return st.lists(strategy, max_size=most).map(tuple)


TRIED = st.builds(
    lambda of, *said: Tried(*of, *said),
    st.sampled_from(SKILL_ROLES),
    st.integers(1, 20),
    st.sampled_from(SPOTS),
    st.sampled_from(OUTCOMES),
)
DAYS_AGO = st.integers(0, 200).map(lambda days: ON - timedelta(days=days))
PUPIL = {
    "tries": st.tuples(st.sampled_from([(), PROPS]), some(TRIED, 4)).map(lambda two: sum(two, ())),
    "age": st.integers(5, 14),
    "trial": st.booleans(),
    "not_today": st.booleans(),
    "height_cm": st.none() | st.integers(110, 150),
    "height_on": DAYS_AGO,
    "mass_kg": st.none() | st.integers(20, 50),
    "agreed": st.sampled_from([AGREED, AGREED, AGREED, frozenset(), frozenset({"lifting"})]),
    "withdrawn": st.sampled_from([frozenset(), frozenset(), frozenset({"lifting"})]),
    "restricted": some(
        st.tuples(st.sampled_from([*LOADS, *ROLES]), st.just(ON + timedelta(days=9))), 2
    ),
    "last_here": st.none() | DAYS_AGO,
}
NAMES = st.sampled_from(SIX)
PAIR = st.tuples(NAMES, NAMES).filter(lambda two: two[0] < two[1])


@st.composite
def evenings(draw):
    names = draw(st.sets(NAMES) | st.just(set(SIX)))
    return evening(
        *(draw(st.builds(Pupil, st.just(name), **PUPIL)) for name in sorted(names)),
        spotters=draw(st.sampled_from([(), (AROHA,), (AROHA, ZEYNEP)])),
        adults_in_room=draw(st.integers(0, 3)),
        mats=draw(st.integers(0, 4)),
        minutes=draw(st.integers(10, 90)),
        yeses=draw(some(st.tuples(NAMES, st.just("seat"), st.sampled_from(["base", "flyer"])), 3)),
        pairs_ok=draw(some(PAIR, 3)),
        open_falls=draw(some(st.tuples(NAMES, st.sampled_from(GROUPED), st.just("flyer")), 2)),
        apart=draw(some(PAIR, 2)),
        together=draw(some(PAIR, 1)),
    )


@given(evenings(), st.sampled_from(GROUPED))
def test_nobody_passes_a_stop_and_nobody_is_forgotten(tonight, key):
    card = CARDS[key]
    found = propose(tonight, card)
    assert upper_bound(tonight, card) >= found.placed
    grouped = [child for group in found.groups for child in group.children]
    if found.class_stops:
        assert not grouped
        return
    # Everybody who is up for it has one place or one reason.
    assert sorted(
        child.rank for child in grouped + [one.child for one in found.still_to_place]
    ) == [child.rank for child in tonight.playing]
    assert found.placed == len(grouped)
    for group in found.groups:
        for role, held in group.seats.items():
            for child in held:
                assert gates.stops(tonight, card, role, child) == ()
                assert number_for(tonight, card, role, child) >= tonight.policy.bar
        assert bool(group.spotters) == card.spotted
        assert group.asks == gates.group_asks(tonight, card, group.seats)
        ids = {child.id for child in group.children}
        assert not any({a, b} <= ids for a, b in tonight.apart)
    busy = [(name, group.turn) for group in found.groups for name in group.spotters]
    assert len(set(busy)) == len(busy)
    assert all(group.turn <= tonight.policy.turns_under_one_spot for group in found.groups)
    assert len(found.groups) <= tonight.mats * tonight.policy.turns_under_one_spot
    assert all(one.sentence for one in found.still_to_place)


@given(evenings())
def test_every_sheet_is_whole_and_fit_to_be_read_aloud(tonight):
    made, proposals = make_sheet(tonight)
    assert_fit_to_read_aloud(as_text(made))
    texts = texts_of(made)
    assert not any("None" in text or "  " in text or text.endswith((" ", ";")) for text in texts)
    assert len({proposal.card.skill.family for proposal in proposals}) == len(proposals)
    # A sheet tells of each child who is here, once in “Child by child”.
    labels = [
        entry.label
        for section in made.sections
        if section.kind == "children"
        for entry in section.entries
    ]
    assert labels == [child.name for child in tonight.here]
