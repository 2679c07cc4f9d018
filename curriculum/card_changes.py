"""What changed on a card, in sentences a teacher understands.

A sentence begins in lower case and stands under the card's name. Texts are given before and after,
since no sentence says of them what reading does.
"""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass

from curriculum.cards import ROLES, CardView, Way
from engine.progression import AllOf, AnyOf, Leaf, Tree

KINDS = (
    *("name", "family", "order", "succession", "needs", "roles", "loads", "criterion", "measure"),
    *("limit", "lifted", "spot", "way", "text", "picture"),
)
HELP = {
    "hands_on": "with hands on",
    "hands_near": "with hands near",
    "no_spot": "with no spot",
}
WHO = {
    "solo": "whoever does it alone",
    "partner": "each partner",
    "base": "the base",
    "flyer": "the flyer",
    "spotter": "the spotter",
    "front": "whoever is in front",
    "middle": "whoever is in the middle",
    "back": "whoever is at the back",
}
MANY = {
    "solo": "alone",
    "partner": "partners",
    "base": "bases",
    "flyer": "flyers",
    "spotter": "spotters",
    "front": "in front",
    "middle": "in the middle",
    "back": "at the back",
}
TIERS = {"floor": "on the floor", "low": "low", "mid": "at mid height"}
# Field -> kind, and what a figure of it says.
FIGURES = {
    "youngest_age": ("limit", "from {} years on"),
    "carried_share": ("limit", "the hold puts {} of the flyer on the bases"),
    "max_height_difference_cm": ("limit", "base and flyer at most {} cm apart in height"),
    "flyer_taller_by_at_most_cm": ("limit", "the flyer at most {} cm taller than the base"),
    "learning_size": ("limit", "at most {} in a group while it is learned"),
}
# Field -> kind, and what is said when it begins and when it ends to hold.
FLAGS = {
    "habit": ("lifted", "it is a habit now: ticked, never spotted", "it is no habit any more"),
    "lifted": (
        "lifted",
        "it is lifted now: no part of the flyer on the floor",
        "it is not lifted any more",
    ),
    "keep_partners": (
        "limit",
        "partners stay together now while it is learned",
        "partners need not stay together any more",
    ),
}
# Field -> kind, and how its text is called.
TEXTS = {
    "criterion": ("criterion", "what counts as clean"),
    "contacts": ("text", "who holds where"),
    "grip": ("text", "the grip"),
    "steps": ("text", "how it is taught"),
    "cues": ("text", "what is called out"),
    "faults": ("text", "what is seen and said"),
    "way_down": ("way", "the way down"),
    "stop": ("text", "how it is stopped"),
    "bail_out": ("text", "what the others do when somebody slips"),
    "caution": ("text", "the caution"),
    "agreed_before": ("text", "what is agreed before"),
    "at_home": ("text", "what may be done at home"),
}
SPOT = {
    "stands": "where the spot stands",
    "way_up": "the spot on the way up",
    "hold": "the spot in the hold",
    "way_down": "the spot on the way down",
}
WAYS = {"ways_in": "way in", "shapes": "shape", "ways_out": "way out"}
SAID = {"name", "family", "roles", "measure", "tier", "spot", "pose"}
SAID |= {*FIGURES, *FLAGS, *TEXTS, *WAYS}  # all fields of a card that are told of


@dataclass(frozen=True)
class Change:
    """One thing that changed, of one of `KINDS`. `before` and `after` are what it was and is in
    full, where the sentence is less than that; None where there was or is nothing."""

    kind: str
    sentence: str
    before: str | None = None
    after: str | None = None


@dataclass(frozen=True)
class Names:
    """How skills and families are called, and by which skills one is carried on."""

    skill: Callable[[str], str]
    families: tuple[Mapping[str, str], Mapping[str, str]]  # before and after
    heirs: Callable[[str], frozenset[str]]
    alone: Callable[[str], bool]  # whether a skill has one role only


def changes(
    old: Mapping, new: Mapping, *, was: CardView, now: CardView, names: Names
) -> tuple[Change, ...]:
    """This will tell what changed from one card to another, each as document and as view.

    There is a sentence wherever the documents differ.
    """
    found = (
        *_plain(old, new, names),
        *_roles(was, now, names),
        *_ways(was, now, names),
    )
    if not found and old != new:
        return (Change("text", "it is written in another way and says the same"),)
    return found


