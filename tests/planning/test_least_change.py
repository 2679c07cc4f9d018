"""The least that must change, against every way to form groups; a child who comes late."""

from dataclasses import replace
from datetime import timedelta
from itertools import combinations, permutations
from random import Random

import pytest

from accounts.faults import BadDocument
from accounts.scope import Conflict
from planning import by_hand
from planning.group_lines import ASK_WORDS
from planning.least_change import as_formed, least_change, mended, taken_in
from planning.proposals import problem
from tests.depth import cases
from tests.engine.grouping import twin
from tests.planning.build import (
    DOCUMENTS,
    FOUR,
    KNOWS_STOP,
    LEANS,
    LIFTED,
    ON,
    PROPS,
    SIX,
    Pupil,
    evening,
    id_of,
    pupils,
)
from tests.planning.by_names import formed, named, stops
from tests.planning.read_aloud import assert_fit_to_read_aloud

WRISTS = {"restricted": (("wrists", ON + timedelta(days=54)),)}


def check(tonight, key, *groups, **same):
    return by_hand.check(tonight, tonight.edition.cards[key], formed(*groups, **same))


def changes(tonight, key, *groups):
    return [one.sentence for one in least_change(tonight, check(tonight, key, *groups))]


# -- in words --------------------------------------------------------------------------------


def test_where_nothing_stops_nothing_changes():
    tonight = evening(*pupils(*SIX, **LIFTED))
    assert changes(tonight, "seat", {"base": "Amara", "flyer": "Bao"}) == []


def test_where_a_stop_holds_for_the_whole_class_there_is_nothing_to_change_to():
    tonight = evening(*pupils(*FOUR, **LIFTED), spotters=())
    assert changes(tonight, "seat", {"base": "Amara", "flyer": "Bao"}) == []


def test_two_of_a_pair_change_roles():
    tonight = evening(Pupil("Amara", PROPS, **WRISTS), Pupil("Bao", PROPS))
    assert changes(tonight, "chest_rest", {"base": "Amara", "flyer": "Bao"}) == [
        "group 1: another base, Bao instead of Amara",
        "group 1: another flyer, Amara instead of Bao",
    ]


def test_another_base_comes_in_where_those_formed_cannot_help_each_other():
    not_up = Pupil("Amara", **LIFTED | {"not_today": True})
    tonight = evening(not_up, *pupils("Bao", "Hana", **LIFTED))
    found = least_change(tonight, check(tonight, "seat", {"base": "Amara", "flyer": "Bao"}))
    [one] = found
    assert one.sentence == "group 1: another base, Hana instead of Amara"
    assert (one.group, one.role) == (1, "base")
    assert (one.comes, one.goes) == ((id_of("Hana"),), (id_of("Amara"),))


def test_one_too_many_is_left_and_one_too_few_comes():
    tonight = evening(*pupils("Amara", "Bao", "Hana", **LIFTED))
    assert changes(tonight, "seat", {"base": "Amara Bao", "flyer": "Hana"}) == [
        "group 1: without Amara as base",
        "still to place: Amara",
    ]
    assert changes(tonight, "seat", {"base": "Amara"})[0].startswith("group 1: ")


def test_a_group_too_many_is_not_there_this_time():
    tonight = evening(*pupils(*FOUR, **LIFTED), policy={"turns_under_one_spot": 1})
    two = ({"base": "Amara", "flyer": "Bao"}, {"base": "Hana", "flyer": "Tariq"})
    found = changes(tonight, "seat", *two)
    assert len(found) == 2
    assert found[0] in ("group 1 is not there this time", "group 2 is not there this time")
    assert found[1] in ("still to place: Amara and Bao", "still to place: Hana and Tariq")


def test_two_who_were_left_over_are_a_new_group():
    tonight = evening(*pupils(*FOUR, tries=LEANS))
    assert changes(tonight, "lean", {"partner": "Amara Bao Hana Tariq"}) in (
        ["group 1: without Hana and Tariq as partner", "group 2 is new: Hana and Tariq"],
        ["group 1: without Amara and Bao as partner", "group 2 is new: Amara and Bao"],
        ["group 1: without Bao and Tariq as partner", "group 2 is new: Bao and Tariq"],
        ["group 1: without Bao and Hana as partner", "group 2 is new: Bao and Hana"],
        ["group 1: without Amara and Tariq as partner", "group 2 is new: Amara and Tariq"],
        ["group 1: without Amara and Hana as partner", "group 2 is new: Amara and Hana"],
    )


