"""A simulated class at practice: how much help each child truly needs, and what a try then shows.

Nothing here is measured: it is a made-up process with a fixed seed, drawn so that a term looks
like one. The estimate that reads the tries is another process and sees only the log.
"""

import random
from collections.abc import Mapping
from math import floor

from curriculum.cards import CardView
from engine.progression import AllOf, AnyOf, Leaf, Tree
from engine.readiness.parameters import DEFAULTS, HELP, OUTCOMES, SPOTS

NOT_YET, HANDS_ON, HANDS_NEAR, NO_SPOT = range(len(HELP))
SPOT_AT = ("hands_on", "hands_on", "hands_near", "none")
STEP_UP = (0.9, 0.75, 0.7)  # chance to need less help after a station, from each state


class Pupil:
    """One child: her quickness, and the help that she truly needs by (skill, role)."""

    def __init__(self, name: str, quickness: float, cards: Mapping[str, CardView]) -> None:
        self.name = name
        self.quickness = quickness
        self.cards = cards
        self.help: dict[tuple[str, str], int] = {}

    def may(self, key: str, role: str) -> bool:
        """Whether a teacher lets her begin: what the card asks for is nearly there."""
        tree = self.cards[key].skill.roles[role].needs
        return tree is None or self._has(tree)

    def _has(self, tree: Tree) -> bool:
        if isinstance(tree, AllOf):
            return all(self._has(part) for part in tree.parts)
        if isinstance(tree, AnyOf):
            return any(self._has(part) for part in tree.parts)
        leaf: Leaf = tree
        return self.help.get((leaf.skill, leaf.role), NOT_YET) >= HELP.index(leaf.help) - 1

    def learn(self, key: str, role: str, dice: random.Random) -> None:
        """What a station's practice does to her."""
        state = self.help.get((key, role), NOT_YET)
        if state < NO_SPOT and dice.random() < STEP_UP[state] * self.quickness:
            state += 1
        self.help[key, role] = state

    def spot(self, key: str, role: str) -> str:
        """The spot that a sensible teacher gives her."""
        if not self.cards[key].spotted:
            return "none"
        return SPOT_AT[self.help.get((key, role), NOT_YET)]

    def outcome(self, key: str, role: str, spot: str, dice: random.Random) -> str:
        state = self.help.get((key, role), NOT_YET)
        chances = DEFAULTS.emission[SPOTS.index(spot)][state]
        return dice.choices(OUTCOMES, chances)[0]


def measure_of(outcome: str, figure: float, dice: random.Random) -> float:
    """A measured figure that the card maps back to the outcome."""
    low, high = {
        "clean": (figure, figure * 1.4),
        "shaky": (figure / 2, figure * 0.97),
        "not_there": (0.0, figure * 0.47),
    }[outcome]
    value = low + (high - low) * dice.random()
    # Rounded down, so that a figure never slips over the border that the card draws.
    return float(floor(value)) if figure >= 6 else floor(value * 10) / 10


def in_groups(
    pupils: list[Pupil], sizes: Mapping[str, int], key: str, dice: random.Random, *, apart=()
) -> list[dict[str, list[Pupil]]]:
    """Groups that a teacher might form by eye: whoever may, turn and turn about."""
    left = pupils[:]
    dice.shuffle(left)
    groups = []
    while True:
        group: dict[str, list[Pupil]] = {}
        taken: list[Pupil] = []
        for role, size in sizes.items():
            for pupil in left:
                if len(group.get(role, ())) == size:
                    break
                clash = any({pupil.name, other.name} == set(apart) for other in taken)
                if pupil not in taken and not clash and pupil.may(key, role):
                    group.setdefault(role, []).append(pupil)
                    taken.append(pupil)
        if any(len(group.get(role, ())) < size for role, size in sizes.items()):
            return groups
        left = [pupil for pupil in left if pupil not in taken]
        groups.append(group)