def needed(card: CardView, names: Names) -> tuple[Change, ...]:
    """This will tell what each role of a new card needs."""
    return tuple(
        Change("needs", f"{_who(card, role)} needs: {_said(part.needs, names)}")
        for role, part in card.skill.roles.items()
        if part.needs is not None
    )


def _plain(old, new, names) -> Iterator[Change]:
    if old["name"] != new["name"]:
        yield Change("name", f"renamed from “{old['name']}” to “{new['name']}”")
    if old["family"] != new["family"]:
        before, after = (
            families.get(card["family"], card["family"])
            for families, card in zip(names.families, (old, new), strict=True)
        )
        yield Change("family", f"moved from “{before}” to “{after}”")
    tiers = [TIERS[card.get("tier", "floor")] for card in (old, new)]
    if tiers[0] != tiers[1]:
        yield Change("lifted", f"how high: {tiers[1]} now, it was {tiers[0]}")
    for field, (kind, begins, ends) in FLAGS.items():
        if old.get(field, False) != new.get(field, False):
            yield Change(kind, begins if new.get(field) else ends)
    yield from _measure(old.get("measure"), new.get("measure"))
    for field, (kind, says) in FIGURES.items():
        before, after = (_figure(field, card.get(field)) for card in (old, new))
        if before != after:
            yield Change(kind, _turned(says.format(after or before), before, after))
    for field, (kind, called) in TEXTS.items():
        yield from _text(kind, called, old.get(field), new.get(field))
    spots = old.get("spot", {}), new.get("spot", {})
    for field, called in SPOT.items():
        yield from _text("spot", called, *(spot.get(field) for spot in spots))
    helps = [spot.get("child_helper", False) for spot in spots]
    if helps[0] != helps[1]:
        may = "may now" if helps[1] else "may no longer"
        yield Change("spot", f"a child with a teacher's yes {may} stand beside the adult")
    yield from _thing("picture", "the picture of the hold", old.get("pose"), new.get("pose"))
    for field in sorted((old.keys() | new.keys()) - SAID):
        yield from _thing("text", f"“{field}”", old.get(field), new.get(field))


def _measure(old, new):
    if old == new:
        return
    before, after = (said and f"{said['figure']:g} {said['unit']}" for said in (old, new))
    if old and new:
        what = "the hold" if new["unit"] == old["unit"] == "s" else "clean"
        yield Change("measure", f"{what} is now {after}, it was {before}")
    else:
        yield Change("measure", _turned(f"measured: {after or before}", before, after))


def _figure(field, value):
    if value is None:
        return None
    return f"{value * 100:g} %" if field == "carried_share" else f"{value:g}"


def _turned(says, before, after):
    """A statement with what it was; new where nothing was, no longer where nothing is."""
    if before is None:
        return f"new: {says}"
    return f"no longer: {says}" if after is None else f"{says} now, it was {before}"


def _thing(kind, called, old, new):
    if old != new:
        says = "is new" if old is None else "is gone" if new is None else "has changed"
        yield Change(kind, f"{called} {says}")


def _text(kind, called, old, new):
    for change in _thing(kind, called, old, new):
        yield Change(kind, change.sentence, _as_text(old), _as_text(new))


def _as_text(said):
    """A text, a list of them, or what is seen and said, as lines."""
    if isinstance(said, list):
        return "\n".join(
            f"{one['see']}: {one['say']}" if isinstance(one, dict) else one for one in said
        )
    if isinstance(said, dict):
        return "\n".join(f"{name.replace('_', ' ')}: {text}" for name, text in said.items())
    return said


def _roles(was: CardView, now: CardView, names) -> Iterator[Change]:
    for role in ROLES:
        old, new = was.skill.roles.get(role), now.skill.roles.get(role)
        before, after = (part and _count(part) for part in (old, new))
        if before != after:
            yield Change("roles", _turned(f"{MANY[role]}: {after or before}", before, after))
        if new is None:
            continue
        who = _who(now, role)
        needed = _needs(who, old and old.needs, new.needs, names)
        yield from needed
        loads = was.loads.get(role, frozenset()), now.loads[role]
        for says, which in (("now also", loads[1] - loads[0]), ("no longer", loads[0] - loads[1])):
            if which:
                listed = ", ".join(sorted(load.replace("_", " ") for load in which))
                yield Change("loads", f"loads on {who}: {says} {listed}")


