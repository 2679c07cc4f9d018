from dataclasses import replace
from datetime import timedelta

from planning.suggestions import suggestions
from tests.planning.build import (
    DOCUMENTS,
    FOUR,
    LEANS,
    ON,
    PROPS,
    Pupil,
    clean,
    evening,
    pupils,
)

LATER = ON + timedelta(days=30)


def leans(many, **changes):
    """A curriculum of leans alone, the first the easiest."""
    documents = {key: DOCUMENTS[key] for key in ("stop_word", "tight", "bridge", "table")}
    for place in range(1, many + 1):
        documents[f"lean_{place}"] = DOCUMENTS["lean"] | {"name": f"Lean {place}"} | changes
    return documents


def keys(found):
    return [one.card.key for one in found]


def names(children):
    return [one.name for one in children]


def test_more_moved_on_comes_first_then_what_is_further_on():
    tonight = evening(*pupils("Amara", "Bao", tries=PROPS), *pupils("Hana", "Tariq", tries=LEANS))
    found = suggestions(tonight).groups
    assert keys(found) == ["chest_rest", "lean", "line"]
    assert [one.at_most for one in found] == [4, 4, 2]
    assert [one.proposal.placed for one in found] == [4, 4, 2]
    assert names(found[0].learners) == ["Amara", "Bao", "Hana", "Tariq"]


def test_reach_is_the_lesser_of_placed_and_moved_on():
    """The steady ones are placed in the lean too, but it takes them no further."""
    steady = (*PROPS, *clean("lean", role="partner", weeks=(4, 3, 2)))
    tonight = evening(*pupils("Amara", "Bao", "Hana", tries=steady), Pupil("Tariq", LEANS))
    found = {one.card.key: one for one in suggestions(tonight).groups}
    assert found["lean"].at_most == 4
    assert names(found["lean"].learners) == ["Tariq"]
    assert keys(suggestions(tonight).groups)[-1] == "lean"


def carries_on(found):
    return [(one.card.key, one.carries_on) for one in found]


def deep_leans():
    """Two leans; for the first one needs the bridge, for the second next to nothing."""
    documents = leans(2)
    needs = {"skill": "bridge", "role": "solo", "help": "no_spot"}
    documents["lean_1"] = documents["lean_1"] | {
        "roles": {"partner": {"min": 2, "max": 2, "needs": needs}}
    }
    return documents


def evening_after(begun, *others):
    """Amara and Bao did the first lean in the last lesson; only they can."""
    last = clean(begun, role="partner", weeks=(1,), group="two")
    able = (*LEANS, *clean("bridge", weeks=(4, 3, 2)))
    return evening(
        *pupils("Amara", "Bao", tries=(*able, *last)),
        *pupils(*others, tries=LEANS),
        documents=deep_leans(),
    )


def test_what_was_begun_last_time_comes_first_where_it_places_half():
    found = suggestions(evening_after("lean_1", "Hana", "Tariq")).groups
    assert [(one.card.key, one.at_most) for one in found] == [("lean_1", 2), ("lean_2", 4)]
    assert carries_on(found) == [("lean_1", True), ("lean_2", False)]


def test_what_was_begun_last_time_waits_where_it_places_fewer():
    found = suggestions(evening_after("lean_1", "Hana", "Rangi", "Tariq")).groups
    assert [(one.card.key, one.at_most) for one in found] == [("lean_2", 4), ("lean_1", 2)]
    assert carries_on(found) == [("lean_2", False), ("lean_1", True)]


def test_only_the_last_lesson_counts_as_last_time():
    able = (*LEANS, *clean("bridge", weeks=(4, 3, 2)))
    begun = clean("lean_1", role="partner", weeks=(2,), group="two")
    tonight = evening(
        *pupils("Amara", "Bao", tries=(*able, *begun)),
        *pupils("Hana", "Tariq", tries=LEANS),
        documents=deep_leans(),
    )
    assert carries_on(suggestions(tonight).groups) == [("lean_2", False), ("lean_1", False)]


def test_tries_of_tonight_do_not_count_as_last_time():
    able = (*LEANS, *clean("bridge", weeks=(4, 3, 2)))
    tonight = evening(
        *pupils("Amara", "Bao", tries=(*able, *clean("lean_1", role="partner", weeks=(0,)))),
        documents=deep_leans(),
    )
    assert tonight.last_lesson == ON - timedelta(weeks=1)
    assert not any(one.carries_on for one in suggestions(tonight).groups)


