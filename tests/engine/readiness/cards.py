"""Small curricula and evidence for the tests of judging."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta

from engine.progression import Role, Skill
from engine.readiness.chain import Belief
from engine.readiness.evidence import Evidence

AS_OF = datetime(2026, 3, 20, 16, 0, tzinfo=UTC)
TODAY = date(2026, 3, 20)


def skill(key, roles, *, habit=False):
    """`roles` gives each role's tree, None for none."""
    return Skill(
        key=key,
        name=key.title(),
        family="floor",
        lifted=False,
        habit=habit,
        spotted=True,
        way_down=True,
        caution=True,
        roles={role: Role(1, 1, needs) for role, needs in roles.items()},
    )


def skills(**cards):
    """Skills by key; a card is its roles, or ("habit", roles)."""
    return {
        key: skill(key, card[1], habit=True) if isinstance(card, tuple) else skill(key, card)
        for key, card in cards.items()
    }


def seen(state, *, days_ago, counted=2, cleans=1):
    """Evidence that stands at `state` now, last tried so many days ago, all cleans unspotted."""
    belief = Belief(
        state=tuple(state),
        last_at=AS_OF - timedelta(days=days_ago) if counted else None,
        counted=counted,
        days=min(counted, 2),
        last_clean_on=(None, None, TODAY - timedelta(days=days_ago) if cleans else None),
        clean_unspotted=cleans,
        clean_unspotted_days=min(cleans, 2),
    )
    return Evidence(belief, tuple(state), AS_OF, TODAY)