def _count(role):
    return f"{role.min}" if role.min == role.max else f"{role.min} to {role.max}"


def _who(card, role):
    return "it" if list(card.skill.roles) == ["solo"] else WHO[role]


def _needs(who, old: Tree | None, new: Tree | None, names, kind="needs") -> Iterator[Change]:
    """What is needed now and was not, and the other way round; by what all of it asks."""
    if old == new:
        return
    whole = {"before": old and _said(old, names), "after": new and _said(new, names)}
    gone = [part for part in _parts(old) if part not in _parts(new)]
    come = [part for part in _parts(new) if part not in _parts(old)]
    for part in [part for part in gone if isinstance(part, Leaf)]:
        leaves = [one for one in come if isinstance(one, Leaf)]
        same = [one for one in leaves if one.node == part.node][:1]
        heirs = [
            one for one in leaves if one.help == part.help and one.skill in names.heirs(part.skill)
        ]
        if not same and not heirs:
            continue
        gone.remove(part)
        come = [one for one in come if one not in (same or heirs)]
        says = " and ".join(_said(one, names) for one in same or heirs)
        if same:
            says += f", it was {HELP[part.help]}"
        elif [_named(one, names) for one in heirs] == [_named(part, names)]:
            says += ", by its new key"
        else:
            says += f", from what was {_named(part, names)}"
        yield Change(kind, f"{who} now needs {says}", **whole)
    for part in come:
        yield Change(kind, f"{who} now needs: {_said(part, names)}", **whole)
    for part in gone:
        yield Change(kind, f"{who} no longer needs: {_said(part, names)}", **whole)
    if {*_parts(old)} == {*_parts(new)}:
        yield Change(kind, f"what {who} needs is written in another way", **whole)


def _parts(tree: Tree | None) -> list[Tree]:
    """What a tree asks all of."""
    if isinstance(tree, AllOf):
        return [inner for part in tree.parts for inner in _parts(part)]
    return [] if tree is None else [tree]


def _named(leaf, names):
    called = names.skill(leaf.skill)
    return called[:1].lower() + called[1:]


def _said(tree: Tree, names) -> str:
    """A tree in words: “all of: plank with no spot, (one of: …)”."""
    if isinstance(tree, Leaf):
        role = "" if names.alone(tree.skill) else f" as {tree.role}"
        return f"{_named(tree, names)}{role} {HELP[tree.help]}"
    if len(tree.parts) == 1:
        return _said(tree.parts[0], names)
    parts = (
        f"({_said(part, names)})" if isinstance(part, AllOf | AnyOf) else _said(part, names)
        for part in tree.parts
    )
    return f"{'all' if isinstance(tree, AllOf) else 'one'} of: {', '.join(parts)}"


def _ways(was: CardView, now: CardView, names) -> Iterator[Change]:
    for field, called in WAYS.items():
        old, new = (_by_key(getattr(card, field)) for card in (was, now))
        for key in dict.fromkeys((*new, *old)):
            if key not in old or key not in new:
                way = new.get(key) or old[key]
                says = "is new" if key in new else "is gone"
                yield Change("way", f"{called} “{way.name}” {says}")
            elif old[key] != new[key]:
                yield from _way(called, old[key], new[key], names)
        if [key for key in old if key in new] != [key for key in new if key in old]:
            yield Change("way", f"the order of each {called} has changed")


def _by_key(ways):
    return {way.key: way for way in ways}


def _way(called, old: Way, new: Way, names):
    if old.name != new.name:
        yield Change("way", f"{called} “{old.name}” is called “{new.name}” now")
    for role in ROLES:
        who = f"for the {called} “{new.name}” {WHO[role]}"
        yield from _needs(who, old.needs.get(role), new.needs.get(role), names, kind="way")
    yield from _text("spot", f"the spot of the {called} “{new.name}”", old.spot, new.spot)
