from dataclasses import replace
from datetime import UTC, date, datetime, time
from uuid import UUID, uuid4, uuid5

import pytest

from classes import lessons, replay
from classes.classes import class_named
from classes.history_rows import measured
from classes.models import Attempt, Class, Lesson, Replay
from classes.tries import past_pairs
from curriculum import editions
from tests.classes import log_school
from tests.classes.fact_school import AT, EXAMPLES
from tests.classes.log_school import FIRST, PLAIN, SECOND, THIRD, everything, load, refused, tries
from tests.once import once

built, school = once(log_school.build)


def stored(**about):
    return Attempt.objects.get(**about)


# -- what a row becomes ------------------------------------------------------------------------


def test_a_row_of_the_log(school):
    header = "on;time;child;skill;role;help;outcome;weight;try;way in;way_out;Surface;by"
    line = (
        "3.3.2026;17:12:30;bao;Facing lean to a squat;;;Not there;together;1;"
        "toes_to_toes;Pull up together on the count;sprung floor;aroha t."
    )
    assert load(school, line, header=header) == (1, 0, 0)
    row = stored()
    assert (row.student_id, row.skill_id) == (school.children["Bao"], school.skills["facing_lean"])
    assert (row.role, row.spot, row.outcome, row.weight) == (
        "partner",
        "none",
        "not_there",
        "together",
    )
    assert (row.way_in, row.way_out, row.surface) == ("toes_to_toes", "pull_up", "sprung floor")
    assert (row.local_date, row.lesson_id) == (SECOND, school.lesson_id(SECOND))
    assert row.happened_at == row.at == datetime(2026, 3, 3, 17, 12, 30, tzinfo=UTC)
    assert (row.member_id, row.sent_by_id) == (
        school.assistant.member_id,
        school.teacher.member_id,
    )
    assert row.edition_id == school.edition(SECOND).id
    assert (row.revision, row.measure, row.received_at) == (1, None, AT)


def test_lessons_that_are_not_there_yet_are_made(school):
    kept = school.lesson(SECOND)
    lines = [PLAIN, PLAIN.replace("03-03", "03-10")]
    assert load(school, *lines) == (2, 0, 0)
    found = Lesson.objects.order_by("on")
    assert [(row.on, row.id) for row in found] == [
        (SECOND, kept.id),
        (THIRD, school.lesson_id(THIRD)),
    ]


@pytest.mark.parametrize(
    ("value", "outcome"),
    [
        (10, "clean"),
        (12.5, "clean"),
        (9.9, "shaky"),
        (5, "shaky"),
        (4.9, "not_there"),
        (0, "not_there"),
    ],
)
def test_what_was_measured_becomes_an_outcome(school, value, outcome):
    assert measured(value, figure=10) == outcome
    line = f"2026-03-03,,Amara,Standing tight,,,,{value},,"
    assert load(school, line) == (1, 0, 0)
    assert (stored().outcome, stored().measure) == (outcome, value)


def test_a_written_outcome_wins_and_the_measure_is_kept(school):
    line = "2026-03-03,,Amara,Standing tight,,,not there,30,,"
    assert load(school, line) == (1, 0, 0)
    assert (stored().outcome, stored().measure) == ("not_there", 30)


def test_rows_without_a_time_follow_each_other_from_the_start_of_the_lesson(school):
    lines = [f"2026-03-03,,{name},Standing tight,,,clean,,," for name in ("Bao", "Amara")]
    again = "2026-03-10,,Amara,Standing tight,,,clean,,,"
    load(school, lines[0], again, lines[1])
    times = {(one.student_id, one.local_date): one.at for one in tries(school)}
    amara, bao = school.children["Amara"], school.children["Bao"]
    assert times == {
        (bao, SECOND): datetime(2026, 3, 3, 17, 0, 0, tzinfo=UTC),
        (amara, SECOND): datetime(2026, 3, 3, 17, 0, 1, tzinfo=UTC),
        (amara, THIRD): datetime(2026, 3, 10, 17, 0, 0, tzinfo=UTC),
    }


