"""Looking ahead: what an untried skill may be like, and what may be there by a date.

For showing and planning only, never inside a chain. The rules are measured on simulated classes
(see `parameters.DEFAULTS`); the words and their limits are ours.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from engine.readiness.forgetting import decay
from engine.readiness.parameters import Parameters
from engine.readiness.readings import Readings

PERHAPS_FROM, LIKELY_ABOVE = 0.10, 0.50


def untried_prior(now: float, untried: float, prior: Sequence[float]) -> tuple[float, ...]:
    """The prior [S] of an untried skill, given how far its prerequisites are there.

    `now` is the deciding p of its tree, `untried` the same with every leaf at its prior. With
    r = min(1, now / untried) it is r · prior, and what is left, 1 - r, in the lowest state. Where
    the tree is worth nothing untried, r is 1 if it is worth something now, else 0.
    """
    share = min(1.0, now / untried) if untried else float(now > 0)
    lowest, *others = (share * part for part in prior)
    return (lowest + (1 - share), *others)


def untried_state(
    readings: Readings, skill: str, role: str, parameters: Parameters
) -> tuple[float, ...]:
    """What to show for a skill and role that this child has not tried: states [S]."""
    worth = readings.worth(skill, role)
    return parameters.prior if worth is None else untried_prior(*worth, parameters.prior)


def state_by(
    state: Sequence[float],
    gaps_days: Iterable[float],
    tries_per_lesson: int,
    parameters: Parameters,
) -> tuple[float, ...]:
    """The state [S] after coming lessons: for each its gap of forgetting, then its tries.

    `gaps_days` are the days from now to the first lesson, from that to the second, and so on.
    """
    ahead = tuple(state)
    for gap in gaps_days:
        ahead = tuple(decay([ahead], [gap], parameters)[0].tolist())
        for _ in range(tries_per_lesson):
            ahead = tuple(
                sum(
                    share * row[target]
                    for share, row in zip(ahead, parameters.practice, strict=True)
                )
                for target in range(parameters.states)
            )
    return ahead


def by_date(
    state: Sequence[float],
    gaps_days: Iterable[float],
    tries_per_lesson: int,
    parameters: Parameters,
) -> str:
    """Will it be there with no spot by the last of these lessons: unlikely, perhaps, likely.

    A word and no number of tries, because the tries still to go have a long tail: one child in
    ten needs more than three times the middle one.
    """
    chance = state_by(state, gaps_days, tries_per_lesson, parameters)[-1]
    if chance < PERHAPS_FROM:
        return "unlikely"
    return "likely" if chance > LIKELY_ABOVE else "perhaps"
