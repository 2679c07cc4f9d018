"""The order within each layer, so that few lines cross.

Layer by layer, up and down: by the mean place of the neighbours in the layer that stands (Sugiyama,
Tagawa and Toda 1981, doi 10.1109/TSMC.1981.4308636; between two layers at most d − 1 times the
fewest crossings, d the most lines of one node: Li and Stallmann 2002, "New bounds on the barycenter
heuristic"), then by swaps of two that stand side by side (Gansner, Koutsofios, North and Vo 1993,
doi 10.1109/32.221135). The best order that was seen is kept.
"""

from bisect import bisect_right, insort
from collections.abc import Sequence

from engine.layout.layers import Layered

Neighbours = Sequence[Sequence[int]]

IDLE_SWEEPS = 8  # so many in a row that better nothing, twice each way of a tie, and it stands
EFFORT = 200_000  # lines that all sweeps may look at; two hundred cards need a tenth of it


def order(found: Layered) -> None:
    """This will put each layer in an order with few crossings, in place."""
    lines = sum(map(len, found.above))
    fewest, best = crossings(found.layers, found.above), [[*layer] for layer in found.layers]
    place = places(found.layers)
    done = idle = 0
    while fewest and idle < IDLE_SWEEPS and done * lines < EFFORT:
        sweep(found, place, upwards=done % 2 == 0, turn=done % 4 < 2)
        crossed = crossings(found.layers, found.above)
        idle += 1
        if crossed < fewest:
            fewest, best, idle = crossed, [[*layer] for layer in found.layers], 0
        done += 1
    found.layers[:] = best


def places(layers: Sequence[Sequence[int]]) -> list[int]:
    """The place of each number in its layer, from 0."""
    place = [0] * sum(map(len, layers))
    for layer in layers:
        for at, number in enumerate(layer):
            place[number] = at
    return place


def sweep(found: Layered, place: list[int], *, upwards: bool, turn: bool) -> None:
    """Order one layer after the other by the one that was ordered before it."""
    others = range(1, len(found.layers)) if upwards else range(len(found.layers) - 2, -1, -1)
    for at in others:
        layer = found.layers[at]
        by_mean(layer, found.below if upwards else found.above, place, turn=turn)
        swap(layer, (found.below, found.above), place)
        for number, of in enumerate(layer):
            place[of] = number


def by_mean(
    layer: list[int], neighbours: Neighbours, place: Sequence[int], *, turn: bool = False
) -> None:
    """Order a layer by the mean places of its neighbours in one other, in place.

    What is alike keeps its order, or turns it. What has no neighbours there stays where it is.
    """
    held = [number for number in layer if neighbours[number]]
    means = {
        number: sum(place[other] for other in neighbours[number]) / len(neighbours[number])
        for number in held
    }
    ordered = iter(sorted(held[::-1] if turn else held, key=means.__getitem__))
    layer[:] = [next(ordered) if neighbours[number] else number for number in layer]


def swap(layer: list[int], sides: Sequence[Neighbours], place: Sequence[int]) -> None:
    """Swap two that stand side by side as long as that takes crossings away, in place."""
    near = {
        number: [sorted(place[other] for other in side[number]) for side in sides]
        for number in layer
    }
    better = True
    while better:
        better = False
        for at in range(len(layer) - 1):
            left, right = near[layer[at]], near[layer[at + 1]]
            now = sum(map(_crossed, left, right))
            if now and sum(map(_crossed, right, left)) < now:
                layer[at], layer[at + 1] = layer[at + 1], layer[at]
                better = True


def _crossed(left: Sequence[int], right: Sequence[int]) -> int:
    """How many pairs of a place of `left` and a lesser one of `right`; both are sorted."""
    if not left or not right or left[-1] <= right[0]:
        return 0
    count = lesser = 0
    for at in left:
        while lesser < len(right) and right[lesser] < at:
            lesser += 1
        count += lesser
    return count


def crossings(layers: Sequence[Sequence[int]], above: Neighbours) -> int:
    """How many pairs of lines cross between the layers as they stand."""
    place = places(layers)
    count = 0
    for layer in layers:
        passed: list[int] = []  # where the lines of what stands further left end, sorted
        for number in layer:
            ends = [place[other] for other in above[number]]
            count += sum(len(passed) - bisect_right(passed, end) for end in ends)
            for end in ends:
                insort(passed, end)
    return count