def test_what_only_asks_stays_as_it_was_formed():
    """A child who is not ready, a longer line and a pair of uneven heights are for a teacher."""
    tonight = evening(
        *pupils("Amara", "Bao", "Demba", "Hana", tries=PROPS),
        Pupil("Mireille", tries=KNOWS_STOP),
        Pupil("Tariq", PROPS, **WRISTS),
        Pupil("Zola", PROPS),
    )
    long = {"front": "Amara", "middle": "Bao Demba", "back": "Mireille"}
    other = {"front": "Hana", "back": "Tariq"}
    checked = check(tonight, "line", long, other)
    assert named(tonight, mended(tonight, checked).groups) == [
        long,
        {"front": "Hana", "back": "Zola"},
    ]
    assert changes(tonight, "line", long, other) == [
        "group 2: another back, Zola instead of Tariq",
        "still to place: Tariq",
    ]


def test_a_locked_group_is_left_alone():
    tonight = evening(Pupil("Amara", PROPS, **WRISTS), *pupils("Bao", "Hana", "Tariq", tries=PROPS))
    two = ({"base": "Amara", "flyer": "Bao"}, {"base": "Hana", "flyer": "Tariq"})
    first, second = formed(*two)
    card = tonight.edition.cards["chest_rest"]
    checked = by_hand.check(tonight, card, (first, replace(second, locked=True)))
    after = named(tonight, mended(tonight, checked).groups)
    assert after == [{"base": "Bao", "flyer": "Amara"}, two[1]]


@pytest.mark.parametrize("masses", [(40.0, 20.0), (40.0, 38.1), (20.0, 60.0), (20.0, None)])
def test_a_mass_between_two_who_were_formed_changes_nothing(masses):
    """The third is stopped; whether the other two stay is not for a mass to say."""
    tonight = evening(*pupils(*FOUR, **LIFTED), Pupil("Zola", **LIFTED | {"not_today": True}))
    groups = ({"base": "Amara", "flyer": "Bao"}, {"base": "Hana", "flyer": "Zola"})
    said = changes(tonight, "seat", *groups)
    known = dict(zip(("Amara", "Bao"), masses, strict=True))
    weighed = replace(
        tonight, here=tuple(replace(one, mass_kg=known.get(one.name)) for one in tonight.here)
    )
    assert (
        changes(weighed, "seat", *groups)
        == said
        == ["group 2: another flyer, Tariq instead of Zola"]
    )


# -- against every way to form groups ----------------------------------------------------------


def small_class(dice):
    """Four or five children of whom this and that is known, and wishes."""
    names = SIX[: dice.choice([3, 4, 4, 5])]
    children = [
        Pupil(
            name,
            tries=dice.choice([PROPS, PROPS, LEANS, KNOWS_STOP]),
            not_today=dice.random() < 0.1,
            agreed=dice.choice([LIFTED["agreed"]] * 4 + [frozenset()]),
            height_cm=dice.choice([None, 120.0, 131.0, 155.0]),
            height_on=ON,
            mass_kg=dice.choice([None, 20.0, 31.0, 45.0]),
            **dice.choice([{}, {}, WRISTS]),
        )
        for name in names
    ]
    return evening(
        *children,
        policy={"turns_under_one_spot": dice.choice([1, 2])},
        mats=dice.choice([1, 2]),
    )


def any_groups(dice, tonight, key):
    """Groups in which nobody is twice, of any size."""
    names = [child.name for child in tonight.here]
    dice.shuffle(names)
    roles = [role for role in tonight.edition.cards[key].skill.roles if role != "spotter"]
    groups = []
    while names and (not groups or dice.random() < 0.7):
        seats = {}
        for role in roles:
            for _ in range(dice.choice([1, 1, 1, 1, 0, 2])):
                if names:
                    seats[role] = f"{seats.get(role, '')} {names.pop()}".strip()
        if seats:
            groups.append(seats)
    return groups


