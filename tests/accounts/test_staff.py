import io
from datetime import UTC, date, datetime
from pathlib import Path

import openpyxl
import pytest
import time_machine
from django.core.management import call_command

from accounts import staff
from accounts.commands import Refused
from accounts.faults import BadDocument
from accounts.models import Event, Member, Studio
from accounts.scope import NotAllowed, scope_of
from tests.factories import (
    AT,
    TODAY,
    MemberFactory,
    SchoolFactory,
    StudioFactory,
    every_row,
    scope,
)

EXAMPLE = Path(__file__).parents[2] / "docs" / "formats" / "examples" / "staff.csv"
HEADER = "name,role,adult,studios,may_spot,from,until"


@pytest.fixture
def school(db):
    return SchoolFactory(name="Orrowmere School of Dance")


@pytest.fixture
def studios(school):
    return [StudioFactory(school=school, name=n) for n in ("Brackfold Mill", "Sellane Harbour")]


@pytest.fixture
def head(school, studios):
    return scope(MemberFactory(school=school, name="Marit O."))


def load(head, *lines, **options):
    return staff.load(head, content="\n".join(lines).encode(), at=AT, **options)


def refused(head, content):
    """The faults of a file, after making sure that it changed nothing."""
    before = every_row()
    with pytest.raises(BadDocument) as caught:
        staff.load(head, content=content, at=AT)
    assert every_row() == before
    return str(caught.value).splitlines()


def member(name):
    return Member.objects.get(name=name)


def test_whoever_is_new_is_added(head, studios):
    loaded = load(
        head,
        HEADER,
        "Tendai R.,teacher,yes,Sellane Harbour,all,,",
        "Zeynep A.,Assistant,YES,brackfold mill | Sellane Harbour,Lean| tight,2026-03-01,31.5.2026",
        "Bram V.,assistant,no,Sellane Harbour,,,",
        "Signe H.,head teacher,yes,,,,",
    )
    assert loaded.new == ("Tendai R.", "Zeynep A.", "Bram V.", "Signe H.")
    assert (loaded.changed, loaded.standing, loaded.absent) == ((), 0, ("Marit O.",))
    zeynep = member("Zeynep A.")
    assert (zeynep.role, zeynep.adult, zeynep.may_spot) == ("assistant", True, ["lean", "tight"])
    assert (zeynep.from_date, zeynep.until) == (date(2026, 3, 1), date(2026, 5, 31))
    assert {place.studio.name for place in zeynep.studios.all()} == {s.name for s in studios}
    assert Event.objects.filter(what="add_member", member_id=head.member_id).count() == 4
    assert scope_of(school="Orrowmere School of Dance", member="Bram V.", on=TODAY).role == (
        "assistant"
    )


def test_the_same_file_again_changes_nothing(head):
    lines = (HEADER, "Tendai R.,teacher,yes,Sellane Harbour,lean|all_tables,2026-03-01,")
    load(head, *lines)
    before = every_row()
    loaded = load(head, *lines)
    assert (loaded.new, loaded.changed, loaded.standing) == ((), (), 1)
    assert every_row() == before


def test_somebody_known_becomes_what_her_row_says(head, studios):
    load(head, HEADER, "Aroha T.,assistant,yes,Sellane Harbour,lean,,")
    loaded = load(head, HEADER, "aroha t,teacher,yes,Brackfold Mill,,2026-03-02,")
    assert (loaded.new, loaded.changed) == ((), ("Aroha T.",))
    aroha = member("Aroha T.")
    assert (aroha.role, aroha.may_spot, aroha.from_date) == ("teacher", [], date(2026, 3, 2))
    places = {place.studio: place.ended_at for place in aroha.studios.all()}
    assert places == {studios[0]: None, studios[1]: AT}
    event = Event.objects.get(what="change_member")
    assert event.about == aroha.id
    assert event.details == {"columns": ["role", "may_spot", "from_date", "studios"]}


def test_what_the_file_has_no_column_for_stays(head, studios):
    load(head, HEADER, "Aroha T.,assistant,yes,Sellane Harbour,lean,2026-03-01,2026-06-30")
    loaded = load(head, "name,role,adult", "Aroha T.,teacher,yes")
    assert loaded.changed == ("Aroha T.",)
    aroha = member("Aroha T.")
    assert (aroha.may_spot, aroha.until) == (["lean"], date(2026, 6, 30))
    assert [place.studio for place in aroha.studios.filter(ended_at=None)] == [studios[1]]


