"""Evenings whose groups a phone works out as the engine does: some told, most made up."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import timedelta
from itertools import pairwise
from random import Random

from planning.evening import Evening
from tests.planning.build import (
    AGREED,
    AROHA,
    LEANS,
    LIFTED,
    ON,
    PROPS,
    ZEYNEP,
    Pupil,
    clean,
    evening,
    pupils,
    with_card,
)

NAMES = (
    *("Amara", "Bao", "Chidi", "Demba", "Esra", "Farah", "Goran"),
    *("Hana", "Ines", "Jun", "Kofi", "Lea", "Mireille", "Tariq"),
)
TEN = NAMES[:10]
ROLE = {"needs": {"skill": "tight", "role": "solo", "help": "no_spot"}}


def _based(bases, flyers, **changes):
    """The seat with so many bases and flyers."""
    sizes = zip(("base", "flyer"), (bases, flyers), strict=True)
    roles = {role: {"min": low, "max": high} | ROLE for role, (low, high) in sizes}
    return with_card("seat", roles=roles, **changes)


def _leaning(low, high):
    partner = {"min": low, "max": high, "needs": {"skill": "tight", "help": "hands_near"}}
    return with_card("lean", roles={"partner": partner})


def _line_of(most, **changes):
    return with_card("line", learning_size=most, **changes)


# key -> (skill, cards)
HOLDS = {
    "lean": ("lean", {}),
    "lean in twos or threes": ("lean", _leaning(2, 3)),
    "lean of three": ("lean", _leaning(3, 3)),
    "lean with a spot": ("straight_lean", {}),
    "pairs": ("chest_rest", {}),
    "pairs in the air": ("seat", {}),
    "one or two bases": ("seat", _based((1, 2), (1, 1), max_height_difference_cm=12)),
    "trios": ("seat", _based((2, 2), (1, 1), keep_partners=False)),
    "up to two and two": ("seat", _based((1, 2), (1, 2))),
    "three bases": ("seat", _based((3, 3), (1, 2), lifted=False, spot=None)),
    "line of three": ("line", {}),
    "line of five": ("line", _line_of(5)),
    "line of four under a spot": ("line", _line_of(4, spot={"stands": "beside the line"})),
}


TRIED = (("seat", "base"), ("seat", "flyer"), ("chest_rest", "flyer"), ("lean", "partner"))


@dataclass(frozen=True)
class Case:
    """An evening as the table was made of it; `here` are the names of those who are here when the
    phone regroups, None where nothing has changed; `before` are groups by names that stood, those
    numbered in `locked` as a teacher locked them."""

    name: str
    evening: Evening
    skill: str
    here: tuple[str, ...] | None = None
    adults: int | None = None
    mats: int | None = None
    before: tuple[dict[str, str], ...] = ()
    locked: tuple[int, ...] = ()


def cases(every: int = 1) -> Iterator[Case]:
    """All that are told, and every so many of those made up."""
    yield from _told()
    for number, (hold, size, said) in enumerate(_asked()):
        if number % every == 0:
            yield _made_up(hold, size, **said)


def _asked() -> Iterator[tuple[str, int, dict[str, bool]]]:
    for hold in HOLDS:
        for size in (5, 9, 12) if hold.startswith("three") else (4, 7, 10):
            yield hold, size, {"stood": size == 7}
        yield hold, 6, {"stood": True, "alike": True}
        yield hold, 8, {"stood": True, "alike": True}
        yield hold, 14, {"stood": hold in ("pairs", "trios", "line of five")}


def _told() -> Iterator[Case]:
    ten = evening(*pupils(*TEN, **LIFTED), adults_in_room=4)
    yield Case("nobody at all", evening(), "seat")
    yield Case("nobody is ready", evening(*pupils(*TEN, agreed=AGREED)), "seat")
    yield Case("one child", evening(*pupils("Amara", tries=LEANS)), "lean")
    yield Case("an odd one", evening(*pupils(*TEN[:5], tries=LEANS)), "lean")
    yield Case("all rest", _resting(), "chest_rest")
    yield Case("no heights", _unmeasured(), "seat")
    yield Case("half are away", ten, "seat", here=TEN[::2])
    yield Case("everybody is away", ten, "seat", here=())
    yield Case("one mat", replace(_one_turn(), mats=1), "chest_rest")
    yield Case("a mat less than the sheet knew", _one_turn(), "chest_rest", mats=3)
    yield Case("no mat", replace(_one_turn(), mats=0), "chest_rest")
    yield Case("one adult, one turn", _one_turn(), "chest_rest")
    yield Case("one more adult than the sheet knew", _one_turn(), "chest_rest", adults=2)
    yield Case("fewer adults than the sheet knew", _two_adults(), "chest_rest", adults=1)
    yield Case("nobody free to spot any more", _two_adults(), "chest_rest", adults=0)
    pair = {"base": "Jun", "flyer": "Amara"}
    yield Case("agreed pairs", _agreed(), "seat")
    yield Case("a locked group", _agreed(), "seat", before=(pair,), locked=(0,))
    yield Case(
        "a locked group of whom one is away", ten, "seat", TEN[:9], None, None, (pair,), (0,)
    )
    yield Case("what stood stands", _one_turn(), "chest_rest", before=(pair,))
    yield Case("apart", _wished(apart=_chain(TEN)), "lean")
    yield Case("together", _wished(together=[("Amara", "Jun"), ("Bao", "Ines")]), "lean")
    yield Case("three together who are too many", _wished(together=_chain(TEN[:3])), "lean")
    yield Case("together with who is away", _wished(together=_chain(TEN[:2])), "lean", TEN[1:])


def _chain(names):
    return list(pairwise(names))


def _wished(**wishes):
    return evening(*pupils(*TEN, tries=LEANS), **wishes)


def _resting():
    return evening(*pupils(*TEN, tries=PROPS, restricted=(("wrists", ON), ("back_bend", ON))))


def _unmeasured():
    return evening(*pupils(*TEN, **LIFTED | {"height_cm": None}), adults_in_room=4)


def _one_turn():
    return evening(*pupils(*TEN, tries=PROPS), policy={"turns_under_one_spot": 1}, adults_in_room=4)


def _two_adults():
    return replace(_one_turn(), spotters=(AROHA, ZEYNEP))


def _agreed():
    agreed = [(base, flyer) for base in TEN[5:] for flyer in TEN[:5]]
    return evening(*pupils(*TEN, **LIFTED), pairs_ok=agreed, adults_in_room=4)


# -- made up ---------------------------------------------------------------------------------


def _made_up(hold: str, size: int, *, stood: bool, alike: bool = False) -> Case:
    """A class of so many children of whom this and that is known, the same on every run; of those
    who are alike nothing stands against any two together."""
    dice = Random(f"{hold} {size}")
    skill, documents = HOLDS[hold]
    names = NAMES[:size]
    children = [Pupil(name, **_known(dice)) for name in names]
    if alike:
        children = [replace(one, height_cm=130.0, not_today=False) for one in children]
    given = {"documents": documents} if documents else {}
    tonight = evening(
        *children,
        adults_in_room=5,
        spotters=dice.choice([(AROHA,), (AROHA, ZEYNEP)]),
        mats=dice.choice([2, 8]),
        pairs_ok=_some(dice, names, size),
        apart=() if alike else _some(dice, names, size // 4),
        together=() if alike else _some(dice, names, size // 6),
        policy={"turns_under_one_spot": dice.choice([1, 2, 3])},
        **given,
    )
    if not alike and dice.random() < 0.3:
        tonight = _weighed(dice, tonight)
    here = None
    if size < len(NAMES) and dice.random() < 0.5:
        here = tuple(name for name in names if dice.random() < 0.85)
    before = _any_groups(dice, tonight, skill) if stood else ()
    return Case(f"{hold}, {size} children", tonight, skill, here=here, before=before)


def _known(dice):
    """Most may hold most roles; who was base or flyer how often, and with whom, differs."""
    tries = list(dice.choice([PROPS] * 5 + [LEANS, clean("table")]))
    for skill, role in TRIED:
        if dice.random() < 0.6:
            weeks = tuple(sorted(dice.sample([1, 2, 3], dice.choice([1, 2, 3])), reverse=True))
            tries += clean(skill, role=role, weeks=weeks, group=dice.choice("abcd"))
    return {
        "tries": tuple(tries),
        "agreed": AGREED,
        "height_cm": dice.choice([None, 121.0, 126.0, 130.0, 133.0, 138.5]),
        "height_on": ON,
        "restricted": dice.choice([(), (), (), (), (("wrists", ON + timedelta(days=9)),)]),
        "not_today": dice.random() < 0.05,
    }


def _some(dice, names, most):
    pairs = {tuple(dice.sample(names, 2)) for _ in range(most)}
    return sorted(pair for pair in pairs if pair[::-1] not in pairs)


def _weighed(dice, tonight):
    weights = [None, 24.0, 30.0, 37.5, 45.0]
    here = tuple(replace(one, mass_kg=dice.choice(weights)) for one in tonight.here)
    return replace(tonight, here=here)


def _any_groups(dice, tonight, skill):
    """Groups as somebody formed them out of most of the children, not all of them whole."""
    names = [child.name for child in tonight.here]
    dice.shuffle(names)
    late = dice.choice([1, 2, 3])
    roles = tonight.edition.cards[skill].skill.roles
    groups = []
    while len(names) > late and len(groups) < 4:
        seats = {
            role: " ".join(names.pop() for _ in range(size.min) if names)
            for role, size in roles.items()
            if role != "spotter"
        }
        groups.append({role: held for role, held in seats.items() if held})
    return tuple(groups)
