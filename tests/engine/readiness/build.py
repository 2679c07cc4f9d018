"""Rows and parameters for the tests, and strategies that draw them."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta

from hypothesis import strategies as st

from engine.readiness.parameters import OUTCOMES, SPOTS, Parameters
from engine.readiness.register import Chain, Row

BEGIN = datetime(2026, 1, 5, 17, 0, tzinfo=UTC)


def row(
    name: str = "a",
    *,
    days: float = 0.0,
    outcome: str = "clean",
    spot: str = "none",
    weight: float = 1.0,
    attempt: str | None = None,
    revision: int = 1,
    on: date | None = None,
    chain: object = (),
) -> Row:
    """One row; `days` after BEGIN; its id and, unless given, its attempt are `name`."""
    happened_at = BEGIN + timedelta(days=days)
    return Row(
        id=name,
        attempt=attempt or name,
        revision=revision,
        happened_at=happened_at,
        date=on or happened_at.date(),
        spot=spot,
        outcome=outcome,
        weight=weight,
        chain=chain,
    )


def two_states(
    *, known: float, learn: float, guess: float, slip: float, forget: float = 0.0
) -> Parameters:
    """Knowledge tracing as a two-state chain: right is clean, wrong is not there."""
    rows = ((1 - guess, 0.0, guess), (slip, 0.0, 1 - slip))
    return Parameters(
        states=2,
        prior=(1 - known, known),
        emission=(rows, rows, rows),
        practice=((1 - learn, learn), (0.0, 1.0)),
        forgetting_per_day=(0.0, forget),
    )


def distributions(size: int) -> st.SearchStrategy[tuple[float, ...]]:
    def normalised(parts: list[int]) -> tuple[float, ...]:
        return tuple(part / sum(parts) for part in parts)

    return st.lists(st.integers(1, 1000), min_size=size, max_size=size).map(normalised)


@st.composite
def parameter_sets(draw: st.DrawFn) -> Parameters:
    states = draw(st.sampled_from([2, 4]))
    ups = [*draw(st.lists(st.floats(0, 1), min_size=states - 1, max_size=states - 1)), 0.0]
    rate = st.one_of(st.just(0.0), st.just(0.01), st.floats(1e-6, 2.0))
    return Parameters(
        states=states,
        prior=draw(distributions(states)),
        emission=tuple(
            tuple(draw(distributions(len(OUTCOMES))) for _ in range(states)) for _ in SPOTS
        ),
        practice=tuple(
            tuple(
                1 - up if target == state else up if target == state + 1 else 0.0
                for target in range(states)
            )
            for state, up in enumerate(ups)
        ),
        forgetting_per_day=(0.0, *(draw(rate) for _ in range(states - 1))),
        spot_given=draw(
            st.one_of(
                st.none(),
                st.tuples(*(distributions(len(SPOTS)) for _ in range(states))),
            )
        ),
    )


CHAINS = [Chain("Ada", "bridge", "solo"), Chain("Ada", "lean", "base"), Chain("Bo", "lean", "base")]


@st.composite
def logs(draw: st.DrawFn, most_rows: int = 14) -> list[Row]:
    """Rows of a few attempts with corrections, removals and moves; every id is used once."""
    size = draw(st.integers(0, most_rows))
    return [
        Row(
            id=f"row {number}",
            attempt=draw(st.sampled_from(["t1", "t2", "t3", "t4", "t5", "t6", "t7"])),
            revision=draw(st.integers(1, 3)),
            happened_at=BEGIN + timedelta(minutes=draw(st.integers(0, 200_000))),
            date=BEGIN.date() + timedelta(days=draw(st.integers(0, 200))),
            spot=draw(st.sampled_from(SPOTS)),
            outcome=draw(st.sampled_from((*OUTCOMES, "removed"))),
            weight=draw(st.sampled_from([1.0, 0.5, 0.35])),
            chain=draw(st.sampled_from(CHAINS)),
        )
        for number in range(size)
    ]
