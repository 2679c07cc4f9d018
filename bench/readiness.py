"""Beliefs of many tries: the kernel beside its plain-Python twin, and beside half as many.

`python -m bench.readiness` prints ratios within one run; the machine's own speed cancels out.
"""

from __future__ import annotations

import random
import time
from collections.abc import Callable
from datetime import UTC, date, datetime, timedelta
from itertools import pairwise

import numpy as np

from engine.progression import AllOf, AnyOf, Leaf, Role, Skill, Tree
from engine.readiness import kernel
from engine.readiness.chain import beliefs
from engine.readiness.evidence import Evidence, read
from engine.readiness.judge import judge
from engine.readiness.kernel import Tries
from engine.readiness.parameters import DEFAULTS, HELP, OUTCOMES, SPOTS
from engine.readiness.readings import Needs, Readings
from engine.readiness.register import Row
from tests.engine.readiness import twin

EvidenceByPart = dict[tuple[str, str], Evidence]

TRIES_PER_CHAIN = 10
ROUNDS = 3
DAY_ONE = date(2026, 1, 5).toordinal()


def made_tries(chains: int, seed: int = 1) -> Tries:
    """Tries of a school's years: lessons a week or more apart, two or three tries in each."""
    dice = np.random.default_rng(seed)
    lengths = dice.poisson(TRIES_PER_CHAIN - 1, chains) + 1
    starts = np.concatenate([[0], np.cumsum(lengths)])
    size = int(starts[-1])
    same_lesson = dice.random(size) < 0.6
    weeks = np.cumsum(np.where(same_lesson, 0, dice.choice([1, 1, 1, 2, 8], size)))
    seconds = 7 * 86_400 * weeks + np.cumsum(np.where(same_lesson, dice.integers(20, 300, size), 0))
    chain = np.repeat(np.arange(chains), lengths)
    seconds -= seconds[starts[:-1]][chain]
    return Tries(
        starts=starts,
        at_us=seconds * 1_000_000,
        day=DAY_ONE + seconds // 86_400,
        spot=dice.integers(0, len(SPOTS), size),
        outcome=dice.integers(0, len(OUTCOMES), size),
        weight=dice.choice([1.0, 1.0, 1.0, 0.35], size),
    )


def rows_of(tries: Tries) -> dict[int, list[Row]]:
    begin = datetime(2026, 1, 5, tzinfo=UTC)
    return {
        chain: [
            Row(
                id=str(row),
                attempt=str(row),
                revision=1,
                happened_at=begin + timedelta(microseconds=int(tries.at_us[row])),
                date=date.fromordinal(int(tries.day[row])),
                spot=SPOTS[tries.spot[row]],
                outcome=OUTCOMES[tries.outcome[row]],
                weight=float(tries.weight[row]),
                chain=chain,
            )
            for row in range(tries.starts[chain], tries.starts[chain + 1])
        ]
        for chain in range(len(tries.starts) - 1)
    }


def plain_of(tries: Tries) -> list[list[twin.PlainTry]]:
    columns = (tries.at_us, tries.day, tries.spot, tries.outcome, tries.weight)
    every = [
        twin.PlainTry(*values)
        for values in zip(*(column.tolist() for column in columns), strict=True)
    ]
    bounds = tries.starts.tolist()
    return [every[begin:end] for begin, end in pairwise(bounds)]


def made_class(students: int, skills: int, seed: int = 1) -> tuple[Needs, list[EvidenceByPart]]:
    """An edition of `skills` skills with three roles each, and what is known of a big class."""
    dice = random.Random(seed)
    roles = ("base", "flyer", "partner")

    def need(before: int) -> Leaf:
        return Leaf(f"s{dice.randrange(before)}", dice.choice(roles), dice.choice(HELP[1:]))

    def needs_of(number: int) -> Tree | None:
        if number < skills // 6:
            return None
        return AllOf((need(number), AnyOf((need(number), need(number)))))

    edition = {
        f"s{number}": Skill(
            key=f"s{number}",
            name=f"skill {number}",
            family="made",
            lifted=False,
            habit=number < 4,
            spotted=True,
            way_down=True,
            caution=True,
            roles={role: Role(1, 1, needs_of(number)) for role in roles},
        )
        for number in range(skills)
    }
    tries = made_tries(students * 40, seed)
    beliefs_of = iter(beliefs(rows_of(tries), DEFAULTS).values())
    as_of = datetime(2027, 1, 4, 16, tzinfo=UTC)
    children = []
    for _ in range(students):
        known = {(f"s{number}", dice.choice(roles)): next(beliefs_of) for number in range(40)}
        children.append(read(known, as_of=as_of, on=as_of.date(), parameters=DEFAULTS))
    return Needs(edition), children


def judge_all(needs: Needs, children: list[EvidenceByPart]) -> int:
    judged = 0
    for evidence in children:
        readings = Readings(needs, evidence, DEFAULTS)
        judged += sum(1 for part in needs.trees if judge(*part, readings, bar=0.8))
    return judged


def fastest_s(work: Callable[[], object], rounds: int = ROUNDS) -> float:
    times = []
    for _ in range(rounds):
        begin = time.perf_counter()
        work()
        times.append(time.perf_counter() - begin)
    return min(times)


def main() -> None:
    million, half = made_tries(100_000), made_tries(50_000)
    kernel_s = fastest_s(lambda: kernel.run(million, DEFAULTS))
    half_s = fastest_s(lambda: kernel.run(half, DEFAULTS))
    tenth = made_tries(10_000)
    plain = plain_of(tenth)
    twin_s = fastest_s(lambda: [twin.steps(tries, DEFAULTS) for tries in plain]) * 10
    rows = rows_of(tenth)
    rows_s = fastest_s(lambda: beliefs(rows, DEFAULTS))
    row_twin_s = fastest_s(lambda: [twin.belief(members, DEFAULTS) for members in rows.values()])
    needs, children = made_class(24, 80)
    judged = judge_all(needs, children)
    judge_s = fastest_s(lambda: judge_all(needs, children))

    print(f"readiness: {len(million.day):,} tries over 100,000 chains")
    print(f"  kernel, columns in and out       {kernel_s:6.2f} s")
    print(f"  plain-Python twin (a tenth x 10) {twin_s:6.2f} s")
    print(f"  twin / kernel                    {twin_s / kernel_s:6.1f}    at least 2.5 wanted")
    print(f"  kernel, 1 M / 500 k              {kernel_s / half_s:6.2f}    at most 2.5 wanted")
    print("with rows in and beliefs out: 100,000 tries over 10,000 chains")
    print(f"  twin / beliefs()                 {row_twin_s / rows_s:6.1f}    at least 2.5 wanted")
    print(f"{judged:,} judgements: 24 children, 80 skills, 3 roles")
    print(f"  readings and judge()             {judge_s * 1000:6.1f} ms  below 50 wanted")


if __name__ == "__main__":
    main()