def test_times_are_the_studios_own(school):
    """From 29 March 2026 Lisbon is an hour ahead of UTC."""
    lines = [f"2026-{day},17:10,Amara,Standing tight,,,clean,,," for day in ("03-24", "03-31")]
    load(school, *lines, at=datetime(2026, 4, 1, tzinfo=UTC))
    assert [one.at.hour for one in tries(school)] == [17, 16]


def test_rows_of_a_date_with_one_label_are_one_physical_try(school):
    header = "date,student,skill,role,spot,outcome,try"
    lines = [
        "2026-03-03,Demba,Seat on a table,base,hands on,clean,1",
        "2026-03-03,Bao,Seat on a table,flyer,hands on,clean,1",
        "2026-03-03,Hana,Seat on a table,flyer,hands on,clean,2",
        "2026-03-10,Hana,Seat on a table,flyer,hands on,clean,1",
        "2026-03-10,Rangi,Seat on a table,flyer,hands on,clean,",
    ]
    load(school, *lines, header=header)
    demba, bao, hana, again, rangi = (one.try_id for one in tries(school))
    assert demba == bao
    assert len({demba, hana, again, rangi}) == 4
    children = sorted(school.children[name] for name in ("Bao", "Demba"))
    assert past_pairs(tries(school)) == {tuple(children): 1}


def test_a_card_without_a_spot_text_takes_no_spot_where_none_is_given(school):
    lines = [
        "2026-03-03,,Amara,Standing tight,,,clean,,,",
        "2026-03-03,,Bao,Standing tight,,hands on,clean,,,",
        "2026-03-03,,Bao,The stop word,,,clean,,,",
        "2026-03-03,,Hana,The stop word,,no spot,clean,,,",
    ]
    load(school, *lines)
    assert [one.spot for one in tries(school)] == ["none", "hands_on", "none", "none"]


def test_each_date_has_its_edition(school):
    """On 10 March another edition is in use, in which the figure is twice as high."""
    text = (EXAMPLES / "curriculum.yaml").read_text().replace("figure: 10}", "figure: 20}")
    number = editions.publish(
        school.head, curriculum=editions.read_curriculum(text.encode()), at=AT
    ).number
    editions.adopt(school.head, studio_id=school.studio_id, number=number, from_date=THIRD, at=AT)
    lines = [f"{on},,Amara,Standing tight,,,,12,," for on in (SECOND, THIRD)]
    load(school, *lines)
    assert [one.outcome for one in tries(school)] == ["clean", "shaky"]
    found = Attempt.objects.order_by("local_date").values_list("edition_id", flat=True)
    assert list(found) == [school.edition(SECOND).id, school.edition(THIRD).id]


def test_a_visitor_from_another_class_of_the_studio(school):
    other = Class.objects.create(
        school_id=school.id,
        studio_id=school.studio_id,
        name="Thursday",
        weekday=3,
        starts_at=time(17),
    )
    school.children["Kalea"] = log_school.add_child(school, "Kalea", class_id=other.id)
    assert load(school, PLAIN.replace("Amara", "Kalea")) == (1, 0, 0)
    assert tries(school, "Kalea")[0].lesson_id == school.lesson_id(SECOND)


def test_beliefs_are_fresh_after_loading(school):
    load(school, PLAIN, PLAIN.replace("Amara", "Bao"))
    assert Replay.objects.count() == 2
    checked = replay.check(school.teacher)
    assert (checked.stale, checked.differences) == (0, ())


# -- the same file again, corrections, removals ------------------------------------------------


def test_the_same_file_again_changes_nothing_whoever_loads_it(school):
    lines = [PLAIN, PLAIN, "2026-03-03,,Bao,Standing tight,,,,7,,"]
    assert load(school, *lines) == (3, 0, 0)
    before = everything()
    later = datetime(2026, 5, 1, tzinfo=UTC)
    assert load(school, *lines, scope=school.head, at=later) == (0, 0, 3)
    assert everything() == before


