"""Skills and trees in few words, for tests."""

from dataclasses import replace

from engine.progression import AllOf, AnyOf, Leaf, Role, Skill


def need(skill, role="solo", help_="no_spot"):
    return Leaf(skill, role, help_)


def all_of(*parts):
    return AllOf(tuple(need(part) if isinstance(part, str) else part for part in parts))


def any_of(*parts):
    return AnyOf(tuple(need(part) if isinstance(part, str) else part for part in parts))


def role(needs=None, *, low=1, high=None):
    return Role(min=low, max=max(low, 1) if high is None else high, needs=needs)


def skill(key, roles, **changes):
    plain = Skill(
        key=key,
        name=key.capitalize(),
        family="any",
        lifted=False,
        habit=False,
        spotted=True,
        way_down=True,
        caution=True,
        roles=roles,
    )
    return replace(plain, **changes)


def solo(key, *needs, **changes):
    return skill(key, {"solo": role(all_of(*needs) if needs else None)}, **changes)


def duo(key, base=None, flyer=None, **changes):
    return skill(key, {"base": role(base), "flyer": role(flyer)}, **changes)


def by_key(*skills):
    return {one.key: one for one in skills}


def deep(depth, leaf, *, others=()):
    """all_of in any_of in all_of …, `depth` deep."""
    tree = leaf
    for level in range(depth):
        tree = (AllOf, AnyOf)[level % 2]((tree, *others))
    return tree