def passed(tonight, key):
    """The problem in which every ask is passed: written for the twin alone."""
    stated = problem(tonight, tonight.edition.cards[key])
    ids = [one.id for one in stated.students]
    roles = tonight.edition.cards[key].skill.roles
    return replace(
        stated,
        skill=replace(
            stated.skill,
            roles=tuple(
                role if role.name == "spotter" else replace(role, max=roles[role.name].max)
                for role in stated.skill.roles
            ),
        ),
        students=tuple(
            replace(one, readiness=dict.fromkeys(one.readiness, 1.0)) for one in stated.students
        ),
        pairs_ok=tuple(permutations(ids, 2)),
        apart=(),
        together=(),
    )


def may_be_formed(tonight, key, groups):
    """Whether the twin knows these groups, all together."""
    rank = {child.name: child.rank for child in tonight.here}
    stated = passed(tonight, key)
    if not {rank[n] for g in groups for held in g.values() for n in held.split()} <= {
        one.id for one in stated.students
    }:
        return False
    known = {
        frozenset((role, one) for role, held in option.roles.items() for one in held): option
        for option in twin.options(stated)
        if option.load_and_height
    }
    wanted = [
        frozenset((role, rank[n]) for role, held in group.items() for n in held.split())
        for group in groups
    ]
    if not all(one in known for one in wanted) or len(wanted) > stated.mats:
        return False
    adults = sum(known[one].adults for one in wanted)
    return adults <= stated.adults * stated.turns_under_one_spot


@pytest.mark.parametrize("key", ["lean", "chest_rest", "seat", "line"])
@pytest.mark.parametrize("seed", cases(8, 100))
def test_nothing_stops_just_those_groups_that_the_slow_way_knows(key, seed):
    dice = Random(f"{key} {seed}")
    tonight = small_class(dice)
    groups = any_groups(dice, tonight, key)
    if tonight.edition.cards[key].lifted and len(tonight.here) > 4:
        tonight = replace(tonight, adults_in_room=9)
    assert (stops(check(tonight, key, *groups)) == []) == may_be_formed(tonight, key, groups)


@pytest.mark.parametrize("key", ["lean", "chest_rest", "seat"])
@pytest.mark.parametrize("seed", cases(6, 60))
def test_no_change_is_smaller_and_places_as_many(key, seed):
    dice = Random(f"least {key} {seed}")
    tonight = small_class(dice)
    groups = any_groups(dice, tonight, key)
    checked = check(tonight, key, *groups)
    after = mended(tonight, checked)
    if after is None:
        assert not checked.all_stops or checked.stops
        return
    again = by_hand.check(tonight, checked.card, after.groups)
    assert stops(again) == []
    stated = as_formed(tonight, checked)
    asked = {one for group in checked.groups for one in group.formed.students}
    own = {child.rank for child in tonight.playing if child.id in asked}
    among = replace(stated, students=tuple(o for o in stated.students if o.id in own))
    placed, kept, *_ = twin.best(among).values
    if placed == len(own):
        assert sum(len(group.students) for group in after.groups) == placed
        assert kept == stays(checked, after)


def stays(checked, after):
    """How many keep group and role at best, over every pairing of old and new groups."""
    old = [group.formed.places for group in checked.groups]
    new = [group.places for group in after.groups]
    few, many = sorted((old, new), key=len)
    return max(
        (
            sum(len(a & b) for a, b in zip(few, chosen, strict=True))
            for some in combinations(many, len(few))
            for chosen in permutations(some)
        ),
        default=0,
    )


@pytest.mark.parametrize("seed", cases(8, 80))
def test_all_of_it_may_be_read_aloud(seed):
    dice = Random(f"aloud {seed}")
    tonight = small_class(dice)
    key = dice.choice(["lean", "chest_rest", "seat", "line"])
    checked = check(tonight, key, *any_groups(dice, tonight, key))
    said = [stop.sentence for stop in checked.all_stops]
    said += [one.sentence for one in least_change(tonight, checked)]
    for group in checked.groups:
        said += [ASK_WORDS[ask.code].format(ask.about) for ask in group.asks]
    assert_fit_to_read_aloud("\n".join(said))


# -- a child who comes late ------------------------------------------------------------------


