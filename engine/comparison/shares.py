"""Shares with their uncertainty: Wilson's interval, and the limits of a funnel."""

from __future__ import annotations

import math

# Quantiles of the normal distribution for two-sided 95 % and 99.8 %.
Z_95 = 1.959963984540054
Z_998 = 3.090232306167813


def wilson(successes: int, n: int, z: float = Z_95) -> tuple[float, float]:
    """The interval of a share for which the score test at ±z would not be surprised.

    Wilson 1927, named as best among simple ones by Brown, Cai and DasGupta 2001 (both from
    memory). n at least 1.
    """
    share, zz = successes / n, z * z
    middle = (share + zz / (2 * n)) / (1 + zz / n)
    half = z / (1 + zz / n) * math.sqrt(share * (1 - share) / n + zz / (4 * n * n))
    # At the ends the formula's own end is exact, and rounding must not step over it.
    low = 0.0 if successes == 0 else middle - half
    high = 1.0 if successes == n else middle + half
    return low, high


def funnel_limit(target: float, n: int, p: float) -> float:
    """The share below which a unit of n falls with probability p if its true share is `target`.

    The exact binomial quantile, interpolated between counts (Spiegelhalter 2005, Statistics in
    Medicine 24:1185-1202; the formula from memory): with r the least count whose cumulative
    probability reaches p, (r - (P(Y <= r) - p) / P(Y = r)) / n. Clamped at 0, where no share can
    be surprisingly low. 0 < target < 1, n at least 1.
    """
    cumulative = 0.0
    for r in range(n + 1):
        chance = _binomial(r, n, target)
        cumulative += chance
        if cumulative >= p and chance > 0:
            return max(0.0, (r - (cumulative - p) / chance) / n)
    return 1.0


def funnel_limits(target: float, n: int, within: float) -> tuple[float, float]:
    """The shares between which a unit of n falls with probability `within` by chance alone.

    Where the target itself is 0 or 1 nothing but that share is given by chance.
    """
    if target in (0.0, 1.0):
        return target, target
    tail = (1 - within) / 2
    return funnel_limit(target, n, tail), funnel_limit(target, n, 1 - tail)


def within_funnel(successes: int, n: int, target: float, within: float) -> bool:
    """Whether chance alone, with probability `within` in all, gives so many of n.

    The limits lie between counts; the count above each is the last that its tail gives.
    """
    low, high = (math.ceil(limit * n - 1e-9) for limit in funnel_limits(target, n, within))
    return low <= successes <= high


def _binomial(successes: int, n: int, share: float) -> float:
    log_ways = math.lgamma(n + 1) - math.lgamma(successes + 1) - math.lgamma(n - successes + 1)
    return math.exp(log_ways + successes * math.log(share) + (n - successes) * math.log1p(-share))