def test_more_rows_of_a_day_leave_those_that_stand(school):
    """Without times a row's place in the file gives its moment; later files may sort otherwise."""
    lines = [f"2026-03-03,,{name},Standing tight,,,clean,,," for name in ("Amara", "Bao", "Hana")]
    load(school, *lines[:2])
    assert load(school, lines[2], lines[1], lines[0]) == (1, 0, 2)


def test_rows_that_say_the_same_are_as_many_tries(school):
    assert load(school, PLAIN, PLAIN, PLAIN) == (3, 0, 0)
    assert len(tries(school, "Amara")) == 3
    assert load(school, PLAIN) == (0, 0, 1)


def test_a_correction_of_one_of_several_alike_says_which(school):
    """Read by its order alone, the mended second row would overwrite the first try."""
    shaky, not_there = PLAIN.replace("clean", "shaky"), PLAIN.replace("clean", "not there")
    load(school, shaky, not_there)
    mended = PLAIN + "2"
    which = (
        "column “revision”: 2 of which of several tries alike? Repeat all of them in their order"
        " with revision 2"
    )
    assert refused(school, shaky, mended) == [f"row 3, {which}"]
    assert refused(school, mended) == [f"row 2, {which}"]
    assert refused(school, shaky, not_there, mended) == [f"row 4, {which}"]
    assert load(school, shaky + "2", mended) == (0, 2, 0)
    assert sorted(one.outcome for one in tries(school, "Amara")) == ["clean", "shaky"]
    # A third one is another try, and one that stands alone is corrected by its row alone.
    assert load(school, PLAIN.replace("Amara", "Bao")) == (1, 0, 0)
    assert load(school, shaky.replace("Amara", "Bao") + "2") == (0, 1, 0)


def test_a_changed_figure_leaves_what_was_measured_before(school):
    """An edition taken into use for days that have been changes no try, and refuses no file."""
    line = "2026-03-03,,Amara,Standing tight,,,,12,,"
    load(school, line)
    text = (EXAMPLES / "curriculum.yaml").read_text().replace("figure: 10}", "figure: 20}")
    number = editions.publish(
        school.head, curriculum=editions.read_curriculum(text.encode()), at=AT
    ).number
    editions.adopt(school.head, studio_id=school.studio_id, number=number, from_date=FIRST, at=AT)
    assert load(school, line) == (0, 0, 1)
    assert [one.outcome for one in tries(school)] == ["clean"]


def test_a_changed_row_needs_a_revision(school):
    load(school, PLAIN, PLAIN.replace("Amara", "Bao"))
    shaky = PLAIN.replace("clean", "shaky")
    assert refused(school, PLAIN.replace("Amara", "Hana"), shaky) == [
        "row 3, column “revision”: loaded before with other content: give it revision 2"
    ]
    assert load(school, shaky + "2") == (0, 1, 0)
    assert [one.outcome for one in tries(school, "Amara")] == ["shaky"]
    assert load(school, shaky + "2") == (0, 0, 1)
    assert refused(school, PLAIN + "2") == [
        "row 2, column “revision”: loaded before with other content: give it revision 3"
    ]
    assert load(school, PLAIN + "3") == (0, 1, 0)
    assert [one.outcome for one in tries(school, "Amara")] == ["clean"]


def test_the_whole_history_with_its_corrections_in_any_order(school):
    lines = [
        PLAIN,
        PLAIN.replace("clean", "shaky") + "2",
        PLAIN.replace("clean", "not there") + "3",
    ]
    assert load(school, *reversed(lines)) == (1, 2, 0)
    assert [one.outcome for one in tries(school)] == ["not_there"]
    assert load(school, *lines) == (0, 0, 3)


