"""Reading and writing grouping/1: defaults, round trips, and every kind of bad file."""

from __future__ import annotations

import copy
import json
from dataclasses import replace
from typing import Any

import pytest

from engine.files import BadFile
from engine.grouping.command import run
from engine.grouping.document import read_problem, write_answer
from engine.grouping.problem import Answer, Gap, Group, Objective, Problem, Role, Skill, Student
from tests.engine.grouping import dice
from tests.engine.grouping.make import PAIR, group, problem, student, written

LEAST: dict[str, Any] = {
    "skill": {"roles": {"base": {"min": 1, "max": 1, "min_readiness": 0.5}}},
    "students": [{"id": "s1"}, {"id": "s2"}],
    "adults": 0,
    "mats": 1,
}
LEAST_READ = Problem(
    Skill((Role("base", 1, 1, 0.5),)), (Student("s1"), Student("s2")), adults=0, mats=1
)


def test_the_least_document_and_its_defaults() -> None:
    read = read_problem(json.dumps(LEAST))
    assert read == LEAST_READ
    skill, base, first = read.skill, read.skill.roles[0], read.students[0]
    assert (skill.name, skill.carried_share, skill.max_load_ratio) == ("", 1.0, None)
    assert (skill.if_mass_unknown, skill.keep_partners) == ("bar", False)
    assert (skill.max_height_difference_cm, skill.flyer_taller_by_at_most_cm) == (None, None)
    assert (base.students_may_fill, base.adults_may_fill) == (True, False)
    assert (first.height_cm, first.mass_kg, first.readiness, first.turns) == (None, None, {}, {})
    assert first.barred == frozenset()
    assert read.turns_under_one_spot == 1
    assert read.apart == read.together == read.pairs_ok == read.past_pairs == ()


def test_null_is_absent() -> None:
    document = copy.deepcopy(LEAST)
    document |= dict.fromkeys(
        ["format", "turns_under_one_spot", "apart", "together", "pairs_ok", "past_pairs"]
    )
    document["skill"] |= dict.fromkeys(
        [
            "name",
            "carried_share",
            "max_load_ratio",
            "if_mass_unknown",
            "max_height_difference_cm",
            "flyer_taller_by_at_most_cm",
            "keep_partners",
        ]
    )
    document["skill"]["roles"]["base"] |= dict.fromkeys(["students_may_fill", "adults_may_fill"])
    document["students"][0] |= dict.fromkeys(
        ["height_cm", "mass_kg", "readiness", "barred", "turns"]
    )
    assert read_problem(json.dumps(document)) == LEAST_READ


def test_every_field_is_read() -> None:
    document = {
        "format": "grouping/1",
        "skill": {
            "name": "front counterbalance",
            "roles": {
                "flyer": {"min": 1, "max": 2.0, "min_readiness": 0.75},
                "spotter": {
                    "min": 0,
                    "max": 1,
                    "min_readiness": 0,
                    "students_may_fill": False,
                    "adults_may_fill": True,
                },
            },
            "carried_share": 0.5,
            "max_load_ratio": 0.95,
            "if_mass_unknown": "ask",
            "max_height_difference_cm": 30,
            "flyer_taller_by_at_most_cm": -5,
            "keep_partners": True,
        },
        "students": [
            {
                "id": "s1",
                "height_cm": 131,
                "mass_kg": [27.5, 31],
                "readiness": {"flyer": 0.4, "front": 1},
                "barred": ["flyer", "back", "flyer"],
                "turns": {"flyer": 3},
            },
            {"id": "s2", "mass_kg": [30, 30]},
        ],
        "adults": 3,
        "turns_under_one_spot": 2,
        "mats": 4,
        "apart": [["s1", "s2"]],
        "together": [["s2", "s1"]],
        "pairs_ok": [["s2", "s1"], ["s1", "s2"]],
        "past_pairs": [["s1", "s2", 2], ["s2", "s1", 1]],
    }
    read = read_problem(json.dumps(document))
    assert read == Problem(
        skill=Skill(
            (
                Role("flyer", 1, 2, 0.75),
                Role("spotter", 0, 1, 0.0, students_may_fill=False, adults_may_fill=True),
            ),
            "front counterbalance",
            0.5,
            0.95,
            "ask",
            30.0,
            -5.0,
            True,
        ),
        students=(
            Student(
                "s1",
                131.0,
                (27.5, 31.0),
                {"flyer": 0.4, "front": 1.0},
                frozenset({"flyer", "back"}),
                {"flyer": 3},
            ),
            Student("s2", mass_kg=(30.0, 30.0)),
        ),
        adults=3,
        mats=4,
        turns_under_one_spot=2,
        apart=(("s1", "s2"),),
        together=(("s2", "s1"),),
        pairs_ok=(("s2", "s1"), ("s1", "s2")),
        past_pairs=(("s1", "s2", 2), ("s2", "s1", 1)),
    )
    assert read.past == {("s1", "s2"): 3}
    assert read_problem(json.dumps(written(read))) == read


