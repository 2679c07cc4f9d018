"""Cards as values: what an edition says of each skill, as the engine and the sheet read it."""

from collections.abc import Mapping
from dataclasses import dataclass

from curriculum.models import LOADS as LOADS
from curriculum.models import ROLES
from curriculum.models import TIERS as TIERS
from engine.pose import FACES as FACES
from engine.progression import AllOf, AnyOf, Leaf, Role, Skill, Tree

UNITS = ("s", "times", "steps", "counts")


@dataclass(frozen=True)
class Way:
    """A way in, a way out or a shape, with what each role needs for it."""

    key: str
    name: str
    needs: Mapping[str, Tree]
    spot: str | None


@dataclass(frozen=True)
class SeeSay:
    """A common fault: what is seen of it, and what is said then."""

    see: str
    say: str


@dataclass(frozen=True)
class CardView:
    """One card of an edition. `loads` maps a role to what it puts on her."""

    skill: Skill
    position: int
    tier: str
    youngest_age: int | None
    criterion: str
    measure: Mapping[str, object] | None
    loads: Mapping[str, frozenset[str]]
    carried_share: float | None
    max_height_difference_cm: float | None
    flyer_taller_by_at_most_cm: float | None
    keep_partners: bool
    learning_size: int | None
    spot: Mapping[str, object] | None
    contacts: str | None
    grip: str | None
    steps: tuple[str, ...]
    cues: tuple[str, ...]
    faults: tuple[SeeSay, ...]
    ways_in: tuple[Way, ...]
    shapes: tuple[Way, ...]
    ways_out: tuple[Way, ...]
    way_down: str | None
    stop: str | None
    bail_out: str | None
    caution: str | None
    agreed_before: Mapping[str, object]
    at_home: str | None
    pose: Mapping[str, object] | None

    @property
    def key(self) -> str:
        return self.skill.key

    @property
    def name(self) -> str:
        return self.skill.name

    @property
    def lifted(self) -> bool:
        return self.skill.lifted

    @property
    def spotted(self) -> bool:
        return self.skill.spotted


def views(documents: Mapping[str, Mapping[str, object]]) -> dict[str, CardView]:
    """This will turn the card documents of a curriculum (key -> document) into views.

    A leaf without a role means the same role if the needed skill has it, else its only role.
    The documents follow the schema; a leaf whose role cannot be told keeps the asking role,
    which the checks before publishing then name as unknown.
    """
    return {
        key: _view(key, position, document, documents)
        for position, (key, document) in enumerate(documents.items())
    }


def _view(key, position, document, documents):
    def tree(node, role):
        return _tree(node, role, documents)

    def ways(kind):
        return tuple(
            Way(
                key=way["key"],
                name=way["name"],
                needs={role: tree(node, role) for role, node in way.get("needs", {}).items()},
                spot=way.get("spot"),
            )
            for way in document.get(kind, ())
        )

    # A database may hand the members of an object back in any order; ours is the roles' own.
    roles = {
        name: Role(
            min=role.get("min", 1),
            max=role.get("max", max(1, role.get("min", 1))),
            needs=tree(role["needs"], name) if "needs" in role else None,
        )
        for name in ROLES
        if (role := document["roles"].get(name)) is not None
    }
    skill = Skill(
        key=key,
        name=document["name"],
        family=document["family"],
        lifted=document.get("lifted", False),
        habit=document.get("habit", False),
        spotted="spot" in document,
        way_down="way_down" in document,
        caution="caution" in document,
        roles=roles,
    )
    return CardView(
        skill=skill,
        position=position,
        tier=document.get("tier", "floor"),
        loads={n: frozenset(role.get("loads", ())) for n, role in document["roles"].items()},
        keep_partners=document.get("keep_partners", False),
        steps=tuple(document.get("steps", ())),
        cues=tuple(document.get("cues", ())),
        faults=tuple(SeeSay(one["see"], one["say"]) for one in document.get("faults", ())),
        ways_in=ways("ways_in"),
        shapes=ways("shapes"),
        ways_out=ways("ways_out"),
        agreed_before=document.get("agreed_before", {}),
        criterion=document["criterion"],
        **{
            name: document.get(name)
            for name in (
                "youngest_age",
                "measure",
                "carried_share",
                "max_height_difference_cm",
                "flyer_taller_by_at_most_cm",
                "learning_size",
                "spot",
                "contacts",
                "grip",
                "way_down",
                "stop",
                "bail_out",
                "caution",
                "at_home",
            )
        },
        pose=_in_order(document.get("pose")),
    )


def _in_order(value):
    """A part of a document with its members by name: a database keeps no order of them."""
    if isinstance(value, list):
        return [_in_order(item) for item in value]
    if isinstance(value, dict):
        return {name: _in_order(value[name]) for name in sorted(value)}
    return value


def _tree(node, role, documents):
    if "all_of" in node:
        return AllOf(tuple(_tree(part, role, documents) for part in node["all_of"]))
    if "any_of" in node:
        return AnyOf(tuple(_tree(part, role, documents) for part in node["any_of"]))
    return Leaf(
        node["skill"], node.get("role") or _role_meant(node["skill"], role, documents), node["help"]
    )


def _role_meant(skill, role, documents):
    roles = documents.get(skill, {}).get("roles", {})
    if role in roles or len(roles) != 1:
        return role
    return next(iter(roles))
