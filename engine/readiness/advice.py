"""What goes with a judgement: which spot to begin with, and when the log flatters.

Common practice, no published source.
"""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date

from engine.readiness.evidence import Evidence
from engine.readiness.parameters import SPOTS

HANDS_ON, HANDS_NEAR, NONE = SPOTS

ONLY_CLEANS_DAYS = 21


def spot_advice(
    evidence: Evidence | None,
    *,
    new_pair: bool,
    new_floor: bool,
    after_break: bool,
    last_spot: str | None,
) -> str:
    """The spot to begin with tonight: "hands_on", "hands_near" or "none".

    Hands on for a new pair, on a new floor, after a break, and where nothing has been tried.
    Otherwise what the child most probably needs, no spot only once she is steady, and at most
    one step below `last_spot`, the spot of her last try (None: not known, so hands on).
    """
    if new_pair or new_floor or after_break or evidence is None or last_spot is None:
        return HANDS_ON
    if evidence.steady:
        needed = NONE
    elif evidence.likely in ("hands_near", "no_spot"):
        needed = HANDS_NEAR
    else:
        needed = HANDS_ON
    one_step_down = SPOTS.index(last_spot) + 1
    return SPOTS[min(SPOTS.index(needed), one_step_down)]


def only_cleans(tries: Iterable[tuple[date, str]], on: date) -> bool:
    """Has this log been nothing but cleans for three weeks?

    `tries` are the local date and the outcome of the counted tries of one class or teacher up to
    the date `on`. True if there were tries in the 21 days before `on`, all of them clean, and the
    log is at least that old. Such a log makes every estimate a flatterer; the teacher is told
    privately.
    """
    ages = [((on - day).days, outcome) for day, outcome in tries]
    lately = [outcome for days, outcome in ages if days < ONLY_CLEANS_DAYS]
    old_enough = any(days >= ONLY_CLEANS_DAYS for days, _ in ages)
    return old_enough and bool(lately) and all(outcome == "clean" for outcome in lately)