@pytest.mark.parametrize("seed", range(36))
def test_written_and_read_again_it_is_the_same(seed: int) -> None:
    free = replace(dice.problem(seed), locked=(), standing=())
    assert read_problem(json.dumps(written(free))) == free


ROLE = "/skill/roles/base"
BAD: list[tuple[str, Any, str, str]] = [
    # where to put what; the pointer and the words of the complaint
    ("/format", "grouping/2", "/format", "should be grouping/1"),
    ("/format", 1, "/format", "should be a text"),
    ("/wish", [], "/wish", "unknown key"),
    ("/locked", [], "/locked", "unknown key"),
    ("/skill", None, "/skill", "should be an object"),
    ("/skill/level", 3, "/skill/level", "unknown key"),
    ("/skill/roles", [], "/skill/roles", "should be an object"),
    ("/skill/name", 7, "/skill/name", "should be a text"),
    ("/skill/carried_share", -0.1, "/skill/carried_share", "should be at least 0"),
    ("/skill/carried_share", "half", "/skill/carried_share", "should be a number"),
    ("/skill/max_load_ratio", -1, "/skill/max_load_ratio", "should be at least 0"),
    ("/skill/if_mass_unknown", "guess", "/skill/if_mass_unknown", "should be one of bar, ask"),
    (
        "/skill/max_height_difference_cm",
        -1,
        "/skill/max_height_difference_cm",
        "should be at least 0",
    ),
    (
        "/skill/flyer_taller_by_at_most_cm",
        True,
        "/skill/flyer_taller_by_at_most_cm",
        "should be a number",
    ),
    ("/skill/keep_partners", 1, "/skill/keep_partners", "should be true or false"),
    ("/skill/roles/adults", {}, "/skill/roles/adults", "cannot be named 'adults'"),
    ("/skill/roles/ask", {}, "/skill/roles/ask", "cannot be named 'ask'"),
    ("/skill/roles/ ", {}, "/skill/roles/ ", "cannot be named ' '"),
    (f"{ROLE}/least", 1, f"{ROLE}/least", "unknown key"),
    (f"{ROLE}/min", -1, f"{ROLE}/min", "should be at least 0"),
    (f"{ROLE}/min", 2, f"{ROLE}/min", "2 is above max 1"),
    (f"{ROLE}/min", 1_000_001, f"{ROLE}/min", "should be at most 1000000"),
    (f"{ROLE}/min", None, f"{ROLE}/min", "should be a number"),
    (f"{ROLE}/max", 1.5, f"{ROLE}/max", "should be a whole number"),
    (f"{ROLE}/max", -1, f"{ROLE}/max", "should be at least 0"),
    (f"{ROLE}/min_readiness", 1.01, f"{ROLE}/min_readiness", "should be at most 1"),
    (f"{ROLE}/min_readiness", -0.01, f"{ROLE}/min_readiness", "should be at least 0"),
    (f"{ROLE}/students_may_fill", "no", f"{ROLE}/students_may_fill", "should be true or false"),
    (f"{ROLE}/adults_may_fill", 0, f"{ROLE}/adults_may_fill", "should be true or false"),
    ("/students", {}, "/students", "should be a list"),
    ("/students/0", "s1", "/students/0", "should be an object"),
    ("/students/0/name", "Bao", "/students/0/name", "unknown key"),
    ("/students/0/id", 1, "/students/0/id", "should be a text"),
    ("/students/0/id", " ", "/students/0/id", "should not be empty"),
    ("/students/1/id", "s1", "/students/1/id", "'s1' is the id of two students"),
    ("/students/0/height_cm", 0, "/students/0/height_cm", "should be above 0"),
    ("/students/0/height_cm", "131", "/students/0/height_cm", "should be a number"),
    ("/students/0/mass_kg", 31.0, "/students/0/mass_kg", "should be a list"),
    ("/students/0/mass_kg", [31.0], "/students/0/mass_kg", "should have 2 items, has 1"),
    (
        "/students/0/mass_kg",
        [31.0, 27.5],
        "/students/0/mass_kg/0",
        "31 is above the upper end 27.5",
    ),
    ("/students/0/mass_kg", [0, 27.5], "/students/0/mass_kg/0", "should be above 0"),
    ("/students/0/mass_kg", [27.5, None], "/students/0/mass_kg/1", "should be a number"),
    ("/students/0/readiness", [], "/students/0/readiness", "should be an object"),
    ("/students/0/readiness", {"base": 1.2}, "/students/0/readiness/base", "should be at most 1"),
    ("/students/0/readiness", {"base": -1}, "/students/0/readiness/base", "should be at least 0"),
    ("/students/0/readiness", {"a/b": "?"}, "/students/0/readiness/a~1b", "should be a number"),
    ("/students/0/barred", "base", "/students/0/barred", "should be a list"),
    ("/students/0/barred", [1], "/students/0/barred/0", "should be a text"),
    ("/students/0/turns", {"base": 0.5}, "/students/0/turns/base", "should be a whole number"),
    ("/students/0/turns", {"base": -1}, "/students/0/turns/base", "should be at least 0"),
    ("/students/0/turns", {"base": 1_000_001}, "/students/0/turns/base", "should be at most"),
    ("/adults", -1, "/adults", "should be at least 0"),
    ("/adults", None, "/adults", "should be a number"),
    ("/turns_under_one_spot", 0, "/turns_under_one_spot", "should be at least 1"),
    ("/mats", "2", "/mats", "should be a number"),
    ("/mats", -1, "/mats", "should be at least 0"),
    ("/apart", ["s1", "s2"], "/apart/0", "should be a list"),
    ("/apart", [["s1", "s1"]], "/apart/0/1", "'s1' is paired with herself"),
    ("/apart", [["s1", "s2"], ["s9", "s1"]], "/apart/1/0", "'s9' is not the id of a student"),
    ("/together", [["s1", "s9"]], "/together/0/1", "'s9' is not the id of a student"),
    ("/together", [["s1"]], "/together/0", "should have 2 items, has 1"),
    ("/pairs_ok", [["s2", "s2"]], "/pairs_ok/0/1", "'s2' is paired with herself"),
    ("/pairs_ok", [["s1", 2]], "/pairs_ok/0/1", "should be a text"),
    ("/past_pairs", [["s1", "s2"]], "/past_pairs/0", "should have 3 items, has 2"),
    ("/past_pairs", [["s1", "s2", -1]], "/past_pairs/0/2", "should be at least 0"),
    ("/past_pairs", [["s1", "s2", 1_000_001]], "/past_pairs/0/2", "should be at most 1000000"),
    ("/past_pairs", [["s1", "s9", 1]], "/past_pairs/0/1", "'s9' is not the id of a student"),
]


