"""The picture of what needs what: cards in layers, each above all that it needs, and lines between.

`pictured` gives numbers, in cells; drawing them is for somebody else.
"""

from engine.layout.graph import KINDS, SKILL, Need
from engine.layout.layers import RUNS
from engine.layout.picture import LINES, Line, Picture, Placed, pictured

__all__ = ["KINDS", "LINES", "RUNS", "SKILL", "Line", "Need", "Picture", "Placed", "pictured"]
