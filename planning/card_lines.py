"""A card as it is looked at beside the mat: what it says, without what only a desk needs."""

from collections.abc import Mapping
from dataclasses import dataclass
from uuid import UUID

from curriculum.cards import ROLES, CardView, SeeSay, Way
from curriculum.editions import EditionInUse
from planning.proposals import open_roles
from planning.reasons import needed


@dataclass(frozen=True)
class RoleOfCard:
    """A role with how many hold it in a group and what it puts on each of them."""

    role: str
    min: int
    max: int
    loads: tuple[str, ...]


@dataclass(frozen=True)
class NeedOfWay:
    """What a way asks of a role beyond what the hold itself asks."""

    role: str
    says: str


@dataclass(frozen=True)
class WayOfCard:
    key: str
    name: str
    spot: str | None
    needs: tuple[NeedOfWay, ...]


@dataclass(frozen=True)
class SpotOfCard:
    """Where the adult stands and where the hands go; `child_helper` may stand beside her."""

    stands: str
    way_up: str | None
    hold: str | None
    way_down: str | None
    child_helper: bool


@dataclass(frozen=True)
class MeasureOfCard:
    """At the figure a try is clean, from half of it shaky."""

    unit: str
    figure: float


@dataclass(frozen=True)
class AgreedBefore:
    """What a group agrees before it starts."""

    count: str | None
    first: str | None
    steps: int | None
    way_out: str | None


@dataclass(frozen=True)
class CardLines:
    """One card of an edition; `alone` says that it is done in no groups."""

    skill: str
    skill_id: UUID
    name: str
    family: str
    family_key: str
    tier: str
    lifted: bool
    spotted: bool
    habit: bool
    alone: bool
    roles: tuple[RoleOfCard, ...]
    learning_size: int | None
    criterion: str
    measure: MeasureOfCard | None
    spot: SpotOfCard | None
    contacts: str | None
    grip: str | None
    steps: tuple[str, ...]
    cues: tuple[str, ...]
    faults: tuple[SeeSay, ...]
    ways_in: tuple[WayOfCard, ...]
    shapes: tuple[WayOfCard, ...]
    ways_out: tuple[WayOfCard, ...]
    way_down: str | None
    stop: str | None
    bail_out: str | None
    agreed_before: AgreedBefore | None
    caution: str | None
    at_home: str | None
    pose: Mapping[str, object] | None


def card_lines(edition: EditionInUse, card: CardView) -> CardLines:
    """This will tell a card of an edition as it stands on the phone."""
    spot, agreed, measure = card.spot, card.agreed_before, card.measure
    return CardLines(
        skill=card.key,
        skill_id=edition.skill_ids[card.key],
        name=card.name,
        family=edition.families[card.skill.family],
        family_key=card.skill.family,
        tier=card.tier,
        lifted=card.lifted,
        spotted=card.spotted,
        habit=card.skill.habit,
        alone=open_roles(card) == ("solo",),
        roles=tuple(
            RoleOfCard(name, role.min, role.max, tuple(sorted(card.loads.get(name, ()))))
            for name, role in card.skill.roles.items()
        ),
        learning_size=card.learning_size,
        criterion=card.criterion,
        measure=MeasureOfCard(measure["unit"], float(measure["figure"])) if measure else None,
        spot=SpotOfCard(
            spot["stands"],
            spot.get("way_up"),
            spot.get("hold"),
            spot.get("way_down"),
            spot.get("child_helper", False),
        )
        if spot
        else None,
        contacts=card.contacts,
        grip=card.grip,
        steps=card.steps,
        cues=card.cues,
        faults=card.faults,
        ways_in=_ways(edition, card.ways_in),
        shapes=_ways(edition, card.shapes),
        ways_out=_ways(edition, card.ways_out),
        way_down=card.way_down,
        stop=card.stop,
        bail_out=card.bail_out,
        agreed_before=AgreedBefore(
            *(agreed.get(name) for name in ("count", "first", "steps", "way_out"))
        )
        if agreed
        else None,
        caution=card.caution,
        at_home=card.at_home,
        pose=card.pose,
    )


def _ways(edition: EditionInUse, ways: tuple[Way, ...]) -> tuple[WayOfCard, ...]:
    return tuple(WayOfCard(way.key, way.name, way.spot, _needs(edition, way)) for way in ways)


def _needs(edition: EditionInUse, way: Way) -> tuple[NeedOfWay, ...]:
    return tuple(
        NeedOfWay(role, needed(edition.cards, way.needs[role]))
        for role in ROLES
        if role in way.needs
    )
