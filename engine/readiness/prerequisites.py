"""Prerequisite trees whose leaves carry a probability: what decides, and what it adds up to.

Readiness is decided on the deciding leaf alone: a product would punish a skill for having many
prerequisites although each of them is there.
"""

from __future__ import annotations

import json
import math
from collections.abc import Callable
from dataclasses import dataclass
from operator import attrgetter, itemgetter
from typing import Generic, TypeAlias, TypeVar

from engine.files import Node, load_json

_KEYS = frozenset({"all_of", "any_of", "p", "label"})

L = TypeVar("L")


@dataclass(frozen=True, slots=True)
class AllOf(Generic[L]):
    """All of the parts; never empty."""

    parts: tuple[Tree[L], ...]


@dataclass(frozen=True, slots=True)
class AnyOf(Generic[L]):
    """Any one of the parts; never empty."""

    parts: tuple[Tree[L], ...]


# A leaf is any value whose probability can be asked for.
Tree: TypeAlias = "L | AllOf[L] | AnyOf[L]"


@dataclass(frozen=True, slots=True)
class Chance:
    """A leaf of a file: `p` = probability of being at or above the help that `label` names."""

    p: float
    label: str


@dataclass(frozen=True, slots=True)
class Combined(Generic[L]):
    """A whole tree.

    decides: the leaf on which it hangs, p its probability. probability: leaves taken as
    independent, for sorting only. at_least, at_most: bounds whatever the leaves have to do with
    each other.
    """

    decides: L
    p: float
    probability: float
    at_least: float
    at_most: float


def deciding(tree: Tree[L], p_of: Callable[[L], float]) -> tuple[float, L]:
    """The leaf on which the tree hangs, after its p.

    Of `AllOf` the part with the least p, of `AnyOf` the one with the greatest, the first on a
    tie; the p of a part is that of its own deciding leaf.
    """
    if isinstance(tree, AllOf):
        return min([deciding(part, p_of) for part in tree.parts], key=itemgetter(0))
    if isinstance(tree, AnyOf):
        return max([deciding(part, p_of) for part in tree.parts], key=itemgetter(0))
    return p_of(tree), tree


def combine(tree: Tree[L], p_of: Callable[[L], float]) -> Combined[L]:
    """The tree's deciding leaf, probability and bounds (Fréchet 1935, applied up the tree)."""
    p, decides = deciding(tree, p_of)
    return Combined(decides, p, *_bounds(tree, p_of))


def _bounds(tree: Tree[L], p_of: Callable[[L], float]) -> tuple[float, float, float]:
    """Probability, at least, at most."""
    if not isinstance(tree, AllOf | AnyOf):
        p = p_of(tree)
        return p, p, p
    parts = [_bounds(part, p_of) for part in tree.parts]
    probabilities, lows, highs = zip(*parts, strict=True)
    if isinstance(tree, AllOf):
        overlap = math.fsum([*lows, 1 - len(lows)])
        return math.prod(probabilities), max(0.0, overlap), min(highs)
    none = math.prod(1 - probability for probability in probabilities)
    return 1 - none, max(lows), min(1.0, math.fsum(highs))


def run_combine(text: str | bytes) -> str:
    """The answer to a prerequisite tree's file, as JSON text. Raises `BadFile`."""
    combined = combine(read_tree(load_json(text)), attrgetter("p"))
    answer = {
        "decides": {"p": combined.p, "label": combined.decides.label},
        "probability": combined.probability,
        "at_least": combined.at_least,
        "at_most": combined.at_most,
    }
    return json.dumps(answer, allow_nan=False)


def read_tree(node: Node) -> Tree[Chance]:
    """`{"all_of": […]}`, `{"any_of": […]}` or a leaf `{"p": …, "label": …}`."""
    members = node.mapping(allowed=_KEYS)
    if "all_of" in members:
        return AllOf(_read_parts(node, "all_of"))
    if "any_of" in members:
        return AnyOf(_read_parts(node, "any_of"))
    if not members:
        node.fail("should have all_of, any_of, or p and label")
    return Chance(p=node["p"].number(low=0, high=1), label=node["label"].text())


def _read_parts(node: Node, key: str) -> tuple[Tree[Chance], ...]:
    node.mapping(allowed=frozenset({key}))
    parts = tuple(read_tree(part) for part in node[key].items())
    if not parts:
        node[key].fail("should not be empty")
    return parts
