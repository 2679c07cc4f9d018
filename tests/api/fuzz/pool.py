"""Real ids for made-up requests: whoever makes up ids only ever reads the answer “unknown”."""

import random
from uuid import UUID

from tests.api.cast import World

# What a parameter or a field is called -> what the cast calls it.
NAMES = {"class": "klass", "a": "student", "b": "student2", "base": "student", "flyer": "student2"}


class Pool:
    """Puts ids of the own, the sister and the other school where an id was made up."""

    def __init__(self, world: World, *, seed: int):
        self._places = (world.own, world.own, world.sister, world.foreign)
        self._dice = random.Random(seed)

    def real(self, name, value):
        """A real id for one that was made up under a name; anything else as it is."""
        if not _is_id(value) and name not in ("skill", "key", "number"):
            return value
        if self._dice.random() < 0.2:
            return value
        place = self._dice.choice(self._places)
        known = NAMES.get(name, name.removesuffix("_id"))
        if known == "skill" and _is_id(value):
            known = "skill_id"
        if known == "key":
            known = "skill"
        return getattr(place, known, value)

    def fill(self, value, name=""):
        """The same value with real ids at all depths."""
        if isinstance(value, dict):
            return {key: self.fill(inner, key) for key, inner in value.items()}
        if isinstance(value, list):
            return [self.fill(inner, name.removesuffix("s")) for inner in value]
        return self.real(name, value)


def _is_id(value):
    try:
        return isinstance(value, str) and str(UUID(value)) == value
    except ValueError:
        return False
