"""Rename, split, merge: one skill is carried on by others, and tries count forward.

In a document what is written is its succession and the needs of its other cards. Documents are of
the format curriculum/1.
"""

from collections.abc import Mapping, Sequence

from accounts.scope import Scope
from curriculum.models import Succession

MOST_PARTS = 30  # that one all_of may hold
WAYS = ("ways_in", "shapes", "ways_out")


def carried_on(
    document: Mapping,
    *,
    skill: str,
    heirs: Sequence[str],
    cards: Mapping[str, Mapping],
    published: bool,
) -> dict:
    """This will let `heirs` carry on a skill of a document.

    `cards` stand in its place; it may be among them itself. Whoever needs the skill now needs its
    heir, or of several all: what was asked is asked as before, and nobody has it sooner. An heir
    does not need what it takes in. A succession is written for what was `published` alone: of
    anything else there are no tries.
    """
    skills = {}
    for key, card in document["skills"].items():
        if key == skill:
            skills |= cards
        else:
            skills[key] = _asking(card, skill, () if key in heirs else heirs)
    steps = [
        (one, other)
        for step in document.get("succession", ())
        for one in (heirs if step["from"] == skill and not published else (step["from"],))
        for other in (heirs if step["to"] == skill else (step["to"],))
    ]
    steps += [(skill, heir) for heir in heirs] if published else []
    succession = [{"from": one, "to": other} for one, other in dict.fromkeys(steps) if one != other]
    said = {name: value for name, value in document.items() if name != "succession"}
    return said | {"skills": skills} | ({"succession": succession} if succession else {})


def steps(scope: Scope, *, after: int = 0, until: int | None = None) -> frozenset[tuple[str, str]]:
    """This will find the successions of the editions that stand, as pairs of skill keys.

    They are of numbers above `after`, and up to `until` (None: all later ones).
    """
    rows = Succession.objects.filter(
        school_id=scope.school_id,
        edition__number__gt=after,
        edition__withdrawn_at__isnull=True,
    )
    if until is not None:
        rows = rows.filter(edition__number__lte=until)
    return frozenset(rows.values_list("from_skill__key", "to_skill__key"))


def _asking(card, skill, heirs):
    """The card with its needs on a skill handed over to the heirs, or taken out for none."""
    changed = {
        "roles": {role: _needing(said, skill, heirs) for role, said in card["roles"].items()}
    }
    for kind in WAYS:
        if kind in card:
            changed[kind] = [_way(way, skill, heirs) for way in card[kind]]
    return dict(card) | changed


def _needing(role, skill, heirs):
    if "needs" not in role:
        return role
    needs = _tree(role["needs"], skill, heirs)
    rest = {name: said for name, said in role.items() if name != "needs"}
    return role | {"needs": needs} if needs else rest


def _way(way, skill, heirs):
    if "needs" not in way:
        return way
    needs = {role: _tree(tree, skill, heirs) for role, tree in way["needs"].items()}
    return way | {"needs": {role: tree for role, tree in needs.items() if tree}}


def _tree(node, skill, heirs):
    """The tree over the heirs; None where nothing is left to need."""
    if "skill" in node:
        if node["skill"] != skill:
            return node
        leaves = [node | {"skill": heir} for heir in heirs]
        return {"all_of": leaves} if len(leaves) > 1 else next(iter(leaves), None)
    [(mark, parts)] = node.items()
    if mark == "any_of" and not heirs:
        return node  # without it less is to choose from: a teacher says what is meant
    told = [_tree(part, skill, heirs) for part in parts]
    if told == parts:
        return node
    found = []
    for part, now in zip(parts, told, strict=True):
        spread = mark == "all_of" and "skill" in part and now is not None and "all_of" in now
        found += now["all_of"] if spread else [now]
    if len(found) > MOST_PARTS:
        found = told
    left = [part for place, part in enumerate(found) if part and part not in found[:place]]
    return {mark: left} if left else None