def put(where: str, what: Any) -> dict[str, Any]:
    document = copy.deepcopy(LEAST)
    *path, last = where.split("/")[1:]
    place: Any = document
    for key in path:
        place = place[int(key)] if isinstance(place, list) else place[key]
    place[int(last) if isinstance(place, list) else last] = what
    return document


@pytest.mark.parametrize(("where", "what", "pointer", "message"), BAD)
def test_bad_file(where: str, what: Any, pointer: str, message: str) -> None:
    with pytest.raises(BadFile) as caught:
        run(json.dumps(put(where, what)))
    assert caught.value.pointer == pointer
    assert message in caught.value.message
    assert "\n" not in str(caught.value)


@pytest.mark.parametrize(
    "missing",
    [
        "/skill",
        "/students",
        "/adults",
        "/mats",
        "/skill/roles",
        f"{ROLE}/min",
        f"{ROLE}/max",
        f"{ROLE}/min_readiness",
        "/students/1/id",
    ],
)
def test_missing(missing: str) -> None:
    document = copy.deepcopy(LEAST)
    *path, last = missing.split("/")[1:]
    place: Any = document
    for key in path:
        place = place[int(key)] if isinstance(place, list) else place[key]
    del place[last]
    with pytest.raises(BadFile) as caught:
        read_problem(json.dumps(document))
    assert (caught.value.pointer, caught.value.message) == (missing, "missing")


