from pathlib import Path

import pytest
import yaml

from curriculum import editions
from curriculum.models import Adoption
from tests import factories
from tests.curriculum.build import DOCUMENT, SPRING, leaf, staff, with_skill
from tests.factories import every_row
from tests.shell import shell

EXAMPLE = Path(__file__).parents[2] / "docs" / "formats" / "examples" / "curriculum.yaml"


@pytest.fixture
def load(head, tmp_path):
    """Run the command on a document, its bytes, or a path, as the head teacher or another."""

    def run(document, *argv, member="Marit O."):
        path = document
        if not isinstance(document, Path):
            path = tmp_path / "curriculum.yaml"
            content = document
            if isinstance(document, dict):
                content = yaml.safe_dump(document, sort_keys=False, allow_unicode=True).encode()
            path.write_bytes(content)
        school = factories.Member.objects.get(id=head.member_id).school.name
        return shell("load_curriculum", str(path), "--school", school, "--as", member, *argv)

    return run


def lines(ran):
    assert (ran.status, ran.err) == (0, "")
    return ran.out.splitlines()


# -- what it does ----------------------------------------------------------------------------


def test_the_first_edition_is_published_and_in_use(load, head):
    assert lines(load(DOCUMENT)) == [
        "3 skills, no fault",
        "published as edition 1: 3 new, 0 changed, 0 gone",
        "in use at Sellane Harbour from the start",
    ]
    [studio_id] = head.studio_ids
    assert editions.in_use(head, studio_id=studio_id, on=SPRING).number == 1


def test_the_same_file_again_changes_nothing_and_says_so(load):
    load(DOCUMENT)
    before = every_row()
    assert lines(load(DOCUMENT)) == [
        "3 skills, no fault",
        "this is edition 1 already: nothing changed",
    ]
    assert every_row() == before


def test_a_changed_file_is_the_next_edition_and_not_in_use_by_itself(load, head):
    load(DOCUMENT)
    document = with_skill("table", criterion="40 s")
    document = with_skill("kneel", document, roles={"partner": {"min": 2}})
    assert lines(load(document)) == [
        "4 skills, no fault",
        "published as edition 2: 1 new, 1 changed, 0 gone",
    ]
    [studio_id] = head.studio_ids
    assert editions.in_use(head, studio_id=studio_id, on=SPRING).number == 1


def test_a_dry_run_only_checks(load):
    before = every_row()
    assert lines(load(DOCUMENT, "--dry-run")) == [
        "3 skills, no fault",
        "dry run: nothing was loaded",
    ]
    assert every_row() == before


def test_a_dry_run_finds_the_same_faults(load):
    bad = with_skill("seat", spot=None)
    checked, loaded = load(bad, "--dry-run"), load(bad)
    assert (checked.status, checked.err) == (loaded.status, loaded.err)
    assert checked.status == 2


def test_what_to_look_at_is_said_and_loaded(load):
    document = with_skill("kick", name="Kick", roles={"solo": {}})
    assert lines(load(document))[:2] == [
        "to look at: “Kick” leads to no other skill",
        "4 skills, no fault",
    ]


def test_in_use_from_a_date_everywhere_or_at_one_studio(load, head):
    load(DOCUMENT)
    factories.StudioFactory(school_id=head.school_id, name="Brackfold Mill")
    second = with_skill("table", criterion="40 s")
    argv = ("--use-from", "2026-09-01")
    assert lines(load(second, *argv, "--studio", "Sellane Harbour"))[1:] == [
        "published as edition 2: 0 new, 1 changed, 0 gone",
        "in use at Brackfold Mill from the start",  # it had none: the newest
        "in use at Sellane Harbour from 2026-09-01",
    ]
    assert lines(load(second, *argv))[1:] == [
        "this is edition 2 already: nothing changed",
        "in use at Brackfold Mill from 2026-09-01",
        "already in use at Sellane Harbour from 2026-09-01",
    ]
    assert Adoption.objects.count() == 4


def test_the_example_of_the_format_loads(load):
    assert lines(load(EXAMPLE))[-3:] == [
        "6 skills, no fault",
        "published as edition 1: 6 new, 0 changed, 0 gone",
        "in use at Sellane Harbour from the start",
    ]
    assert lines(load(EXAMPLE))[-1] == "this is edition 1 already: nothing changed"


# -- what it refuses -------------------------------------------------------------------------


def refused(ran):
    """The faults of a refused file, one a line."""
    assert (ran.status, ran.out) == (2, "")
    first, *faults = ran.err.splitlines()
    assert first == "Refused: nothing was loaded"
    return faults


