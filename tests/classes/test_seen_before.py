import io
import re
from datetime import UTC, date, datetime, timedelta
from itertools import combinations_with_replacement, product

import pytest
import time_machine
from django.core.management import call_command

from accounts.commands import Refused
from accounts.faults import BadDocument
from classes import replay, seen_before
from classes.models import Attempt, Lesson
from classes.seen_before import WORDS, Seen
from classes.tries import turns
from curriculum import editions
from engine.readiness import chain, evidence
from engine.readiness.advice import spot_advice
from engine.readiness.forgetting import decay
from engine.readiness.parameters import DEFAULTS, HELP, OUTCOMES, SPOTS, WEIGHTS
from engine.readiness.register import Row
from tests.classes import log_school
from tests.classes.fact_school import AT, CLASS, EXAMPLES, SCHOOL, strangers
from tests.classes.log_school import everything, tries
from tests.once import once

ON = date(2026, 2, 17)
PAGE = EXAMPLES.parent / "seen_before.md"
BAR = 0.80
NO_NOTES = "row 1, column “notes”: no skill “notes” in first steps"
STATES = {word: HELP.index(word) for word in HELP}


built, school = once(log_school.build)


def load(school, *lines, on=ON, scope=None, **asked):
    loaded = seen_before.load(
        scope or school.teacher,
        content="\n".join(lines).encode(),
        at=AT,
        klass=school.klass,
        on=on,
        **asked,
    )
    return loaded.new, loaded.changed, loaded.standing


def refused(school, *lines, **asked):
    before = everything()
    with pytest.raises(BadDocument) as caught:
        load(school, *lines, **asked)
    assert everything() == before
    return [str(fault) for fault in caught.value.faults]


def said(school, name):
    """The counted tries of a child, as the help given, what came of it and the day."""
    return [
        (one.skill_key, one.spot, one.outcome, one.local_date.day) for one in tries(school, name)
    ]


def belief(school, name, skill, role="solo"):
    id_ = school.children[name]
    return replay.beliefs(school.teacher, student_ids={id_})[id_][skill, role]


# -- what a word counts for --------------------------------------------------------------------


def state_after(word_tries, *, weeks):
    """The state that tries of a word come to, read so many weeks after the day of the grid."""
    rows = []
    for n, seen in enumerate(word_tries):
        rows.append(
            Row(
                id=str(n),
                attempt=str(n),
                revision=1,
                happened_at=datetime(ON.year, ON.month, ON.day, 0, 0, n, tzinfo=UTC),
                date=ON,
                spot=seen.spot,
                outcome=seen.outcome,
                weight=WEIGHTS["summary"],
            )
        )
    last = chain.replay(rows, DEFAULTS)[()]
    return decay([last.state], [7.0 * weeks], DEFAULTS)[0].tolist()


def good_enough(word, word_tries):
    """The state said is the most likely one, and she is there or above at the bar, for 4 weeks."""
    said = STATES[word]
    return all(
        max(range(len(HELP)), key=state.__getitem__) == said and sum(state[said:]) >= BAR
        for state in (state_after(word_tries, weeks=weeks) for weeks in range(5))
    )


@pytest.mark.parametrize("word", HELP)
def test_a_word_comes_to_the_state_it_names_and_keeps_the_bar_for_four_weeks(word):
    assert good_enough(word, WORDS[word])


def made_of(count):
    """All ways to make so many tries on one day, from more help to less and better to worse."""
    kinds = [Seen(*kind) for kind in product(SPOTS, reversed(OUTCOMES))]
    return list(combinations_with_replacement(kinds, count))


@pytest.mark.parametrize("word", HELP)
def test_no_fewer_tries_do(word):
    for count in range(1, len(WORDS[word])):
        assert not any(good_enough(word, made) for made in made_of(count))


@pytest.mark.parametrize("word", HELP)
def test_no_other_tries_as_few_say_it_more_clearly(word):
    def clearly(made):
        return state_after(made, weeks=0)[STATES[word]]

    good = [made for made in made_of(len(WORDS[word])) if good_enough(word, made)]
    assert WORDS[word] == max(good, key=clearly)


def test_a_word_alone_makes_nobody_steady_and_shows_no_number(school):
    load(school, "student,standing_tight", "Amara,no spot")
    found = {0: belief(school, "Amara", "standing_tight")}
    as_of = datetime(2026, 2, 17, 17, 0, tzinfo=UTC)
    seen = evidence.read(found, as_of=as_of, on=ON, parameters=DEFAULTS)[0]
    assert (seen.likely, seen.steady, seen.percent) == ("no_spot", False, None)
    advice = spot_advice(seen, new_pair=False, new_floor=False, after_break=False, last_spot="none")
    assert advice == "hands_near"


