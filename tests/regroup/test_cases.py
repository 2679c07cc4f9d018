"""Cases that the phone's own regrouping is held against: what the real engine makes of them.

`CASES=write` writes them anew; without it they have to be what is committed, to the byte: all of
them with `DEEP=1`, else each that is told and some of those made up.
"""

import json
import os
from dataclasses import asdict, replace
from itertools import product
from pathlib import Path

from accounts.scope import Conflict
from engine.grouping.feasible import heights_fit, kept, kept_apart, kept_together
from engine.grouping.problem import Group as EngineGroup
from engine.grouping.solve import solve
from planning import by_hand
from planning.evening import Evening
from planning.group_lines import ASK_WORDS
from planning.group_views import NO_PARTNER, OF_A_WISH
from planning.least_change import as_formed, mended, standing, taken_in
from planning.pair_table import EVERYBODY, NOBODY, READY, STOP, pair_table
from planning.proposals import left_over, problem, ranked
from tests.depth import DEEP
from tests.planning.build import id_of
from tests.planning.by_names import formed, named
from tests.planning.phone import state_of
from tests.regroup.evenings import Case, cases

COMMITTED = Path("web/src/regroup/tests/cases.json")
LEVELS = ("placed", "kept", "fairness", "asks", "repeats")


def told(case: Case) -> dict:
    """One case as the phone's tests read it; children are called by their names."""
    card = case.evening.edition.cards[case.skill]
    table = pair_table(case.evening, card)
    tonight = _as_it_is(case)
    before = tuple(
        replace(group, id=id_of(f"group {place}"), locked=place in case.locked)
        for place, group in enumerate(formed(*case.before))
    )
    checked = by_hand.check(tonight, card, before)
    best = solve(_as_a_phone_knows(tonight, table, checked)).objective
    return {
        "name": case.name,
        "card": {
            "roles": [
                {"role": name, "min": role.min, "max": role.max, "loads": []}
                for name, role in card.skill.roles.items()
            ],
            "learning_size": card.learning_size,
            "lifted": card.lifted,
            "spotted": card.spotted,
        },
        "table": asdict(table) | {"children": [_name(case.evening, one) for one in table.children]},
        "listed": [child.name for child in case.evening.listed],
        "here": [child.name for child in tonight.playing],
        "not_today": [child.name for child in tonight.here if child.not_today],
        "adults": case.adults,
        "mats": case.mats,
        "before": [
            {"id": f"group {place}", "seats": seats, "locked": place in case.locked}
            for place, seats in enumerate(_lists(named(case.evening, before)))
        ],
        "best": {level: getattr(best, level) or 0 for level in LEVELS},
        "comparable": _comparable(case, tonight, card, table),
        "reasons": {
            one.child.name: NO_PARTNER if one.reason in OF_A_WISH else one.reason
            for one in left_over(tonight, card, ())
        },
        "checked": _checked(tonight, table, checked),
    }


def _as_it_is(case: Case) -> Evening:
    """The evening when the phone regroups: who is here then, how many adults and mats."""
    tonight = case.evening
    if case.here is not None:
        here = tuple(one for one in tonight.here if one.name in case.here)
        away = tuple(one for one in tonight.here if one.name not in case.here)
        tonight = replace(tonight, here=here, away=(*tonight.away, *away))
    if case.mats is not None:
        tonight = replace(tonight, mats=case.mats)
    if case.adults is not None:
        more = tuple(
            replace(tonight.spotters[0], id=id_of(str(at)), name=f"Adult {at}")
            for at in range(case.adults)
        )
        tonight = replace(tonight, spotters=more)
    return tonight


def _as_a_phone_knows(tonight, table, checked):
    """A table holds no readiness numbers: here whoever is ready is as ready as anybody. And what
    it stops a teacher may still say yes to with a signal, so it stays stopped when it was formed.
    """
    bar = tonight.policy.bar
    stated = as_formed(tonight, checked)
    place = {child.rank: table.children.index(child.id) for child in tonight.playing}
    stopped = set()
    for group in checked.groups:
        seats = ranked(group.seats.seats)
        bases, flyers = seats.get("base", ()), seats.get("flyer", ())
        if state_of(table, [place[one] for one in bases], [place[one] for one in flyers]) == STOP:
            stopped |= set(product(bases, flyers))
    agreed = set(problem(tonight, checked.card).pairs_ok)
    return replace(
        stated,
        pairs_ok=tuple(pair for pair in stated.pairs_ok if pair in agreed or pair not in stopped),
        students=tuple(
            replace(one, readiness={role: float(p >= bar) for role, p in one.readiness.items()})
            for one in stated.students
        ),
    )