@pytest.mark.parametrize(
    ("text", "pointer"),
    [("", ""), ("[]", ""), ('{"adults": 1,}', ""), (b"\xff", ""), ('{"mats": NaN}', "/mats")],
)
def test_not_a_document(text: str | bytes, pointer: str) -> None:
    with pytest.raises(BadFile) as caught:
        run(text)
    assert caught.value.pointer == pointer


@pytest.mark.parametrize(
    ("where", "what"),
    [
        (f"{ROLE}/min", 0),
        (f"{ROLE}/max", 10**30),
        (f"{ROLE}/min_readiness", 0),
        (f"{ROLE}/min_readiness", 1),
        ("/skill/roles", {}),
        ("/skill/roles/adult", {"min": 0, "max": 0, "min_readiness": 0}),
        ("/skill/carried_share", 0),
        ("/skill/carried_share", 1e300),
        ("/skill/max_load_ratio", 0),
        ("/skill/max_load_ratio", 5e-324),
        ("/skill/max_height_difference_cm", 0),
        ("/skill/name", ""),
        ("/students", []),
        ("/students/0/mass_kg", [31.0, 31.0]),
        ("/students/0/height_cm", 1e-3),
        ("/students/0/turns", {"base": 1_000_000}),
        ("/students/0/barred", []),
        ("/adults", 10**30),
        ("/mats", 10**30),
        ("/mats", 0),
        ("/turns_under_one_spot", 10**30),
        ("/past_pairs", [["s1", "s2", 0], ["s1", "s2", 1_000_000]]),
        ("/apart", [["s1", "s2"], ["s2", "s1"]]),
    ],
)
def test_the_edge_of_what_is_allowed(where: str, what: Any) -> None:
    assert json.loads(run(json.dumps(put(where, what))))["status"] == "optimal"


def test_extreme_numbers_stay_exact() -> None:
    document = put("/skill/roles/flyer", {"min": 1, "max": 2, "min_readiness": 0})
    document["skill"]["roles"]["base"] |= {"min_readiness": 0, "max": 2}
    document["skill"] |= {"max_load_ratio": 1e-300, "carried_share": 1e-300}
    document["students"] = [
        {"id": "s1", "mass_kg": [1e300, 1e300]},
        {"id": "s2", "mass_kg": [1e300, 1.0000000000000002e300]},
        {"id": "s3", "mass_kg": [1e-300, 1e-300], "barred": ["base"]},
    ]
    answer = json.loads(run(json.dumps(document)))
    assert answer["objective"]["placed"] == 3


def test_the_answer_as_a_document() -> None:
    answer = Answer(
        "best_found",
        Gap("asks", 2, 1),
        (Group({"flyer": ("b",), "base": ("a",)}, 1, (("a", "b"),)),),
        (),
        Objective(2, 1, 3, 2, 1660, 0),
    )
    assert json.dumps(write_answer(answer)) == json.dumps(
        {
            "format": "grouping/1",
            "status": "best_found",
            "gap": {"level": "asks", "found": 2, "bound": 1},
            "groups": [{"flyer": ["b"], "base": ["a"], "adults": 1, "ask": [["a", "b"]]}],
            "still_to_place": [],
            "objective": {
                "placed": 2,
                "kept": 1,
                "fairness": 3,
                "asks": 2,
                "readiness": 1660,
                "repeats": 0,
            },
        }
    )
    plain = write_answer(replace(answer, gap=None, objective=Objective(2, None, 3, 2, 1660, 0)))
    assert "gap" not in plain
    assert "kept" not in plain["objective"]  # type: ignore[operator]


@pytest.mark.parametrize(
    ("rest", "message"),
    [
        ({"locked": (group(porter="a"),)}, "unknown role 'porter'"),
        ({"locked": (group(base="x"),)}, "unknown student 'x'"),
        ({"locked": (group(base="a", flyer="a"),)}, "'a' is locked twice"),
        ({"locked": (group(base="a"), group(base="b", flyer="a"))}, "'a' is locked twice"),
    ],
)
def test_locked_groups_that_cannot_be(rest: dict[str, Any], message: str) -> None:
    with pytest.raises(ValueError, match=message):
        problem(PAIR, student("a"), student("b"), **rest)


def test_two_students_with_one_id() -> None:
    with pytest.raises(ValueError, match="two students have the same id"):
        problem(PAIR, student("a"), student("a", "base"))