@pytest.mark.parametrize("word", HELP)
def test_the_numbers_of_the_page(word):
    line = re.search(rf"^\| {word.replace('_', ' ')} \|.*$", PAGE.read_text(), re.MULTILINE)[0]
    figures = [float(cell) for cell in line.strip("| ").split("|")[-3:]]
    now, later = (state_after(WORDS[word], weeks=weeks) for weeks in (0, 4))
    at = STATES[word]
    assert figures == [round(chance, 2) for chance in (now[at], sum(now[at:]), sum(later[at:]))]


def test_the_page_on_eight_weeks():
    chances = [
        round(sum(state_after(WORDS[word], weeks=8)[STATES[word] :]), 2) for word in HELP[1:]
    ]
    assert chances == [0.81, 0.81, 0.76]
    assert "would be .81, .81 and .76" in PAGE.read_text()


# -- the grid ----------------------------------------------------------------------------------


def test_each_word_as_tries_of_the_log(school):
    names = ("Amara", "Bao", "Hana", "Rangi")
    cells = [f"{name};{word}" for name, word in zip(names, HELP, strict=True)]
    assert load(school, "Child;Standing tight", *cells, "Tariq;") == (4, 0, 0)
    assert [said(school, name) for name in (*names, "Tariq")] == [
        [("standing_tight", "hands_on", "not_there", 17)],
        [
            ("standing_tight", "hands_on", "clean", 17),
            ("standing_tight", "hands_near", "shaky", 17),
        ],
        [("standing_tight", "hands_near", "clean", 17), ("standing_tight", "none", "shaky", 17)],
        [("standing_tight", "none", "clean", 17)] * 4,
        [],
    ]
    for name, state in zip(names, HELP, strict=True):
        kept = belief(school, name, "standing_tight").state
        assert kept == pytest.approx(state_after(WORDS[state], weeks=0), abs=1e-12)
    assert set(Attempt.objects.values_list("weight", "lesson_id", "sent_by_id")) == {
        ("summary", None, school.teacher.member_id)
    }
    assert not Lesson.objects.exists()
    assert replay.check(school.teacher).stale == 0


def test_a_day_before_she_joined_stays_that_day(school):
    load(school, "student,standing_tight", "Amara,not yet", on=date(2025, 7, 1))
    (one,) = tries(school, "Amara")
    # Lisbon is an hour ahead of UTC in July.
    assert one.at == datetime(2025, 6, 30, 23, 0, tzinfo=UTC)


def test_it_comes_before_what_is_logged_on_its_day_and_is_no_turn(school):
    load(school, "student,standing_tight", "Amara,no spot", on=date(2026, 3, 10))
    school.tried("Amara", date(2026, 3, 10), skill_id=school.skills["standing_tight"])
    found = tries(school, "Amara")
    assert [one.weight for one in found] == ["summary"] * 4 + ["own"]
    days = {school.children["Amara"]: [one.local_date for one in found]}
    assert turns(found, days) == {(school.children["Amara"], "solo"): 1}
    assert turns(found[:4], days) == {}


def test_another_word_replaces_what_a_cell_said(school):
    def say(word, **asked):
        return load(school, "student,standing_tight", f"Amara,{word}", **asked)

    assert say("no spot") == (1, 0, 0)
    assert say("no spot") == (0, 0, 1)
    for word in (*HELP, "removed", "no spot", "hands near"):
        expected = (0, 1, 0)
        if word == "not_yet":
            assert say(word, dry_run=True) == expected
            assert len(tries(school, "Amara")) == 4
        assert say(word) == expected
        before = everything()
        assert say(word) == (0, 0, 1)
        assert everything() == before
        assert [one[1:3] for one in said(school, "Amara")] == [
            (seen.spot, seen.outcome) for seen in WORDS[word.replace(" ", "_")]
        ]
    assert say("") == (0, 0, 0)
    assert len(tries(school, "Amara")) == 2
    assert say("hands near", on=date(2026, 2, 18)) == (0, 1, 0)
    assert {one[3] for one in said(school, "Amara")} == {18}


def test_habits_are_ticked(school):
    lines = ["student,The stop word", "Amara,yes", "Bao,X", "Hana,no spot", "Rangi,no", "Tariq,"]
    assert load(school, *lines) == (3, 0, 1)
    assert {one.student_id for one in tries(school)} == {
        school.children[name] for name in ("Amara", "Bao", "Hana")
    }
    assert said(school, "Amara") == [("stop_word", "none", "clean", 17)]
    assert load(school, "student,stop_word", "Amara,no", "Bao,yes") == (0, 1, 1)
    assert said(school, "Amara") == []


def test_headers_name_a_skill_and_where_needed_a_role(school):
    lines = [
        "seat_on_a_table: Base;Seat on a table · flyer;student;Standing tight·solo;stop_word",
        "hands on;hands near;Amara;no spot;x",
    ]
    assert load(school, *lines) == (4, 0, 0)
    found = {(one.skill_key, one.role) for one in tries(school, "Amara")}
    assert found == {
        ("seat_on_a_table", "base"),
        ("seat_on_a_table", "flyer"),
        ("standing_tight", "solo"),
        ("stop_word", "partner"),
    }