def test_a_removed_try_is_gone_and_may_come_back(school):
    load(school, PLAIN)
    replay_key = ("standing_tight", "solo")
    amara = school.children["Amara"]
    gone = "2026-03-03,17:10,Amara,Standing tight,solo,,removed,,,2"
    assert load(school, gone) == (0, 1, 0)
    assert tries(school) == ()
    assert replay.beliefs(school.teacher, student_ids={amara}) == {amara: {}}
    assert load(school, PLAIN + "3") == (0, 1, 0)
    assert replay.beliefs(school.teacher, student_ids={amara})[amara][replay_key].counted == 1


def test_a_labelled_try_may_move_to_another_child_skill_and_role(school):
    line = "2026-03-03,17:10,{},{},{},hands on,clean,,go 7,{}"
    load(school, line.format("Amara", "Standing tight", "solo", 1))
    attempt = uuid5(school.id, "attempt go 7")
    assert stored().attempt == attempt
    assert load(school, line.format("Bao", "Seat on a table", "flyer", 2)) == (0, 1, 0)
    (one,) = tries(school)
    assert (one.attempt, one.student_id) == (attempt, school.children["Bao"])
    assert (one.skill_key, one.role) == ("seat_on_a_table", "flyer")
    versions = dict(Replay.objects.values_list("student_id", "log_version"))
    assert versions == {school.children["Amara"]: 2, school.children["Bao"]: 1}
    assert replay.check(school.teacher).differences == ()


def test_a_correction_without_time_and_try_stays_in_its_place(school):
    header = "date,student,skill,role,spot,outcome,try,attempt,revision"
    first = [
        "2026-03-03,Demba,Seat on a table,base,hands on,clean,1,a,",
        "2026-03-03,Bao,Seat on a table,flyer,hands on,clean,1,b,",
    ]
    load(school, *first, header=header)
    before = {one.attempt: one for one in tries(school)}
    fix = "2026-03-03,Bao,Seat on a table,flyer,hands near,clean,,b,2"
    assert load(school, fix, header=header) == (0, 1, 0)
    attempt = uuid5(school.id, "attempt b")
    (after,) = tries(school, "Bao")
    assert after == replace(before[attempt], spot="hands_near")


def test_a_correction_may_come_from_another_class_by_its_label(school):
    other = Class.objects.create(
        school_id=school.id,
        studio_id=school.studio_id,
        name="Thursday",
        weekday=3,
        starts_at=time(17),
    )
    line = "2026-03-03,17:10,Amara,Standing tight,solo,,clean,,go 7,"
    load(school, line)
    fix = line.replace("clean", "shaky").replace("03-03", "03-05") + "2"
    assert load(school, fix, klass=class_named(school.teacher, name="Thursday")) == (0, 1, 0)
    (one,) = tries(school)
    assert one.lesson_id == lessons.lesson_id(other.id, date(2026, 3, 5))


def test_a_try_from_a_phone_is_corrected_by_its_id(school):
    row = school.tried("Amara", SECOND, skill_id=school.skills["standing_tight"])
    fix = f"2026-03-03,17:30,Amara,Standing tight,solo,,shaky,,{str(row.attempt).upper()},2"
    assert load(school, fix) == (0, 1, 0)
    (one,) = tries(school)
    assert (one.attempt, one.outcome) == (row.attempt, "shaky")
    same = f"2026-03-03,17:30,Amara,Standing tight,solo,,clean,,{row.attempt},"
    assert load(school, same) == (0, 0, 1)
    assert refused(school, same.replace("clean", "not there")) == [
        "row 2, column “revision”: loaded before with other content: give it revision 3"
    ]


def test_a_uuid_as_label_is_the_try_itself(school):
    attempt = uuid4()
    load(school, PLAIN.replace(",,,", f",,{attempt},"))
    assert isinstance(stored().attempt, UUID)
    assert (stored().attempt, stored().id) == (attempt, uuid5(attempt, "1"))