CYCLE = with_skill("lean", roles={"partner": {"min": 2, "needs": leaf("seat", role="base")}})


@pytest.mark.parametrize(
    ("content", "fault"),
    [
        (b"", "/: should be a mapping"),
        (b"just a text", "/: should be a mapping"),
        (b"- a\n- list", "/: should be a mapping"),
        (b"\xff\xfe\x00", "byte 0: not UTF-8"),
        (b"name: [1", "line 1, column 9: expected ',' or ']', but got '<stream end>'"),
        (b"name: one\nname: two", "line 2, column 1: the key “name” is given twice"),
        (b"a: &x 1\nb: *x", "line 1, column 4: an anchor (&name) is not allowed"),
        (b"a: !!str 1", "line 1, column 4: a tag (tag:yaml.org,2002:str) is not allowed"),
        (b'a: "\\0"', "line 1, column 4: a control character or half a character is not allowed"),
        (b"a" * 2_000_001, "the file: larger than 2000000 bytes"),
        (DOCUMENT | {"format": "curriculum/2"}, "/format: should be curriculum/1"),
        (DOCUMENT | {"families": {}}, "/families: should not be empty"),
        (
            DOCUMENT | {"colour": "red"},
            "/colour: unknown key; known are format, name, note, families,",
        ),
        (with_skill("table", criterion=None), "/skills/table/criterion: missing"),
        (with_skill("table", criterion=30), "/skills/table/criterion: should be a text"),
        (with_skill("table", family="bends"), "/skills/table/family: no family “bends”"),
        (with_skill("table", at_home=""), "/skills/table/at_home: should not be empty"),
        (
            with_skill("Big table", roles={"solo": {}}),
            "/skills/Big table: should be lower-case letters, digits and _,",
        ),
        (with_skill("seat", caution=None), "/skills/seat: “Seat” is lifted, but has no caution"),
        (CYCLE, "/skills/lean/roles/partner: needs itself in the end: lean → seat → lean:"),
    ],
)
def test_a_bad_file_names_the_place_and_changes_nothing(load, content, fault):
    before = every_row()
    [found] = refused(load(content))
    assert found.startswith(fault)
    assert every_row() == before


def test_all_faults_at_once(load):
    document = with_skill("table", criterion=None, colour="red")
    document = with_skill("lean", document, tier="high")
    places = [fault.split(": ")[0] for fault in refused(load(document))]
    assert places == ["/skills/lean/tier", "/skills/table/colour", "/skills/table/criterion"]


def test_a_succession_from_what_never_was(load):
    before = every_row()
    document = DOCUMENT | {"succession": [{"from": "kneel", "to": "seat"}]}
    ran = load(document)
    assert ran.status == 2
    assert "/succession/0/from: no edition ever had a skill “kneel”" in ran.err
    assert every_row() == before


def test_a_file_that_is_not_there(load, tmp_path):
    path = tmp_path / "none.yaml"
    assert load(path).refusal == f"{path}: No such file or directory"


@pytest.mark.parametrize(
    ("argv", "said"),
    [
        (("--studio", "Sellane Harbour"), "--studio: goes with --use-from"),
        (
            ("--studio", "Far Orrow Hall", "--use-from", "2026-09-01"),
            "--studio: no studio is called “Far Orrow Hall”",
        ),
    ],
)
def test_flags_that_do_not_fit(load, argv, said):
    before = every_row()
    assert load(DOCUMENT, *argv).refusal == said
    assert every_row() == before


@pytest.mark.parametrize("text", ["soon", "1.9.2026", "2026-09-31", "0001-01-01"])
def test_a_date_that_is_none(load, text):
    before = every_row()
    ran = load(DOCUMENT, "--use-from", text)
    assert (ran.status, ran.out) == (2, "")
    assert ran.err.splitlines()[-1].endswith(
        f"--use-from: “{text}” should be a date such as 2026-03-02"
    )
    assert every_row() == before


@pytest.mark.parametrize("role", ["teacher", "assistant"])
def test_only_a_head_teacher_publishes(load, head, role):
    member = factories.Member.objects.get(id=staff(head, role).member_id)
    before = every_row()
    ran = load(DOCUMENT, member=member.name)
    assert ran.status == 2
    assert ran.err == "Refused: publishing a curriculum: a head teacher's right\n"
    assert every_row() == before


def test_who_is_not_on_the_staff(load):
    ran = load(DOCUMENT, member="Nobody")
    assert ran.refusal.startswith("nobody called “Nobody” is on the staff of “School ")
