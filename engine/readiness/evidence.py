"""What a child's own tries in one skill and role say at a moment, in words and in a number.

The limits below are measured on simulated classes (see `parameters.DEFAULTS`) or, for words and
for when a number may be shown, common practice with no published source.
"""

from __future__ import annotations

from collections.abc import Hashable, Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import TypeVar

from engine.readiness.chain import Belief
from engine.readiness.forgetting import decay
from engine.readiness.parameters import HELP, SPOTS, Parameters

UNSPOTTED = SPOTS.index("none")
DAY = timedelta(days=1)

STEADY_CHANCE = 0.90  # of needing no spot
STEADY_CLEANS = 3
STEADY_DATES = 2
STEADY_DAYS = 28  # since the last clean unspotted try

NUMBER_TRIES = 5
NUMBER_DATES = 2
NUMBER_DAYS = 60  # not seen for so long: no number

WORDS_BELOW = ((0.20, "not yet"), (0.50, "on the way"), (0.80, "mostly"))
NOT_TRIED = "not tried"
NEARLY_ALWAYS = "nearly always"
STEADY = "steady"

Key = TypeVar("Key", bound=Hashable)


@dataclass(frozen=True, slots=True)
class Evidence:
    """A belief read at a moment.

    state: probabilities of the four states of HELP at `as_of`. on: the studio's local date then.
    """

    belief: Belief
    state: tuple[float, ...]
    as_of: datetime
    on: date

    @property
    def tried(self) -> bool:
        return self.belief.counted > 0

    @property
    def ticked(self) -> bool:
        """A clean try has been counted, under any spot: all that a habit asks for."""
        return any(day is not None for day in self.belief.last_clean_on)

    @property
    def likely(self) -> str | None:
        """The most probable help needed, the lower of two alike; None if never tried."""
        return HELP[self.state.index(max(self.state))] if self.tried else None

    @property
    def steady(self) -> bool:
        """No spot needed: P(no_spot) at least .90, three clean unspotted tries on two dates, the
        last of them at most 28 days ago. The next one is then clean about five times in six."""
        last = self.belief.last_clean_on[UNSPOTTED]
        return (
            last is not None
            and self.state[-1] >= STEADY_CHANCE
            and self.belief.clean_unspotted >= STEADY_CLEANS
            and self.belief.clean_unspotted_days >= STEADY_DATES
            and (self.on - last).days <= STEADY_DAYS
        )

    @property
    def word(self) -> str:
        """P(no_spot) in a word; "steady" only by its own rule."""
        if not self.tried:
            return NOT_TRIED
        for limit, word in WORDS_BELOW:
            if self.state[-1] < limit:
                return word
        return STEADY if self.steady else NEARLY_ALWAYS

    @property
    def percent(self) -> int | None:
        """P(no_spot) to the nearest 10 %, halves to even.

        None where a word must do: fewer than five tries, one date only, or not seen for 60 days.
        """
        last_at = self.belief.last_at
        enough = (
            last_at is not None
            and self.belief.counted >= NUMBER_TRIES
            and self.belief.days >= NUMBER_DATES
            and self.as_of - last_at < NUMBER_DAYS * DAY
        )
        return 10 * round(10 * self.state[-1]) if enough else None


def read(
    beliefs: Mapping[Key, Belief], *, as_of: datetime, on: date, parameters: Parameters
) -> dict[Key, Evidence]:
    """Beliefs as they stand at `as_of`, the studio's local date being `on`.

    Days never count backwards: read before the last try, a belief is as it was after that try.
    Raises `ValueError` unless the parameters have the four states of HELP.
    """
    if parameters.states != len(HELP):
        raise ValueError(f"evidence is read with {len(HELP)} states, not {parameters.states}")
    states = decay(
        [belief.state for belief in beliefs.values()],
        [_days_since(belief.last_at, as_of) for belief in beliefs.values()],
        parameters,
    )
    return {
        key: Evidence(belief, tuple(state), as_of, on)
        for (key, belief), state in zip(beliefs.items(), states.tolist(), strict=True)
    }


def _days_since(last_at: datetime | None, as_of: datetime) -> float:
    """An untried chain stays at its prior."""
    return 0.0 if last_at is None else max(0.0, (as_of - last_at) / DAY)
