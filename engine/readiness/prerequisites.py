"""Prerequisite trees whose leaves carry a probability: what decides, and what it adds up to.

Readiness is decided on the deciding leaf alone: a product would punish a skill for having many
prerequisites although each of them is there.
"""

from __future__ import annotations

import json
import math
from dataclasses import dataclass
from typing import Generic, TypeVar

from engine.files import Node, load_json

_KEYS = frozenset({"all_of", "any_of", "p", "label"})

L = TypeVar("L")


@dataclass(frozen=True, slots=True)
class Leaf(Generic[L]):
    """`p` = probability of being at or above the help asked, now; `label` says which."""

    p: float
    label: L


@dataclass(frozen=True, slots=True)
class AllOf(Generic[L]):
    parts: tuple[Tree[L], ...]


@dataclass(frozen=True, slots=True)
class AnyOf(Generic[L]):
    parts: tuple[Tree[L], ...]


Tree = Leaf[L] | AllOf[L] | AnyOf[L]


@dataclass(frozen=True, slots=True)
class Combined(Generic[L]):
    """A whole tree.

    decides: the leaf on which it hangs. probability: leaves taken as independent, for sorting
    only. at_least, at_most: bounds whatever the leaves have to do with each other.
    """

    decides: Leaf[L]
    probability: float
    at_least: float
    at_most: float


def deciding(tree: Tree[L]) -> Leaf[L]:
    """The leaf on which the tree hangs.

    Of `AllOf` the part with the least p, of `AnyOf` the one with the greatest, the first on a
    tie; the p of a part is that of its own deciding leaf.
    """
    if isinstance(tree, Leaf):
        return tree
    leaves = [deciding(part) for part in tree.parts]
    pick = min if isinstance(tree, AllOf) else max
    return pick(leaves, key=lambda leaf: leaf.p)


def combine(tree: Tree[L]) -> Combined[L]:
    """The tree's deciding leaf, probability and bounds (Fréchet 1935, applied up the tree)."""
    probability, at_least, at_most = _bounds(tree)
    return Combined(deciding(tree), probability, at_least, at_most)


def _bounds(tree: Tree[L]) -> tuple[float, float, float]:
    if isinstance(tree, Leaf):
        return tree.p, tree.p, tree.p
    probabilities, lows, highs = zip(*map(_bounds, tree.parts), strict=True)
    if isinstance(tree, AllOf):
        overlap = math.fsum([*lows, 1 - len(lows)])
        return math.prod(probabilities), max(0.0, overlap), min(highs)
    none = math.prod(1 - probability for probability in probabilities)
    return 1 - none, max(lows), min(1.0, math.fsum(highs))


def run_combine(text: str | bytes) -> str:
    """The answer to a prerequisite tree's file, as JSON text. Raises `BadFile`."""
    combined = combine(read_tree(load_json(text)))
    answer = {
        "decides": {"p": combined.decides.p, "label": combined.decides.label},
        "probability": combined.probability,
        "at_least": combined.at_least,
        "at_most": combined.at_most,
    }
    return json.dumps(answer, allow_nan=False)


def read_tree(node: Node) -> Tree[str]:
    """`{"all_of": […]}`, `{"any_of": […]}` or a leaf `{"p": …, "label": …}`."""
    members = node.mapping(allowed=_KEYS)
    if "all_of" in members:
        return AllOf(_read_parts(node, "all_of"))
    if "any_of" in members:
        return AnyOf(_read_parts(node, "any_of"))
    if not members:
        node.fail("should have all_of, any_of, or p and label")
    return Leaf(p=node["p"].number(low=0, high=1), label=node["label"].text())


def _read_parts(node: Node, key: str) -> tuple[Tree[str], ...]:
    node.mapping(allowed=frozenset({key}))
    parts = tuple(read_tree(part) for part in node[key].items())
    if not parts:
        node[key].fail("should not be empty")
    return parts