def test_a_dry_run_only_says(head):
    before = every_row()
    loaded = load(head, HEADER, "Tendai R.,teacher,yes,Sellane Harbour,all,,", dry_run=True)
    assert loaded.new == ("Tendai R.",)
    assert every_row() == before


def test_only_a_head_teacher_may(head, school, studios):
    teacher = scope(MemberFactory(school=school, role="teacher", studios=studios))
    with pytest.raises(NotAllowed, match="loading the staff: a head teacher's right"):
        load(teacher, HEADER)


def test_a_file_for_one_school_leaves_the_other_alone(head):
    other = MemberFactory(name="Tendai R.", school=SchoolFactory(), role="assistant")
    load(head, HEADER, "Tendai R.,teacher,yes,Sellane Harbour,all,,")
    other.refresh_from_db()
    assert other.role == "assistant"
    assert Member.objects.filter(name="Tendai R.").count() == 2


def test_faults_of_a_semicolon_file_in_windows_1252(head):
    content = "\r\n".join(
        [
            "Name;Role;Adult;Studios;May spot;From;Until",
            "Zoë K.;techer;yes;Sellane Harbour;all;;",
            "Bram V.;teacher;no;Sellane Harbor;;;",
            "Pilar G.;assistant;no;;lean;;",
            "Iolana K.;assistant;maybe;Brackfold Mill;lean|Low Lifts;1/3/2026;",
            ";teacher;;Brackfold Mill;all|lean;;",
            "Aroha T.;teacher;yes;Brackfold Mill;;2026-03-02;2026-03-01",
            "Wiremu P.;teacher;yes;Brackfold Mill;;;",
            "wiremu p;teacher;yes;Brackfold Mill;;;",
        ]
    ).encode("cp1252")
    assert refused(head, content) == [
        "row 2, column “Role”: “techer” should be one of head_teacher, teacher, assistant",
        "row 3, column “Studios”: no studio is called “Sellane Harbor”; close to it:"
        " Sellane Harbour",
        "row 3, column “Adult”: a teacher should be an adult",
        "row 4, column “May spot”: only adults spot",
        "row 4, column “Studios”: missing: at which studios does the role of assistant hold?",
        "row 5, column “Adult”: “maybe” should be one of yes, no, true, false, 1, 0, x",
        "row 5, column “May spot”: “low lifts” should be the key of a family, or all",
        "row 5, column “From”: “1/3/2026” should be a date such as 2026-03-02",
        "row 6, column “Name”: missing",
        "row 6, column “Adult”: missing",
        "row 6, column “May spot”: all stands alone",
        "row 7, column “Until”: 2026-03-01 is before 2026-03-02",
        "row 9, column “Name”: the same as in row 8",
    ]


@pytest.mark.parametrize(
    ("lines", "faults"),
    [
        (["name,role", "Tendai R.,teacher"], ["row 1: no column “adult”"]),
        (
            [HEADER + ",Role", "Tendai R.,teacher,yes,,,,,teacher"],
            ["row 1, column “Role”: a second column for role"],
        ),
        (
            ["name,role,adult", "Tendai R.,teacher,yes,Sellane Harbour"],
            ["row 2: has more cells than the header"],
        ),
        (
            ["name,role,adult", "Tendai R.,teacher,yes"],
            ["row 2, column “studios”: missing: at which studios does the role of teacher hold?"],
        ),
        (
            [HEADER, "Marit O.,teacher,yes,Sellane Harbour,all,,"],
            ["the file: would leave the school without a head teacher"],
        ),
        (
            [HEADER, "Marit O.,head teacher,yes,,all,,2027-01-01"],
            ["the file: would leave the school without a head teacher"],
        ),
        (
            [HEADER, "Marit O.,head teacher,yes,,all,2026-03-12,"],
            ["the file: would leave the school without a head teacher"],
        ),
        (
            [HEADER, f"{'A' * 81},head teacher,yes,,,,"],
            ["row 2, column “name”: longer than 80 characters"],
        ),
        (
            [HEADER, '"Tendai\nR.",head teacher,yes,,,,'],
            ["row 2, column “name”: holds a control character"],
        ),
        ([""], ["the file: empty: the first row should name the columns"]),
    ],
)
def test_what_is_refused_changes_nothing(head, lines, faults):
    assert refused(head, "\n".join(lines).encode()) == faults


