"""Groups side by side, fairly: what was seen, how sure that is, and what chance alone gives.

Each part is one standard estimator on plain arrays; what they are put together for stands in
`planning.comparison`.
"""

from engine.comparison.levels import Levels, adjusted, comparable, without_difficulty
from engine.comparison.pooling import Pooled, between_variance, distances, pooled
from engine.comparison.shares import Z_95, Z_998, funnel_limit, funnel_limits, wilson, within_funnel
from engine.comparison.strictness import Strictness, strictness
from engine.comparison.survival import Curve, kaplan_meier, log_rank

__all__ = [
    "Z_95",
    "Z_998",
    "Curve",
    "Levels",
    "Pooled",
    "Strictness",
    "adjusted",
    "between_variance",
    "comparable",
    "distances",
    "funnel_limit",
    "funnel_limits",
    "kaplan_meier",
    "log_rank",
    "pooled",
    "strictness",
    "wilson",
    "within_funnel",
    "without_difficulty",
]
