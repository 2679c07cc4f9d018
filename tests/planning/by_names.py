"""Groups by the names of their children, and what was found in them by their sentences."""

from planning.by_hand import Check, Formed
from planning.evening import Evening
from tests.planning.build import id_of


def formed(*groups: dict[str, str], **same) -> tuple[Formed, ...]:
    """Groups such as {"base": "Amara", "flyer": "Bao"}; several names of a role by spaces."""
    return tuple(
        Formed({role: tuple(map(id_of, names.split())) for role, names in group.items()}, **same)
        for group in groups
    )


def named(evening: Evening, groups) -> list[dict[str, str]]:
    """The same the other way round, names in alphabetical order."""
    names = {child.id: child.name for child in evening.listed}
    return [
        {role: " ".join(sorted(names[one] for one in held)) for role, held in group.seats.items()}
        for group in groups
    ]


def stops(checked: Check) -> list[str]:
    return [stop.sentence for stop in checked.all_stops]


def asks(checked: Check) -> list[tuple[str, str]]:
    return [(ask.code, ask.about) for group in checked.groups for ask in group.asks]
