"""How long groups for a class take, beside a plain model in which groups are numbered slots.

Both models hold the same rules and prove the same levels with the same solver; they differ only
in what names a group: a student who is surely in it (the anchor), or a number. Times are those of
one run on one machine; only their ratios mean anything.

    .venv/bin/python -m bench.grouping
"""

from __future__ import annotations

from collections.abc import Sequence
from random import Random
from time import process_time

from engine.grouping.problem import Group, Problem, Role, Skill, Student
from engine.grouping.search import Search
from engine.grouping.solve import Run

CLASSES = 5  # of each shape and size
EFFORT = 5.0  # deterministic seconds, after which a run counts as not proven

SHAPES = {
    "pairs": (Role("base", 1, 1, 0.7), Role("flyer", 1, 1, 0.7)),
    "trios": (Role("base", 1, 1, 0.7), Role("flyer", 1, 1, 0.7), Role("spotter", 1, 1, 0.6)),
    "lines": (Role("front", 1, 1, 0.7), Role("middle", 1, 6, 0.7), Role("back", 1, 1, 0.7)),
}


class Slots(Search):
    """The plain model: every student may sit in every numbered group."""

    def _seat_everybody(self) -> None:
        self._anchor_role = None
        least = sum(role.min for role in self.problem.skill.roles)
        for number in range(min(self.problem.mats, len(self.problem.students) // least)):
            slot = f"slot {number}"
            self.open[slot] = self.model.new_bool_var("")
            for student, role in self._free:
                self.seats[student, role, slot] = self.model.new_bool_var("")

    def hint(self, groups: Sequence[Group]) -> None:
        held = {
            (student, role, f"slot {number}")
            for number, group in enumerate(groups)
            for role, students in group.roles.items()
            for student in students
        }
        self.model.clear_hints()
        for seat, literal in self.seats.items():
            self.model.add_hint(literal, seat in held)


def random_class(shape: str, size: int, seed: int) -> Problem:
    """A class as classes are: heights and masses by age, turns, partners and wishes at random."""
    dice = Random(f"{shape} {size} {seed}")
    roles = SHAPES[shape]
    students = []
    for number in range(size):
        height = round(dice.gauss(132, 9), 1)
        mass = round(max(16.0, (height / 100) ** 2 * dice.gauss(16.5, 1.6)), 1)
        students.append(
            Student(
                f"s{number:02}",
                height,
                (mass, mass + 1.0),
                {role.name: round(dice.uniform(0.5, 1), 2) for role in roles},
                frozenset(role.name for role in roles if dice.random() < 0.05),
                {role.name: dice.randint(0, 5) for role in roles},
            )
        )
    ids = [one.id for one in students]

    def pairs(count: int) -> list[tuple[str, str]]:
        return [(one, other) for one, other in (dice.sample(ids, 2) for _ in range(count))]

    return Problem(
        Skill(roles, shape, 1.0, 0.95, "bar", 30.0, 5.0),
        tuple(students),
        adults=0,
        mats=size,
        apart=tuple(pairs(size // 8)),
        together=tuple(pairs(size // 12)),
        past_pairs=tuple((*pair, dice.randint(1, 3)) for pair in pairs(3 * size)),
    )


def timed(search: type[Search], problem: Problem) -> tuple[float, bool, int]:
    """Seconds, whether every level was proven, and how many were placed."""
    start = process_time()
    run = Run(search(problem), EFFORT)
    gap = run.prove_levels()
    seconds = process_time() - start
    return seconds, gap is None, sum(len(group.members) for group in run.groups)


def main() -> None:
    timed(Search, random_class("pairs", 4, 0))  # the import of the solver is not counted
    print(f"{CLASSES} classes each; seconds of processor time for all; every level to be proven")
    print(f"{'':12}{'anchors':>10}{'proven':>8}{'slots':>10}{'proven':>8}{'ratio':>9}")
    for shape in SHAPES:
        for size in (12, 24):
            problems = [random_class(shape, size, seed) for seed in range(CLASSES)]
            anchors = [timed(Search, problem) for problem in problems]
            slots = [timed(Slots, problem) for problem in problems]
            for mine, plain in zip(anchors, slots, strict=True):
                if mine[1] and plain[1] and mine[2] != plain[2]:
                    raise SystemExit(f"{shape} of {size}: the two models differ")
            quick = sum(seconds for seconds, _, _ in anchors)
            slow = sum(seconds for seconds, _, _ in slots)
            proven, plainly = (sum(one[1] for one in runs) for runs in (anchors, slots))
            at_least = "" if plainly == CLASSES else "> "
            print(
                f"{shape:6}{size:6}{quick:10.3f}{f'{proven}/{CLASSES}':>8}"
                f"{slow:10.3f}{f'{plainly}/{CLASSES}':>8}{f'{at_least}{slow / quick:.1f}':>9}"
            )


if __name__ == "__main__":
    main()
