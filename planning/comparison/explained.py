"""What may explain a difference between studios, to be said before any figure of it."""

from collections import defaultdict
from collections.abc import Mapping
from statistics import fmean
from uuid import UUID

from planning.comparison.gathered import Gathered
from planning.comparison.logged import Logging, Strict
from planning.comparison.policy import LEAST_YEARS
from planning.comparison.words import Explanation

YEAR = 365.25


def covariates(found: Gathered) -> dict[UUID, tuple[float, float]]:
    """Years of age and years at the school of the children of one studio who are there at the end,
    as far as their birth month is known.
    """
    on = found.as_of.date()
    return {
        id_: ((on - place.born).days / YEAR, (on - place.joined_on).days / YEAR)
        for id_, place in found.home.items()
        if place.born and place.held_on(found.last)
    }


def explanations(
    found: Gathered, logs: Mapping[UUID, Logging], strict: Mapping[UUID, Strict]
) -> dict[UUID, Explanation]:
    """What may explain the figures of each studio of which there are any."""
    enough = {id_ for id_, log in logs.items() if log.enough}
    known = defaultdict(list)
    for id_, years in covariates(found).items():
        known[found.home[id_].studio_id].append(years)
    known = {id_: those for id_, those in known.items() if id_ in enough}
    return {
        id_: Explanation(
            without_entries=logs[id_].lessons_held - logs[id_].lessons_with_entries,
            says=strict[id_].says,
            others_differ=any(strict[other].says for other in enough - {id_}),
            older=_difference(known, id_, 0),
            longer=_difference(known, id_, 1),
        )
        for id_ in enough
    }


def _difference(known, studio_id, which):
    here = [years[which] for years in known.get(studio_id, ())]
    others = [years[which] for id_, those in known.items() if id_ != studio_id for years in those]
    if not here or not others:
        return None
    difference = fmean(here) - fmean(others)
    return difference if abs(difference) >= LEAST_YEARS else None