def _comparable(case, tonight, card, table) -> list[str]:
    """The levels on which phone and engine agree to the number, by the page of the table."""
    weighed = card.lifted and any(child.mass_kg is not None for child in tonight.playing)
    if table.covers == NOBODY or (case.before and (weighed or table.covers == READY)):
        return []
    return [level for level in LEVELS if not weighed or level not in ("asks", "repeats")]


# -- groups by hand --------------------------------------------------------------------------


def _checked(tonight, table, checked) -> dict | None:
    """What the service says of the groups that stood, the least that it changes, and where it puts
    the first who has no place. None where the table stops, with no signal, what is asked with one.
    """
    stated = problem(tonight, checked.card)
    seats = [ranked(group.seats.seats) for group in checked.groups]
    weighed = any(child.mass_kg is not None for child in tonight.playing)
    if not seats or weighed or table.covers != EVERYBODY:
        return None
    if not all(
        heights_fit(stated, one) and kept_apart(stated, one) and kept_together(stated, one)
        for one in seats
    ):
        return None
    after = mended(tonight, checked)
    return {
        "stops": [stop.sentence for stop in checked.stops],
        "groups": [
            {
                "stops": [stop.sentence for stop in group.stops],
                "asks": sorted(_asks(group)),
                "turn": group.seats.turn,
            }
            for group in checked.groups
        ],
        "kept": None if after is None else _kept(tonight, checked, after.groups),
        "late": _late(tonight, checked),
    }


def _asks(group):
    """Of a child whom something stops the table says that alone."""
    stopped = {one for stop in group.stops for one in stop.students}
    return [
        ASK_WORDS[ask.code].format(ask.about)
        for ask in group.asks
        if stopped.isdisjoint(ask.students)
    ]


def _late(tonight, checked) -> dict | None:
    placed = {one for group in checked.groups for one in group.formed.students}
    child = next((one for one in tonight.playing if one.id not in placed), None)
    if child is None:
        return None
    try:
        groups = taken_in(tonight, checked, child.id)
    except Conflict:
        return {"child": child.name, "kept": None, "groups": None}
    moved_nobody = all(
        old.students <= new.students and _roles_stay(old, new)
        for old, new in zip((group.formed for group in checked.groups), groups, strict=False)
    )
    return {
        "child": child.name,
        "kept": _kept(tonight, checked, groups),
        # Where she moves nobody there is one answer; else others may be as good.
        "groups": _lists(named(tonight, groups)) if moved_nobody else None,
    }


def _roles_stay(old, new):
    """In a line the last one moves up when somebody joins behind her."""
    left = {(role, one) for role, one in old.places if role != "back"}
    return left <= new.places and ("middle" in new.seats or old.places <= new.places)


def _kept(tonight, checked, groups):
    """How many keep group and role, with the pairing of old and new that keeps most."""
    after = by_hand.check(tonight, checked.card, groups)
    found = [EngineGroup(ranked(group.seats.seats)) for group in after.groups]
    return kept(replace(problem(tonight, checked.card), standing=standing(checked)), found)


def _name(evening, id_):
    return next(child.name for child in evening.listed if child.id == id_)


def _lists(groups):
    return [{role: held.split() for role, held in group.items()} for group in groups]


def written(every: int = 1) -> list[str]:
    return [
        json.dumps(told(case), ensure_ascii=False, separators=(",", ":")) for case in cases(every)
    ]


def test_the_phone_is_held_against_what_the_engine_says_now():
    if os.environ.get("CASES") == "write":
        COMMITTED.write_text("[\n" + ",\n".join(written()) + "\n]\n", encoding="utf-8")
    committed = COMMITTED.read_text(encoding="utf-8")
    lines = committed.removeprefix("[\n").removesuffix("\n]\n").split(",\n")
    now = written(every=1 if DEEP else 5)
    assert [line for line in now if line not in lines] == []
    assert len(now) == len(lines) if DEEP else len(now) > 30
    assert sum(case["comparable"] == [*LEVELS] for case in json.loads(committed)) >= 55
