"""The page for print says what the phone says."""

import html
import re

from classes.models import LessonSpotter
from planning import group_changes
from planning.by_hand import Formed
from planning.lesson_sheet import lesson_sheet, page
from tests.once import once
from tests.planning import school
from tests.planning.build import LIFTED, ON, SIX, STARTS, Pupil, pupils
from tests.planning.read_aloud import assert_fit_to_read_aloud


def build():
    made = school.build(*pupils(*SIX, **LIFTED), Pupil("Zola"))
    LessonSpotter.objects.create(
        school_id=made.id, lesson=made.lesson(), member_id=made.assistant.member_id
    )
    return made


built, rows = once(build)


def put(rows, skill, *groups):
    """Keep groups; each maps roles to names."""
    formed = [
        Formed({role: tuple(map(rows.children.get, held.split())) for role, held in one.items()})
        for one in groups
    ]
    asked = {"lesson_id": rows.lesson().id, "skill": skill, "version": 0}
    return group_changes.put(rows.teacher, **asked, groups=formed, at=STARTS)


def printed(rows):
    """The sections of the page, their texts by heading."""
    text = page(rows.teacher, lesson_id=rows.lesson().id, today=ON).partition("<body>")[2]
    found = {}
    for part in re.split("<h2>", text)[1:]:
        heading, _, rest = part.partition("</h2>")
        said = html.unescape(re.sub(r"<[^>]+>", " ", rest))
        found[html.unescape(heading)] = " ".join(said.split())
        assert_fit_to_read_aloud(found[html.unescape(heading)])
    return found


def headings(found):
    return [heading for heading in found if heading.startswith("Groups")]


def test_it_prints_the_groups_that_were_kept_as_they_were_kept(rows):
    assert headings(printed(rows)) == ["Groups: Plank line", "Groups: Seat on a table"]
    put(rows, "lean", {"partner": "Amara Tariq"}, {"partner": "Bao Zola"})
    found = printed(rows)
    assert headings(found) == ["Groups: Facing lean"]
    said = found["Groups: Facing lean"]
    assert "Group 1 Amara and Tariq Group 2 Bao and Zola" in said.replace(":", "")
    assert (
        "Ask before the first go: a teacher's yes to begin for Zola as partner: missing is the stop"
        " word, not tried yet"
    ) in said
    assert "Still to place: three" in said


def test_what_stops_a_kept_group_now_stands_on_it(rows):
    put(rows, "seat", {"base": "Amara", "flyer": "Bao"}, {"base": "Hana", "flyer": "Demba"})
    rows.attended("Bao", "away")
    said = printed(rows)["Groups: Seat on a table"]
    assert "Group 1, turn 1: base Amara" in said
    assert "Stop: Bao is not here tonight" in said
    assert "“these two: yes” for Hana with Demba" in said
    LessonSpotter.objects.all().delete()
    said = printed(rows)["Groups: Seat on a table"]
    assert "Stop: no adult is free tonight who may spot this" in said


def test_a_kept_group_of_which_somebody_or_nobody_came(rows):
    put(rows, "seat", {"base": "Amara", "flyer": "Bao"}, {"base": "Hana", "flyer": "Demba"})
    for name in ("Amara", "Hana", "Demba"):
        rows.attended(name, "away")
    said = printed(rows)["Groups: Seat on a table"]
    assert "Group 1, turn 1: flyer Bao" in said
    assert (
        "Group 2, turn 2: nobody Stop: Hana is not here tonight; Demba is not here tonight" in said
    )


def test_who_is_left_has_a_place_only_in_what_stands_on_the_page(rows):
    put(rows, "lean", {"partner": "Amara Bao"}, {"partner": "Demba Hana"})
    left = printed(rows)["Groups: Facing lean"]
    assert "has a place" not in left
    assert "Mireille and Tariq" in left
    assert "there would be a place in plank line" in left
    put(rows, "chest_rest", {"base": "Tariq", "flyer": "Mireille"})
    left = printed(rows)["Groups: Facing lean"]
    assert "has a place in chest rest" in left
    assert "would be" not in left


def test_it_names_the_groups_of_the_document(rows):
    put(rows, "lean", {"partner": "Amara Tariq"}, {"partner": "Bao Hana"})
    told = lesson_sheet(rows.teacher, lesson_id=rows.lesson().id, today=ON)
    said = printed(rows)["Groups: Facing lean"]
    for group in told.kept[0].groups:
        names = " and ".join(one.name for seats in group.seats for one in seats.students)
        assert f"Group {group.number}: {names}" in said
