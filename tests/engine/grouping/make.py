"""Short ways to write problems by hand."""

from __future__ import annotations

from dataclasses import asdict

from engine.grouping.document import FORMAT
from engine.grouping.problem import Group, Problem, Role, Skill, Student


def role(name: str, least: int = 1, most: int = 1, ready: float = 0.5, **fill: bool) -> Role:
    return Role(name, least, most, ready, **fill)


def skill(*roles: Role, **rules: object) -> Skill:
    return Skill(roles, **rules)  # type: ignore[arg-type]


PAIR = skill(role("base"), role("flyer"))


def student(name: str, roles: str = "base flyer", **facts: object) -> Student:
    """A student who is fully ready for the roles named."""
    return Student(name, **({"readiness": dict.fromkeys(roles.split(), 1.0)} | facts))


def problem(what: Skill, *students: Student, **rest: object) -> Problem:
    return Problem(what, students, **({"adults": 0, "mats": 9} | rest))


def group(adults: int = 0, **roles: str) -> Group:
    return Group({name: tuple(held.split()) for name, held in roles.items()}, adults)


def written(problem: Problem) -> dict[str, object]:
    """The grouping/1 document of a problem; locked and standing groups have no place in it."""
    said = asdict(problem) | {"format": FORMAT}
    del said["locked"], said["standing"]
    said["skill"]["roles"] = {one.pop("name"): one for one in said["skill"]["roles"]}
    for one in said["students"]:
        one["barred"] = sorted(one["barred"])
    return said
