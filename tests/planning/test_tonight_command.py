from datetime import UTC, datetime, timedelta

import pytest
import time_machine

from accounts.models import Member
from classes.models import Class, Closure
from planning.models import Grouping
from tests import factories
from tests.factories import every_row
from tests.once import once
from tests.planning import school
from tests.planning.build import (
    LIFTED,
    ON,
    SIX,
    pupils,
)
from tests.planning.read_aloud import assert_fit_to_read_aloud
from tests.shell import shell

FOLDER = "orrowmere-school-of-dance"


built, untouched = once(lambda: school.build(*pupils(*SIX, **LIFTED)))


@pytest.fixture
def rows(untouched, settings, tmp_path):
    settings.VAR_DIR = tmp_path
    return untouched


def tonight(*argv, member="Tendai R.", klass="Tuesday beginners", date="2026-03-10"):
    given = [klass, "--school", school.SCHOOL, "--as", member]
    return shell("tonight", *given, *(["--date", date] if date else []), *argv)


# -- what it does ----------------------------------------------------------------------------


def test_the_sheet_and_its_page(rows, tmp_path):
    ran = tonight("--spotters", "Aroha T.")
    assert (ran.status, ran.err) == (0, "")
    assert ran.out.startswith("Tuesday beginners, Tuesday 10 March 2026\n====")
    page = tmp_path / "sheets" / FOLDER / "tuesday-beginners-2026-03-10.html"
    assert ran.out.endswith(f"The same as a page: {page}\n")
    assert "<h1>Tuesday beginners, Tuesday 10 March 2026</h1>" in page.read_text(encoding="utf-8")
    assert_fit_to_read_aloud(ran.out.replace(str(page), ""))


def test_it_changes_nothing_but_the_page(rows):
    before = every_row()
    assert tonight("--spotters", "Aroha T.", "--skill", "seat", "lean").status == 0
    assert tonight("--why", "Amara", "seat").status == 0
    assert every_row() == before


def test_the_page_goes_where_one_says(rows, tmp_path):
    path = tmp_path / "new" / "folder" / "page.html"
    assert f"The same as a page: {path}" in tonight("--html", str(path)).out
    assert path.read_text(encoding="utf-8").startswith("<!doctype html>")


def test_all_that_one_may_say_of_an_evening(rows):
    said = (
        *("--absent", "Amara", "bao"),
        *("--not-today", "Demba"),
        *("--spotters", "Aroha T.", "Zeynep A."),
        *("--mats", "3"),
        *("--minutes", "60"),
        *("--surface", "the stage"),
        *("--as-of", "2026-03-10T16:30"),
        *("--skill", "Facing lean", "line"),
    )
    out = tonight(*said).out
    assert "Here: Hana, Mireille and Tariq" in out
    assert "Away: Amara and Bao" in out
    assert "Not today: Demba" in out
    assert "Free to spot: Aroha T. and Zeynep A." in out
    assert "three adults in the room; floor: the stage; three mats" in out
    assert "17:00, 60 minutes" in out
    assert "As known at 16:30 on 10 March" in out
    groups = [line for line in out.splitlines() if line.startswith("Groups: ")]
    assert groups == ["Groups: Facing lean", "Groups: Plank line"]


def test_a_moment_with_an_offset_is_that_moment(rows):
    assert "As known at 15:30 on 10 March" in tonight("--as-of", "2026-03-10T17:30+02:00").out


def test_a_visitor(rows):
    other = factories.ClassFactory(studio=rows.klass.studio, name="Thursday second year")
    factories.StudentFactory(school_id=rows.id, identity__given_name="Oğuz", classes=[other])
    assert "Mireille, Oğuz and Tariq" in tonight("--visitor", "Oğuz").out


@pytest.mark.parametrize(
    ("now", "title"),
    [
        (datetime(2026, 3, 10, 23, 30, tzinfo=UTC), "Tuesday 10 March 2026"),
        (datetime(2026, 3, 11, 0, 30, tzinfo=UTC), "Tuesday 17 March 2026"),
        # Half past midnight at the studio already, which is an hour ahead in summer.
        (datetime(2026, 6, 9, 23, 30, tzinfo=UTC), "Tuesday 16 June 2026"),
    ],
)
def test_without_a_date_the_next_meeting_by_the_studio_s_clock(rows, now, title):
    with time_machine.travel(now, tick=False):
        assert tonight(date=None).out.startswith(f"Tuesday beginners, {title}")