def test_a_try_outside_this_class_is_no_last_lesson():
    tries = (*clean("tight", weeks=(3, 2)), *clean("lean", role="partner", weeks=(1,)))
    tonight = evening(Pupil("Amara", tries))
    assert tonight.last_lesson == ON - timedelta(weeks=1)
    elsewhere = tuple(
        replace(one, lesson_id=None) if one.skill_key == "lean" else one for one in tonight.tries
    )
    assert replace(tonight, tries=elsewhere).last_lesson == ON - timedelta(weeks=2)
    assert evening(Pupil("Amara")).last_lesson is None


def test_the_best_five_are_worked_out_and_three_more_bounded():
    tonight = evening(*pupils(*FOUR, tries=LEANS), documents=leans(9))
    found = suggestions(tonight).groups
    # The further on the earlier in the list, since all of them place and move on everybody.
    assert keys(found) == [f"lean_{place}" for place in (9, 8, 7, 6, 5, 4, 3, 2)]
    assert [one.proposal is not None for one in found] == [True] * 5 + [False] * 3
    assert [one.at_most for one in found] == [4] * 8
    assert all(names(one.learners) == list(FOUR) for one in found)


def test_what_turns_out_to_place_nobody_is_left_out():
    tonight = evening(
        *pupils("Amara", "Bao", tries=LEANS), documents=leans(2), apart=[("Amara", "Bao")]
    )
    assert suggestions(tonight).groups == ()


def test_a_bound_of_nobody_is_not_worked_out():
    assert suggestions(evening(Pupil("Amara", LEANS), documents=leans(2))).groups == ()


def test_nobody_who_has_nothing_to_learn():
    steady = (*PROPS, *clean("lean", role="partner"), *clean("bridge"))
    tonight = evening(*pupils("Amara", "Bao", tries=steady), *pupils("Hana", "Tariq", tries=LEANS))
    found = suggestions(tonight)
    by_key = {one.card.key: names(one.learners) for one in (*found.groups, *found.alone)}
    assert by_key["lean"] == by_key["table"] == ["Hana", "Tariq"]
    assert "bridge" not in by_key  # steady in two, and the others lack the table
    assert "tight" not in by_key


def test_nothing_is_suggested_that_moves_nobody_on():
    steady = (*LEANS, *clean("lean_1", role="partner"), *clean("table"))
    documents = leans(1)
    del documents["bridge"]
    lean = documents["lean_1"]
    documents["lean_1"] = lean | {"ways_out": [lean["ways_out"][0]]}
    found = suggestions(evening(*pupils("Amara", "Bao", tries=steady), documents=documents))
    assert (found.groups, found.alone) == ((), ())


def test_a_habit_is_no_suggestion():
    found = suggestions(evening(*pupils(*FOUR)))
    assert "stop_word" not in keys([*found.groups, *found.alone])


def test_what_each_does_alone_stands_apart():
    shaky = clean("table", weeks=(1,), outcome="shaky")
    tonight = evening(
        *pupils("Amara", "Bao", tries=shaky), Pupil("Hana", clean("tight", weeks=(4, 3, 2)))
    )
    found = suggestions(tonight).alone
    # Begun last time first, then for the most children.
    assert [(one.card.key, one.carries_on) for one in found] == [("table", True), ("tight", False)]
    assert names(found[0].learners) == ["Amara", "Bao", "Hana"]
    assert names(found[1].learners) == ["Amara", "Bao"]
    assert [one.proposal for one in found] == [None, None]


def test_who_is_not_up_for_it_or_stopped_moves_on_in_nothing():
    tonight = evening(
        *pupils("Amara", "Bao", "Demba", tries=PROPS),
        Pupil("Hana", PROPS, not_today=True),
        Pupil("Tariq", PROPS, restricted=(("wrists", LATER), ("partner", LATER))),
    )
    found = suggestions(tonight)
    by_key = {one.card.key: names(one.learners) for one in (*found.groups, *found.alone)}
    assert by_key["bridge"] == ["Amara", "Bao", "Demba"]
    assert by_key["line"] == ["Amara", "Bao", "Demba"]
    assert len(by_key["lean"]) == 2
    assert "Tariq" not in by_key["lean"]
    assert by_key["chest_rest"] == ["Amara", "Bao", "Demba", "Tariq"]
    assert all("Hana" not in learners for learners in by_key.values())


def test_nobody_here():
    found = suggestions(evening())
    assert (found.groups, found.alone) == ((), ())


def test_no_mat():
    tonight = replace(evening(*pupils(*FOUR, tries=PROPS)), mats=0)
    assert suggestions(tonight).groups == ()
    assert keys(suggestions(tonight).alone) == ["bridge"]