def test_access_that_was_taken_away_stays_so(head, school, studios):
    MemberFactory(school=school, name="Pilar G.", revoked_at=AT)
    assert refused(head, f"{HEADER}\nPilar G.,teacher,yes,Brackfold Mill,all,,".encode()) == [
        "row 2, column “name”: the access of Pilar G. was taken away; no file gives it back"
    ]


def test_a_workbook(head):
    book = openpyxl.Workbook()
    for row in (
        ["Name", "Role", "Adult", "Studios", "From"],
        ["Þóra H.", "teacher", True, "Sellane Harbour", datetime(2026, 3, 2)],  # noqa: DTZ001
    ):
        book.active.append(row)
    out = io.BytesIO()
    book.save(out)
    assert staff.load(head, content=out.getvalue(), at=AT).new == ("Þóra H.",)
    assert member("Þóra H.").from_date == date(2026, 3, 2)


def test_who_is_there_on_a_date(head, school, studios):
    load(
        head,
        HEADER,
        "Tendai R.,teacher,yes,Sellane Harbour,all,,",
        "Pilar G.,teacher,yes,Brackfold Mill,all,,",
        "Iolana K.,assistant,yes,Brackfold Mill|Sellane Harbour,lean,,",
        "Signe H.,teacher,yes,Sellane Harbour,all,2026-03-10,2026-03-11",
    )
    MemberFactory(school=school, name="Bram V.", revoked_at=AT)
    mill, harbour = studios
    assert list(staff.staff(head, on=TODAY)) == [
        "Iolana K.",
        "Marit O.",
        "Pilar G.",
        "Signe H.",
        "Tendai R.",
    ]
    assert "Signe H." not in staff.staff(head, on=date(2026, 3, 12))
    assert "Signe H." not in staff.staff(head, on=date(2026, 3, 9))
    tendai = scope(member("Tendai R."))
    seen = staff.staff(tendai, on=TODAY)
    assert list(seen) == ["Iolana K.", "Marit O.", "Signe H.", "Tendai R."]
    assert seen["Iolana K."] == staff.Colleague(
        id=member("Iolana K.").id,
        name="Iolana K.",
        role="assistant",
        adult=True,
        may_spot=frozenset({"lean"}),
        studio_ids=frozenset({harbour.id}),
    )
    assert seen["Marit O."].studio_ids == {harbour.id}
    assert staff.staff(head, on=TODAY)["Iolana K."].studio_ids == {harbour.id, mill.id}


def test_the_example_through_the_command(school, studios, head, capsys):
    command = ["load_staff", str(EXAMPLE), "--school", school.name, "--as", "Marit O."]
    with time_machine.travel(datetime(2026, 9, 1, 12, tzinfo=UTC), tick=False):
        call_command(*command, "--dry-run")
        assert capsys.readouterr().out.splitlines() == [
            "columns: name, role, adult, studios, may_spot, from, until",
            "new: Tendai R., Pilar G., Bram V., Aroha T., Signe H.",
            "5 new, 0 changed, 0 known already",
            "not in this file, left as they are: Marit O.",
            "dry run: nothing was loaded",
        ]
        assert Member.objects.count() == 1
        call_command(*command)
        assert capsys.readouterr().out.splitlines()[-1].startswith("not in this file")
        call_command(*command)
        assert capsys.readouterr().out.splitlines()[1:] == [
            "0 new, 0 changed, 5 known already",
            "not in this file, left as they are: Marit O.",
            "nothing changed",
        ]
        with pytest.raises(Refused) as caught:
            call_command(*command[:-1], "Bram V.")
    assert (str(caught.value), caught.value.returncode) == (
        "loading the staff: a head teacher's right",
        2,
    )


@pytest.mark.parametrize(
    ("zone", "revoked_at", "on", "there"),
    [
        ("America/Vancouver", datetime(2026, 3, 11, 1, tzinfo=UTC), date(2026, 3, 10), False),
        ("America/Vancouver", datetime(2026, 3, 11, 8, tzinfo=UTC), date(2026, 3, 10), True),
        ("Pacific/Auckland", datetime(2026, 3, 10, 20, tzinfo=UTC), date(2026, 3, 10), True),
        ("Pacific/Auckland", datetime(2026, 3, 10, 20, tzinfo=UTC), date(2026, 3, 11), False),
    ],
)
def test_whose_access_was_taken_away_during_a_day_is_not_there_on_it(
    head, school, studios, zone, revoked_at, on, there
):
    Studio.objects.filter(school=school).update(zone=zone)
    MemberFactory(school=school, name="Bram V.", revoked_at=revoked_at)
    assert ("Bram V." in staff.staff(head, on=on)) is there
