"""Random problems that use every optional field, small enough for the twin."""

from __future__ import annotations

from random import Random

from engine.grouping.problem import Group, Problem, Role, Skill, Student

SHAPES = ("pair", "bases", "flyers", "many", "partners", "line", "loose", "spotters", "odd")


def problem(seed: int, most_students: int = 8) -> Problem:
    dice = Random(seed)
    shape = SHAPES[seed % len(SHAPES)]
    roles = _roles(dice, shape)
    size = dice.choice([0, 1, 2, 3, 4, 5, 6, 6, 7, 7, 8, 8, 8])
    if shape in ("many", "odd"):
        size = min(size, 7)
    # Now and then numbers that no real class has: sums beyond 64 bits, masses of 17 digits.
    factor = dice.choice([1, 1, 1, 1, 250_000])
    long_decimals = dice.random() < 0.2
    students = tuple(
        _student(dice, f"s{n}", roles, factor, long_decimals)
        for n in range(min(size, most_students))
    )
    ids = [one.id for one in students]
    dice.shuffle(ids)
    skill = Skill(
        roles=roles,
        name=shape,
        carried_share=1 / 3 if long_decimals else dice.choice([1.0, 0.5, 0.4, 1.0]),
        max_load_ratio=dice.choice([None, 0.95, 0.6, 0.5, 1.0]),
        if_mass_unknown=dice.choice(["bar", "ask"]),
        max_height_difference_cm=dice.choice([None, None, 10.0, 5.5, 30.0]),
        flyer_taller_by_at_most_cm=dice.choice([None, None, None, 5.0, 0.0, -2.0]),
        keep_partners=dice.random() < 0.3,
    )
    return Problem(
        skill=skill,
        students=students,
        adults=dice.choice([0, 1, 1, 2, 3]),
        mats=dice.choice([0, 1, 2, 2, 3, 3, 4, 4, 8, 8]),
        turns_under_one_spot=dice.choice([1, 1, 2, 3]),
        apart=_pairs(dice, ids, 0.3),
        together=_pairs(dice, ids, 0.3),
        pairs_ok=_pairs(dice, ids, 0.5) + _pairs(dice, ids, 0.5),
        past_pairs=tuple(
            (*pair, factor * dice.randint(0, 3)) for pair in _pairs(dice, ids, 0.8) * 2
        ),
        locked=_locked(dice, roles, ids) if dice.random() < 0.25 else (),
        standing=_standing(dice, roles, ids) if dice.random() < 0.4 else (),
    )


def _roles(dice: Random, shape: str) -> tuple[Role, ...]:
    def role(name: str, *spans: tuple[int, int], **fill: bool) -> Role:
        least, most = dice.choice(spans)
        return Role(name, least, most, dice.choice([0.0, 0.5, 0.6]), **fill)

    spotter = {
        "students_may_fill": dice.random() < 0.5,
        "adults_may_fill": dice.random() < 0.6,
    }
    helper = (role("spotter", (0, 1), (1, 1), (1, 2), (2, 2), **spotter),)
    match shape:
        case "pair":
            roles = (role("base", (1, 1)), role("flyer", (1, 1)))
        case "bases":
            roles = (role("base", (2, 2), (1, 2), (1, 3)), role("flyer", (1, 1)))
        case "flyers":
            roles = (role("flyer", (2, 2), (1, 2)), role("base", (1, 1), (1, 1), (0, 1)))
        case "many":
            roles = (role("base", (2, 2), (1, 2), (2, 3)), role("flyer", (1, 2), (2, 2)))
        case "partners":
            roles = (role("partner", (2, 2), (2, 3), (3, 5)),)
        case "line":
            roles = (role("front", (1, 1)), role("middle", (0, 1), (1, 2)), role("back", (1, 1)))
        case "loose":
            roles = (role("base", (0, 1), (0, 2)), role("flyer", (0, 1), (0, 2)))
        case "spotters":
            roles = ()
        case _:
            roles = (role("base", (0, 2), (2, 2)), role("lantern", (0, 0), (0, 1), (1, 1)))
    if shape == "spotters" or dice.random() < 0.5:
        roles += helper
    return tuple(dice.sample(roles, len(roles)))


def _student(
    dice: Random, name: str, roles: tuple[Role, ...], factor: int, long_decimals: bool
) -> Student:
    low = dice.choice([20.0, 22.5, 25.0, 28.5, 30.0, 19.95])
    if long_decimals:
        low *= dice.uniform(0.4, 1.0)
    names = [role.name for role in roles] + ["somersault"]
    return Student(
        id=name,
        height_cm=dice.choice(
            [
                120.0,
                None if dice.random() < 0.5 else 121.0,
                121.5,
                125.0,
                130.0,
                130.5,
                135.0,
                140.0,
            ]
        ),
        mass_kg=None if dice.random() < 0.2 else (low, low + dice.choice([0.0, 0.0, 1.5, 3.2])),
        readiness={
            role: dice.choice([0.0, 0.4, 0.5, 0.6, 0.6125, 0.7, 0.75, 0.8, 0.9, 1.0])
            for role in names
            if dice.random() < 0.95
        },
        barred=frozenset(role for role in names if dice.random() < 0.08),
        turns={role: factor * dice.randint(0, 4) for role in names if dice.random() < 0.7},
    )


def _pairs(dice: Random, ids: list[str], chance: float) -> tuple[tuple[str, str], ...]:
    if len(ids) < 2:
        return ()
    found = []
    while dice.random() < chance:
        one, other = dice.sample(ids, 2)
        found.append((one, other))
    return tuple(found)


def _group(dice: Random, roles: tuple[Role, ...], members: list[str]) -> Group:
    held: dict[str, list[str]] = {}
    for one in members:
        held.setdefault(dice.choice(roles).name, []).append(one)
    return Group({role: tuple(ones) for role, ones in held.items()}, adults=dice.choice([0, 0, 1]))


def _locked(dice: Random, roles: tuple[Role, ...], ids: list[str]) -> tuple[Group, ...]:
    chosen = ids[: dice.choice([0, 1, 2, 3, 4])]
    if not chosen:
        return ()
    cut = dice.randint(1, len(chosen))
    parts = [part for part in (chosen[:cut], chosen[cut:]) if part]
    return tuple(_group(dice, roles, part) for part in parts)


def _standing(dice: Random, roles: tuple[Role, ...], ids: list[str]) -> tuple[Group, ...]:
    everybody = [*ids, "gone"]
    dice.shuffle(everybody)
    size = dice.choice([2, 3])
    return tuple(
        _group(dice, roles, everybody[start : start + size])
        for start in range(0, min(len(everybody), 3 * size), size)
    )