def test_why_in_sentences_and_no_page(rows, tmp_path):
    ran = tonight("--why", "Amara", "Seat on a table", "--spotters", "Aroha T.")
    assert ran.status == 0
    assert ran.out.startswith("Amara and seat on a table (5 s, feet off the floor).\n")
    assert "Tonight: " in ran.out
    assert not (tmp_path / "sheets").exists()


def test_kept_groups_stay_with_one_child_away(rows):
    asked = ("--spotters", "Aroha T.", "--minutes", "20")
    ran = tonight(*asked, "--skill", "lean", "--keep")
    assert "kept: a later sheet for this lesson changes as little as possible" in ran.out
    lines = [line for line in ran.out.splitlines() if line.startswith("  Group ")]
    first, second, third = (line.split(": ")[1] for line in lines)
    gone = first.split(" and ")[0]
    later = tonight(*asked, "--absent", gone).out
    assert [line for line in later.splitlines() if line.startswith("Groups: ")] == [
        "Groups: Facing lean"
    ]
    assert [line for line in later.splitlines() if line.startswith("  Group ")] == [
        f"  Group 1: {second}",
        f"  Group 2: {third}",
    ]


def test_an_assistant_sees_the_sheet(rows):
    assert tonight("--spotters", "Tendai R.", member="Aroha T.").status == 0


# -- what it refuses -------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("argv", "said"),
    [
        (("--absent", "Amarra"), "--absent: no child is called “Amarra”; close to it: Amara"),
        (("--not-today", "Zola"), "--not-today: no child is called “Zola”"),
        (("--visitor", "Zola"), "--visitor: no child is called “Zola”"),
        (("--absent", "Oğuz"), "--absent: Oğuz is not in this class"),
        (("--not-today", "Oğuz"), "--not-today: Oğuz is not in this class"),
        (("--spotters", "Wiremu"), "--spotters: nobody called “Wiremu” is on the staff that day"),
        (("--spotters", "Bram V."), "--spotters: Bram V. is not an adult"),
        (
            ("--spotters", "Aroha T.", "Tendai R."),
            "--spotters: Tendai R. holds the list; whoever does is not free to spot",
        ),
        (("--mats", "-1"), "--mats: should be between 0 and 60"),
        (("--mats", "61"), "--mats: should be between 0 and 60"),
        (("--minutes", "9"), "--minutes: should be between 10 and 240"),
        (("--minutes", "241"), "--minutes: should be between 10 and 240"),
        (("--minutes", "0"), "--minutes: should be between 10 and 240"),
        (
            ("--as-of", "tea time"),
            "--as-of: “tea time” should be a date and time, such as 2026-03-02T17:00",
        ),
        (
            ("--as-of", "2026-02-30T17:00"),
            "--as-of: “2026-02-30T17:00” should be a date and time, such as 2026-03-02T17:00",
        ),
        (
            ("--as-of", "9999-12-31T23:59-12:00"),
            "--as-of: “9999-12-31T23:59-12:00” should be a date and time, such as 2026-03-02T17:00",
        ),
        (
            ("--as-of", "0001-01-01"),
            "--as-of: “0001-01-01” should be a date and time, such as 2026-03-02T17:00",
        ),
        (
            ("--skill", "leen"),
            "--skill: no skill “leen” in curriculum, spring 2026; close to it: lean",
        ),
        (("--skill", "Bridge"), "--skill: Bridge needs no groups"),
        (("--skill", "stop_word"), "--skill: The stop word needs no groups"),
        (
            ("--absent", "Amara", "--not-today", "amara"),
            "--not-today: Amara is named with --absent too",
        ),
        (
            ("--why", "Amara", "seat", "--keep"),
            "--why: answers alone, without --keep, --html and --skill",
        ),
        (
            ("--why", "Amara", "seat", "--html", "page.html"),
            "--why: answers alone, without --keep, --html and --skill",
        ),
        (
            ("--why", "Amara", "seat", "--skill", "lean"),
            "--why: answers alone, without --keep, --html and --skill",
        ),
        (("--why", "Zola", "seat"), "no child is called “Zola”"),
        (("--why", "Amara", "tower"), "no skill “tower” in curriculum, spring 2026"),
    ],
)
def test_what_is_refused(rows, tmp_path, argv, said):
    other = factories.ClassFactory(studio=rows.klass.studio, name="Thursday second year")
    factories.StudentFactory(school_id=rows.id, identity__given_name="Oğuz", classes=[other])
    before = every_row()
    assert tonight(*argv).refusal == said
    assert every_row() == before
    assert list(tmp_path.iterdir()) == []