def test_the_edition_is_that_of_the_day(school):
    number = editions.publish(
        school.head,
        curriculum=editions.read_curriculum(
            (EXAMPLES / "curriculum.yaml").read_text().replace("Standing tight", "Tight").encode()
        ),
        at=AT,
    ).number
    later = ON + timedelta(days=1)
    editions.adopt(school.head, studio_id=school.studio_id, number=number, from_date=later, at=AT)
    assert load(school, "student,Standing tight", "Amara,not yet") == (1, 0, 0)
    assert load(school, "student,Tight", "Amara,not yet", on=later) == (0, 1, 0)


@pytest.mark.parametrize(
    ("header", "fault"),
    [
        (
            "Standing tigt",
            "no skill “Standing tigt” in first steps; close to it: Standing tight, standing_tight",
        ),
        ("Handstand · solo", "no skill “Handstand” in first steps"),
        (
            "Seat on a table",
            "write which role: Seat on a table · base or Seat on a table · flyer",
        ),
        ("Seat on a table · solo", "Seat on a table has no role solo; it has base, flyer"),
        ("Seat on a table · spotter", "Seat on a table has no role spotter; it has base, flyer"),
        ("Standing tight · solo", "a second column for Standing tight · solo"),
        ("child", "a second column for student"),
    ],
)
def test_a_bad_header(school, header, fault):
    line = f"student,standing_tight,{header},notes"
    expected = [f"row 1, column “{header}”: {fault}", NO_NOTES]
    assert sorted(refused(school, line, "Amara,not yet")) == sorted(expected)


def test_bad_cells_all_at_once(school):
    lines = [
        "student,Standing tight,The stop word,Seat on a table · base",
        "Amara,nearly,hands on,not yet",
        "Amira,no spot,,",
        "Amara,no spot,,",
        ",no spot,,",
        "Bao,removed,yes,4",
    ]
    words = "not_yet, hands_on, hands_near, no_spot, removed"
    assert refused(school, *lines) == [
        f"row 2, column “Standing tight”: “nearly” should be one of {words}",
        "row 2, column “The stop word”: “hands on” should be one of yes, x, no_spot, no, not_yet,"
        " removed",
        "row 3, column “student”: no child is called “Amira”; close to it: Amara",
        "row 4, column “student”: the same child as in row 2",
        "row 5, column “student”: missing",
        f"row 6, column “Seat on a table · base”: “4” should be one of {words}",
    ]


def test_a_day_to_come_and_one_long_ago(school):
    line = ("student,standing_tight", "Amara,not yet")
    assert refused(school, *line, on=date(2026, 3, 12)) == ["on: 2026-03-12 is still to come"]
    assert load(school, *line, on=date(2026, 3, 11)) == (1, 0, 0)
    assert refused(school, *line, on=date(2005, 3, 10)) == [
        "on: 2005-03-10 is more than 20 years from now"
    ]
    old = date(1999, 12, 31)
    assert refused(school, *line, on=old) == ["on: 1999-12-31 is more than 20 years from now"]


def test_strangers_load_nothing(school):
    for stranger in strangers(school):
        with pytest.raises(BadDocument):
            load(school, "student,standing_tight", "Amara,not yet", scope=stranger)
    assert not Attempt.objects.exists()


# -- the command -------------------------------------------------------------------------------


def run(file, *options):
    out = io.StringIO()
    asked = {"school": SCHOOL, "member": "Aroha T.", "class_name": CLASS}
    with time_machine.travel(AT, tick=False):
        call_command("load_attempts", str(file), *options, stdout=out, **asked)
    return out.getvalue().splitlines()


def test_the_example_is_tried_then_loaded_then_known(school):
    file = EXAMPLES / "seen_before.csv"
    columns = (
        "columns: student, The stop word = stop_word · partner, Standing tight = standing_tight ·"
        " solo, Hands-and-knees table · solo = hands_and_knees_table · solo, Facing lean to a squat"
        " = facing_lean · partner, Seat on a table · base = seat_on_a_table · base, Seat on a table"
        " · flyer = seat_on_a_table · flyer"
    )
    on = ("--on", "2026-02-17")
    before = everything()
    assert run(file, *on, "--dry-run") == [
        columns,
        "29 cells: 28 new, 0 changed, 1 known already",
        "dry run: nothing was loaded",
    ]
    assert everything() == before
    assert run(file, *on) == [columns, "29 cells: 28 new, 0 changed, 1 known already"]
    assert run(file, *on) == [
        columns,
        "29 cells: 0 new, 0 changed, 29 known already",
        "nothing changed",
    ]


@pytest.mark.parametrize(
    ("options", "sentence"),
    [
        ((), "--on: a grid needs the day on which this was so, such as --on 2026-03-02"),
        (("--on", "March"), "--on: “March” should be a date such as 2026-03-02"),
    ],
)
def test_a_grid_needs_a_day(school, options, sentence):
    with pytest.raises(Refused) as caught:
        run(EXAMPLES / "seen_before.csv", *options)
    assert (str(caught.value), caught.value.returncode) == (sentence, 2)
