"""Slow and obvious twins of the estimators, and the stored figures from outside."""

import csv
from collections import defaultdict
from pathlib import Path

import numpy as np
from scipy import linalg, optimize, stats

FACTS = Path(__file__).parents[1] / "facts"


def facts(name):
    with (FACTS / name).open(newline="") as file:
        return list(csv.DictReader(file))


def survival_by_redistribution(times, happened):
    """Efron 1967: whoever is lost hands her share to all who are still there after her."""
    left = sorted(zip(times, happened, strict=True), key=lambda one: (one[0], not one[1]))
    mass = [1 / len(left)] * len(left)
    survival = {}
    for place, (time, event) in enumerate(left):
        if event:
            survival[time] = survival.get(time, 0) + mass[place]
        elif place + 1 < len(left):
            share = mass[place] / (len(left) - place - 1)
            for later in range(place + 1, len(left)):
                mass[later] += share
    gone = 0.0
    for time in sorted(survival):
        gone += survival[time]
        survival[time] = 1 - gone
    return survival


def misfit_of_contrasts(y, v, between):
    """Minus the log-likelihood of contrasts of the estimates, which know nothing of the mean."""
    contrasts = linalg.null_space(np.ones((1, len(y)))).T
    spread = contrasts @ np.diag(np.asarray(v) + between) @ contrasts.T
    return -stats.multivariate_normal.logpdf(contrasts @ y, cov=spread)


def between_by_contrasts(y, v):
    """The variance that makes the contrasts likeliest: looked for everywhere, then more closely."""
    grid = np.linspace(0, 4 * np.ptp(y) ** 2 + 1e-9, 60)
    near = int(np.argmin([misfit_of_contrasts(y, v, one) for one in grid]))
    bounds = grid[max(near - 1, 0)], grid[min(near + 1, len(grid) - 1)]
    found = optimize.minimize_scalar(
        lambda one: misfit_of_contrasts(y, v, one), bounds=bounds, method="bounded"
    ).x
    return min((0.0, found), key=lambda one: misfit_of_contrasts(y, v, one))


def levels_by_conditioning(y, v, between):
    """Levels as a normal vector given the estimates, the mean being as good as unknown."""
    k, vague = len(y), 1e3
    levels = between * np.eye(k) + vague
    gain = levels @ np.linalg.inv(levels + np.diag(v))
    return gain @ y, np.diag(levels - gain @ levels)


def without_difficulty(value, member, item, group):
    """The same by one design matrix with a column for every item and every group."""
    y = np.asarray(value, float)
    many = np.bincount(member)
    design = np.zeros((len(y), max(item) + 1 + max(group) + 1))
    for row, (one, other) in enumerate(zip(item, group, strict=True)):
        design[row, one] = design[row, max(item) + 1 + other] = 1
    root = np.sqrt(1 / many[member])
    found = np.linalg.lstsq(design * root[:, None], y * root, rcond=1e-10)[0]
    easiness = found[: max(item) + 1]
    easiness = easiness - np.average(easiness[item], weights=1 / many[member])
    return [
        np.mean([y[row] - easiness[item[row]] for row in range(len(y)) if member[row] == one])
        for one in range(len(many))
    ]


def adjusted(value, group, covariates):
    """The same by one design matrix and predictions at the mean of the covariates."""
    y, x = np.asarray(value, float), np.asarray(covariates, float)
    dummies = np.eye(max(group) + 1)[group]
    design = np.hstack([dummies, x])
    found = np.linalg.lstsq(design, y, rcond=None)[0]
    residual = ((y - design @ found) ** 2).sum() / (len(y) - design.shape[1])
    covariance = residual * np.linalg.inv(design.T @ design)
    at = np.hstack([np.eye(dummies.shape[1]), np.tile(x.mean(axis=0), (dummies.shape[1], 1))])
    many = dummies.shape[1]
    errors = np.sqrt(np.diag(covariance))[many:]
    return at @ found, np.diag(at @ covariance @ at.T), found[many:], errors, residual


def strictness(rows):
    """rows: (here, stratum, member, outcome) of single tries; outcome 0, 1 or 2."""
    strata = defaultdict(lambda: {True: [], False: []})
    for here, stratum, member, outcome in rows:
        strata[stratum][here].append((member, outcome))
    shared = {key: sides for key, sides in strata.items() if sides[True] and sides[False]}
    weights = {
        key: 1 / (1 / len(sides[True]) + 1 / len(sides[False])) for key, sides in shared.items()
    }
    total = sum(weights.values())
    differences, errors = [], []
    for asked in range(3):
        difference, pulls = 0.0, {True: defaultdict(float), False: defaultdict(float)}
        for key, sides in shared.items():
            share = {
                here: np.mean([outcome == asked for _, outcome in side])
                for here, side in sides.items()
            }
            difference += weights[key] / total * (share[True] - share[False])
            for here, side in sides.items():
                for member, outcome in side:
                    surplus = (outcome == asked) - share[here]
                    pulls[here][member] += weights[key] / total * surplus / len(side)
        variance = sum(
            len(side) / (len(side) - 1) * sum(pull**2 for pull in side.values())
            for side in pulls.values()
        )
        differences.append(difference)
        errors.append(variance**0.5)
    return differences, errors