def test_no_groups_are_kept_for_a_day_without_a_lesson(rows, tmp_path):
    Closure.objects.create(school_id=rows.id, first_on=ON, last_on=ON, name="spring break")
    before = every_row()
    for on, why in (("2026-03-10", "spring break"), ("2026-03-11", "the class meets on Tuesdays")):
        assert tonight("--keep", date=on).refusal == f"--keep: no lesson on {on}: {why}"
    assert every_row() == before
    assert list(tmp_path.iterdir()) == []
    wrapped = tonight(date="2026-03-11").out.split()
    assert "no lesson that day: the class meets on Tuesdays" in " ".join(wrapped)


def test_a_class_that_is_not_there(rows):
    assert tonight(klass="Tuesday beginner").refusal == (
        "no class is called “Tuesday beginner”; close to it: Tuesday beginners"
    )


def test_who_asks_is_not_there(rows):
    assert tonight(member="Wiremu").refusal == (
        "nobody called “Wiremu” is on the staff of “Orrowmere School of Dance”"
    )
    Member.objects.filter(name="Tendai R.").update(until=ON - timedelta(days=400))
    assert tonight().refusal.startswith("the access of “Tendai R.” does not hold on ")


def test_a_child_whose_name_is_another_s(rows):
    rows.add(pupils("Amara")[0])
    factories.Identity.objects.filter(student_id=rows.children["Amara"]).update(initial="K")
    assert tonight("--absent", "Amara").refusal == (
        "--absent: “Amara” may be Amara or Amara K.: write which"
    )


def test_no_curriculum_in_use(rows):
    early = tonight(date="1999-12-31")
    assert early.refusal == "no curriculum is in use at Sellane Harbour on 1999-12-31"


def test_an_assistant_keeps_no_lift_and_nothing_changes(rows, tmp_path):
    before = every_row()
    ran = tonight("--spotters", "Tendai R.", "--skill", "seat", "--keep", member="Aroha T.")
    assert ran.refusal == "groups that lift or ask: a teacher's right, not an assistant's"
    assert every_row() == before
    assert list(tmp_path.iterdir()) == []


def test_a_page_that_cannot_be_written_keeps_no_groups(rows, tmp_path):
    (tmp_path / "file").write_text("")
    before = every_row()
    for path, why in ((tmp_path, "Is a directory"), (tmp_path / "file" / "page", "File exists")):
        ran = tonight("--keep", "--html", str(path))
        assert ran.refusal == f"--html: {path}: {why}"
        assert every_row() == before
    assert not Grouping.objects.exists()


@pytest.mark.parametrize(
    ("argv", "said"),
    [
        (("--date", "10.3.2026"), "--date: “10.3.2026” should be a date such as 2026-03-02"),
        (("--date", "2026-02-30"), "--date: “2026-02-30” should be a date such as 2026-03-02"),
        (("--date", "0001-01-01"), "--date: “0001-01-01” should be a date such as 2026-03-02"),
        (("--mats", "many"), "--mats: invalid int value: 'many'"),
        (("--minutes", "4.5"), "--minutes: invalid int value: '4.5'"),
        (("--absent",), "--absent: expected at least one argument"),
        (("--why", "Amara"), "--why: expected 2 arguments"),
        (("--colour", "red"), "unrecognized arguments: --colour red"),
    ],
)
def test_what_the_command_line_refuses(rows, tmp_path, argv, said):
    before = every_row()
    ran = tonight(*argv, date=None)
    assert (ran.status, ran.out) == (2, "")
    assert ran.err.splitlines()[-1].endswith(said)
    assert every_row() == before
    assert list(tmp_path.iterdir()) == []


def test_a_class_named_like_a_path_stays_in_its_folder(rows, tmp_path):
    Class.objects.update(name="../../up and/away")
    ran = tonight(klass="../../up and/away")
    assert ran.status == 0
    [page] = tmp_path.rglob("*.html")
    assert page.parent == tmp_path / "sheets" / FOLDER


def test_each_school_has_a_folder_of_its_own(rows, tmp_path):
    """Two schools of one database may each have a class of that name."""
    school.build(name="Another school")
    assert tonight().status == 0
    given = ["Tuesday beginners", "--school", "Another school", "--as", "Tendai R."]
    assert shell("tonight", *given, "--date", "2026-03-10").status == 0
    assert sorted(page.parent.name for page in tmp_path.rglob("*.html")) == [
        "another-school",
        FOLDER,
    ]


def test_a_long_name_makes_a_page_of_a_shorter_one(rows, tmp_path):
    name = "𠮷" * 90  # four bytes each
    Class.objects.update(name=name)
    assert tonight(klass=name).status == 0
    [page] = tmp_path.rglob("*.html")
    assert page.name == f"{name[:59]}-2026-03-10.html"  # a letter more and 255 bytes are passed
