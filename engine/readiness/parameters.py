"""The numbers of the readiness model, checked at the door.

The model is a hidden Markov chain over how much help a child needs. With two states it is the
knowledge tracing of Corbett and Anderson (1995).
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

OUTCOMES = ("not_there", "shaky", "clean")
SPOTS = ("hands_on", "hands_near", "none")
HELP = ("not_yet", "hands_on", "hands_near", "no_spot")
HELP_BY_STATES = {2: ("not_yet", "no_spot"), 4: HELP}

SUM_TOLERANCE = 1e-9
MOST_FORGETTING_PER_DAY = 1e12  # keeps rate times gap far from overflow; no child comes near it

# How much of an independent observation a row is. Common practice, no published source: a try
# that came down together says less about each child; a summary is a judgement, not a measurement.
WEIGHTS = {"own": 1.0, "together": 0.35, "summary": 0.5}


class BadParameters(ValueError):
    """The parameters break a rule of the model.

    `path` leads to the fault in the parameters, such as ("practice", 1); `message` says what is
    wrong.
    """

    def __init__(self, path: tuple[str | int, ...], message: str) -> None:
        self.path = path
        self.message = message
        super().__init__(f"{'/'.join(map(str, path))}: {message}")


@dataclass(frozen=True, slots=True)
class Parameters:
    """One set of parameters; S = `states` is 2 or 4, all probabilities are in [0, 1].

    prior: [S] before the first try.
    emission: [spot][state][outcome] in the orders of SPOTS and OUTCOMES; each row sums to 1.
    practice: [S][S] applied once after every try: stay, or one state up.
    forgetting_per_day: [S] rate from a state to the one below, per day; the first is 0.
    spot_given: [state][spot] how often a child in this state is given this spot; each row sums
        to 1. None: which spot was given tells nothing.

    Raises `BadParameters`. Nothing is ever renormalised.
    """

    states: int
    prior: tuple[float, ...]
    emission: tuple[tuple[tuple[float, ...], ...], ...]
    practice: tuple[tuple[float, ...], ...]
    forgetting_per_day: tuple[float, ...]
    spot_given: tuple[tuple[float, ...], ...] | None = None

    def __post_init__(self) -> None:
        if self.states not in HELP_BY_STATES:
            raise BadParameters(("states",), "should be 2 or 4")
        _check_distribution(("prior",), self.prior, self.states)
        _check_length(("emission",), self.emission, len(SPOTS))
        for spot, rows in zip(SPOTS, self.emission, strict=True):
            _check_rows(("emission", spot), rows, self.states, len(OUTCOMES))
        _check_rows(("practice",), self.practice, self.states, self.states)
        for path, entry in _off_the_two_diagonals(self.practice):
            if entry != 0:
                raise BadParameters(path, "should be 0: practice stays or goes up one state")
        _check_length(("forgetting_per_day",), self.forgetting_per_day, self.states)
        for state, rate in enumerate(self.forgetting_per_day):
            _check_number(("forgetting_per_day", state), rate, MOST_FORGETTING_PER_DAY)
        if self.forgetting_per_day[0] != 0:
            raise BadParameters(("forgetting_per_day", 0), "should be 0: no state lies below")
        if self.spot_given is not None:
            _check_rows(("spot_given",), self.spot_given, self.states, len(SPOTS))

    @property
    def help(self) -> tuple[str, ...]:
        """The names of the states, in order."""
        return HELP_BY_STATES[self.states]


def _off_the_two_diagonals(
    practice: tuple[tuple[float, ...], ...],
) -> Iterator[tuple[tuple[str | int, ...], float]]:
    for state, row in enumerate(practice):
        for target, entry in enumerate(row):
            if target not in (state, state + 1):
                yield ("practice", state, target), entry


def _check_rows(
    path: tuple[str | int, ...], rows: Sequence[Sequence[float]], count: int, length: int
) -> None:
    _check_length(path, rows, count)
    for index, row in enumerate(rows):
        _check_distribution((*path, index), row, length)


def _check_distribution(path: tuple[str | int, ...], row: Sequence[float], length: int) -> None:
    _check_length(path, row, length)
    for index, entry in enumerate(row):
        _check_number((*path, index), entry, 1.0)
    total = math.fsum(row)
    if abs(total - 1) > SUM_TOLERANCE:
        raise BadParameters(path, f"should sum to 1, sums to {total:.12g}")


def _check_length(path: tuple[str | int, ...], items: Sequence[object], length: int) -> None:
    if len(items) != length:
        raise BadParameters(path, f"should have {length} items, has {len(items)}")


def _check_number(path: tuple[str | int, ...], number: float, high: float) -> None:
    if not 0 <= number <= high:
        raise BadParameters(path, f"should be between 0 and {high:g}")


# The product's parameters. Source: chosen and compared on simulated classes of another kind than
# the model (three worlds, two years, 150 students, 90 skills); there are no real data behind
# them, so their ranking against other sets counts, not the level of what they predict.
DEFAULTS = Parameters(
    states=4,
    #      not_yet  hands_on  hands_near  no_spot
    prior=(0.35, 0.25, 0.20, 0.20),
    emission=(
        # not_there, shaky, clean in each state
        ((0.65, 0.25, 0.10), (0.15, 0.30, 0.55), (0.05, 0.15, 0.80), (0.02, 0.08, 0.90)),  # on
        ((0.80, 0.15, 0.05), (0.35, 0.35, 0.30), (0.10, 0.25, 0.65), (0.03, 0.10, 0.87)),  # near
        ((0.90, 0.07, 0.03), (0.60, 0.27, 0.13), (0.25, 0.35, 0.40), (0.04, 0.11, 0.85)),  # none
    ),
    practice=(
        (0.88, 0.12, 0.0, 0.0),
        (0.0, 0.88, 0.12, 0.0),
        (0.0, 0.0, 0.92, 0.08),
        (0.0, 0.0, 0.0, 1.0),
    ),
    forgetting_per_day=(0.0, 0.002, 0.002, 0.003),
    spot_given=(
        # hands_on, hands_near, none
        (0.70, 0.20, 0.10),
        (0.55, 0.25, 0.20),
        (0.30, 0.30, 0.40),
        (0.20, 0.20, 0.60),
    ),
)
