"""The picture of what needs what: cards in layers, each above all that it needs, and lines between.

`pictured` gives numbers, in cells; drawing them is for somebody else.
"""

from engine.layout.graph import KINDS, SKILL, UNKNOWN, Edge, Graph, Need, graph_of
from engine.layout.layers import RUNS
from engine.layout.picture import LINES, Line, Picture, Placed, pictured

__all__ = [
    "KINDS",
    "LINES",
    "RUNS",
    "SKILL",
    "UNKNOWN",
    "Edge",
    "Graph",
    "Line",
    "Need",
    "Picture",
    "Placed",
    "graph_of",
    "pictured",
]
