"""How far to the right everything stands: lines as short and straight as their order allows.

The model of Gansner, Koutsofios, North and Vo (1993, doi 10.1109/32.221135): the least weighted sum
of how far lines lean to the side, while each layer keeps its order and its distances. It is solved
exactly, by the flow that is its dual.
"""

from collections.abc import Sequence
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from engine.layout.layers import Layered

# What one cell to the side costs a line with no bend, one or two at its ends: a long line is
# straight. After the same paper.
WEIGHTS = (1, 2, 8)

Whole = NDArray[np.int64]


def columns(found: Layered, widths: Sequence[int]) -> list[float]:
    """The middle of each number from the left edge of the picture, in the unit of `widths`: what
    each takes of its layer.

    Of the best answers, which are many where there is room, it is the mean of the one furthest to
    the left and, in a picture no wider, the one furthest to the right: a best one too, and the
    same whatever way the flow was found.
    """
    if not widths:
        return []
    half = np.array(widths, dtype=np.int64)  # in halves of the unit, so that nothing is rounded
    low, high, apart = _must(found, half)
    left = _least(half, low, high, apart)
    edge = int((left + half).max())
    # From the right edge the same is true the other way round.
    right = edge - _least(half, high, low, apart)
    return [float(twice) / 4 for twice in left + right]


def _must(found: Layered, half: Whole) -> tuple[Whole, Whole, Whole]:
    """What is true of the best answers and of no others (complementary slackness): numbers, others,
    and how far to the right of the first the second is at least."""
    # Here, since it is slow to import and most processes never draw anything.
    from ortools.graph.python import min_cost_flow

    beside = _pairs([pair for layer in found.layers for pair in pairwise(layer)])
    lines = _pairs([(low, high) for low, ends in enumerate(found.above) for high in ends])
    weights = np.array(WEIGHTS)[(lines >= len(found.numbers)).sum(axis=1)]
    low = np.concatenate([beside[:, 0], lines[:, 0], lines[:, 1]])
    high = np.concatenate([beside[:, 1], lines[:, 1], lines[:, 0]])
    apart = np.concatenate([half[beside].sum(axis=1), np.zeros(2 * len(lines), dtype=np.int64)])
    # The distances push, and each line holds back with no more than its weight.
    most = np.concatenate([np.full(len(beside), weights.sum() + 1), weights, weights])
    network = min_cost_flow.SimpleMinCostFlow()
    arcs = network.add_arcs_with_capacity_and_unit_cost(low, high, most, -apart)
    if len(arcs) and network.solve() != network.OPTIMAL:
        raise ValueError("the orders of the layers contradict each other")
    flows = network.flows(arcs)
    open_, used = flows < most, flows > 0
    return (
        np.concatenate([low[open_], high[used]]),
        np.concatenate([high[open_], low[used]]),
        np.concatenate([apart[open_], -apart[used]]),
    )


def _pairs(pairs: Sequence[tuple[int, int]]) -> Whole:
    return np.array(pairs, dtype=np.int64).reshape(-1, 2)


def _least(least: Whole, low: Whole, high: Whole, apart: Whole) -> Whole:
    """The least numbers from `least` on of which each at `high` is so far above that at `low`."""
    found = least
    while True:
        pushed = found.copy()
        np.maximum.at(pushed, high, found[low] + apart)
        if (pushed == found).all():
            return found
        found = pushed