def late(tonight, key, name, *groups, **same):
    after = taken_in(tonight, check(tonight, key, *groups, **same), id_of(name))
    return named(tonight, after)


def test_the_newest_joins_a_line_at_the_back():
    tonight = evening(*pupils(*FOUR, tries=PROPS))
    line = {"front": "Amara", "back": "Bao"}
    assert late(tonight, "line", "Hana", line) == [
        {"front": "Amara", "middle": "Bao", "back": "Hana"}
    ]


def test_a_free_place_changes_nobody_else():
    documents = trios()
    tonight = evening(
        *pupils("Amara", "Bao", "Demba", "Hana", "Tariq", tries=LEANS), documents=documents
    )
    two = ({"partner": "Amara Bao"}, {"partner": "Demba Hana"})
    assert late(tonight, "lean", "Tariq", *two) == [two[0], {"partner": "Demba Hana Tariq"}]
    locked = late(tonight, "lean", "Tariq", *two, locked=False)
    assert locked == [two[0], {"partner": "Demba Hana Tariq"}]


def trios():
    """The cards with a lean in twos or threes."""
    lean = DOCUMENTS["lean"]
    partner = lean["roles"]["partner"] | {"max": 3}
    return DOCUMENTS | {"lean": lean | {"roles": {"partner": partner}}}


def test_nobody_joins_a_locked_group():
    tonight = evening(*pupils("Amara", "Bao", "Hana", tries=LEANS), documents=trios())
    with pytest.raises(Conflict) as refused:
        late(tonight, "lean", "Hana", {"partner": "Amara Bao"}, locked=True)
    assert str(refused.value).startswith("Hana: ")


def test_without_a_free_place_two_who_wait_are_a_new_group():
    tonight = evening(*pupils(*FOUR, tries=LEANS))
    assert late(tonight, "lean", "Tariq", {"partner": "Amara Bao"}) == [
        {"partner": "Amara Bao"},
        {"partner": "Hana Tariq"},
    ]


def test_who_comes_late_is_placed_before_others_who_wait():
    """Two of three who wait could be a new group: she is one of them."""
    tonight = evening(*pupils("Amara", "Bao", "Demba", "Hana", "Tariq", tries=LEANS))
    for name in ("Demba", "Hana", "Tariq"):
        after = late(tonight, "lean", name, {"partner": "Amara Bao"})
        assert after[0] == {"partner": "Amara Bao"}
        assert name in after[1]["partner"].split()


def test_nobody_gives_up_a_place_for_who_comes_late():
    tonight = evening(*pupils("Amara", "Bao", **LIFTED), Pupil("Hana", **LIFTED), policy={})
    with pytest.raises(Conflict):
        late(tonight, "seat", "Hana", {"base": "Amara", "flyer": "Bao"})


def test_without_an_adult_nobody_joins_a_lift():
    tonight = evening(*pupils(*FOUR, **LIFTED), spotters=(), adults_in_room=2)
    with pytest.raises(Conflict) as refused:
        late(tonight, "seat", "Hana", {"base": "Amara", "flyer": "Bao"})
    assert str(refused.value) == "no adult is free tonight who may spot this"


def test_where_there_is_no_place_it_says_what_would_help():
    tonight = evening(*pupils("Amara", "Bao", "Hana", tries=LEANS))
    with pytest.raises(Conflict) as refused:
        late(tonight, "lean", "Hana", {"partner": "Amara Bao"})
    assert str(refused.value) == "Hana: A turn with group 1 would work, while somebody there rests."


def test_who_cannot_come_late():
    tonight = evening(
        *pupils("Amara", "Bao", tries=LEANS),
        Pupil("Hana", LEANS, not_today=True),
        away=pupils("Tariq", tries=LEANS),
    )
    pair = {"partner": "Amara Bao"}
    for name in ("Hana", "Tariq"):
        with pytest.raises(Conflict) as refused:
            late(tonight, "lean", name, pair)
        assert str(refused.value) == f"{name} is not here for it tonight"
    for name, fault in (("Sunniva", "unknown"), ("Amara", "has a place already")):
        with pytest.raises(BadDocument) as refused:
            late(tonight, "lean", name, pair)
        assert str(refused.value) == f"/student: {fault}"
