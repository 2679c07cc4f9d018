from datetime import date

import pytest
import time_machine
from django.core.management import call_command

from accounts.commands import Refused
from accounts.models import Event
from accounts.scope import NotAllowed
from classes.models import Agreement, Measurement, Student
from tests.classes.roster.lists import BEGINNERS, EXAMPLE, HEADER, SENIORS, child, load, refused
from tests.factories import (
    AT,
    TODAY,
    ClassFactory,
    MemberFactory,
    StudioFactory,
    scope,
)


def test_an_assistant_may_not_and_a_teacher_only_at_her_studios(school, teacher):
    studio = StudioFactory(school=school, name="Brackfold Mill")
    ClassFactory(studio=studio, name="Monday beginners")
    assistant = scope(MemberFactory(school=school, role="assistant", studios=[studio]))
    with pytest.raises(NotAllowed, match="loading a class list: a teacher's right"):
        load(assistant, HEADER, name="Monday beginners")
    assert refused(
        teacher, ["class,given_name,birth", "Monday beginners,Hana,2017-09"], name=None
    ) == [
        "row 2, column “class”: no class is called “Monday beginners”; close to it:"
        " Tuesday beginners"
    ]


def test_faults_of_a_semicolon_list_in_windows_1252_all_at_once(teacher):
    content = "\r\n".join(
        [
            "Given name;Initial;Birth;Height cm;Height on;Joined;Until;Trial;Agreed lifting;Note"
            ";Class",
            "Zoë;K;2016-13;138;24.2.2026;;;maybe;;;",
            "Amara1;;2016-05-32;tall;24/2/2026;;;;;;",
            ";;2016-11;0,1;2026-03-12;2062-01-01;;;2026-03-12;;",
            f"Bao;Kensington;2026-04;117;;2026-02-01;2026-01-31;;;{'n' * 81};",
            "Hana;3;;;;;;;;;Saturday seniors",
            "Rangi;;1925-03;;;;;;;;Nowhere",
        ]
    ).encode("cp1252")
    assert refused(teacher, content) == [
        "row 2, column “Birth”: “2016-13” should be a month such as 2016-05",
        "row 2, column “Trial”: “maybe” should be one of yes, no, true, false, 1, 0, x",
        "row 3, column “Given name”: “Amara1” should be a name",
        "row 3, column “Birth”: “2016-05-32” should be a month such as 2016-05",
        "row 3, column “Height cm”: “tall” should be a number",
        "row 3, column “Height on”: “24/2/2026” should be a date such as 2026-03-02",
        "row 4, column “Given name”: missing",
        "row 4, column “Height cm”: 0,1 should be between 0.5 and 2500",
        "row 4, column “Height on”: 2026-03-12 is still to come",
        "row 4, column “Agreed lifting”: 2026-03-12 is still to come",
        "row 4, column “Joined”: 2062-01-01 is more than 20 years from now",
        "row 5, column “Initial”: longer than 5 characters",
        "row 5, column “Birth”: nobody in a class was born in 2026-04",
        "row 5, column “Note”: longer than 80 characters",
        "row 5, column “Until”: 2026-01-31 is before 2026-02-01",
        "row 6, column “Class”: this list is loaded for Tuesday beginners",
        "row 6, column “Initial”: “3” should be one to four letters",
        "row 6, column “Birth”: missing",
        "row 7, column “Class”: no class is called “Nowhere”",
        "row 7, column “Birth”: nobody in a class was born in 1925-03",
    ]


@pytest.mark.parametrize(
    ("lines", "faults"),
    [
        (["birth", "2016-05"], ["row 1: no column “given_name”"]),
        (
            ["given_name,birth_month", "Amara,5"],
            ["row 1: no column “birth”, nor “birth_month” and “birth_year”"],
        ),
        (
            ["given_name,birth_month,birth_year", "Amara,13,", "Bao,,2027"],
            [
                "row 2, column “birth_year”: missing",
                "row 2, column “birth_month”: 13 should be between 1 and 12",
                "row 3, column “birth_month”: missing",
            ],
        ),
        (
            ["given_name,birth,born", "Amara,2016-05,2016-05"],
            ["row 1, column “born”: a second column for birth"],
        ),
        (
            ["given_name,birth,height_cm,height", "Amara,2016-05,138,138"],
            ["row 2, column “height”: given in “height_cm” already"],
        ),
        (
            ["given_name,birth", "Amara,2016-05,138"],
            ["row 2: has more cells than the header"],
        ),
        (["given_name,birth", '"Amara,2016-05'], ["line 2: no CSV: unexpected end of data"]),
        (["given_name,birth", "\x00"], ["the file: no text: it holds NUL bytes"]),
        (
            ["given_name,birth", "\u202eAmara,2016-05"],
            ["row 2, column “given_name”: “\u202eAmara” should be a name"],
        ),
        (
            ["given_name,birth,height_cm", "Amara,2016-05,١٣٨"],
            ["row 2, column “height_cm”: “١٣٨” should be a number"],
        ),
        (
            ["given_name,birth,height_cm,class", "Oğuz,2013-09,151,", "Oğuz,2013-09,152,"],
            ["row 3, column “given_name”: the same child as in row 2"],
        ),
    ],
)
def test_what_is_refused_changes_nothing(teacher, lines, faults):
    assert refused(teacher, lines) == faults


def test_two_classes_in_one_list_say_one_height(teacher):
    lines = [
        "class,given_name,birth,height_cm",
        f"{BEGINNERS},Oğuz,2013-09,151",
        f"{SENIORS},Oğuz,2013-09,152",
    ]
    assert refused(teacher, lines, name=None) == [
        "row 3, column “height_cm”: another row of this list says something else of the same child"
    ]
    assert refused(teacher, ["given_name,birth", "Amara,2016-05"], name=None) == [
        "row 1: no column “class”, and no class is named beside the file"
    ]


# -- masses --------------------------------------------------------------------------------------

MASS_HEADER = "given_name,birth,height_cm,mass_kg,mass_on,agreed_mass"


@pytest.fixture
def weighs(school, head):
    """The head teacher of the school once it records masses."""
    school.uses_mass = True
    school.save()
    return head


@pytest.mark.parametrize(
    "header",
    [
        "mass_kg",
        "Mass",
        "Weight (kg)",
        "kg",
        "body weight",
        "Bodyweight",
        "Poids",
        "Gewicht",
        "Körpergewicht",
        "peso",
        "lbs",
        "BMI",
        "agreed_mass",
        "mass_on",
    ],
)
def test_a_column_for_mass_is_refused_by_name(head, header):
    assert refused(head, [f"given_name,birth,{header}", "Joss,2014-09,40"]) == [
        f"row 1, column “{header}”: a column for mass: this school does not record it"
    ]


def test_other_columns_are_not_taken_for_mass(head):
    loaded = load(head, "given_name,birth,massage,weighty,Kgotla", "Joss,2014-09,40,,")
    assert loaded.mapping == "given_name, birth; not used: massage, weighty, Kgotla"


def test_a_mass_with_its_agreement(weighs):
    lines = (MASS_HEADER, "Joss,2014-09,148,40,2026-03-03,2026-03-01", "Bao,2018-09,117,,,")
    loaded = load(weighs, *lines)
    assert loaded.new == ("Bao", "Joss")
    mass = Measurement.objects.get(kind="mass_kg")
    assert (mass.student, mass.on, mass.value) == (child("Joss"), date(2026, 3, 3), 40.0)
    assert Agreement.objects.get().kind == "mass"
    assert load(weighs, *lines).standing == 2
    later = load(weighs, MASS_HEADER, "Joss,2014-09,,41,,2026-03-01")
    assert later.changed == ("Joss: mass",)
    assert list(Measurement.objects.filter(kind="mass_kg").values_list("on", "value")) == [
        (TODAY, 41.0)
    ]
    told = [value for event in Event.objects.all() for value in event.details.values()]
    told = [value for value in told if not (isinstance(value, str) and len(value) == 36)]
    assert "41" not in str(told)


def test_masses_that_are_refused(weighs):
    assert refused(
        weighs,
        [
            MASS_HEADER,
            "Bao,2015-03,138,30,,2026-03-01",
            "Joss,2014-09,148,40,,",
            "Farid,2013-09,149,43,2026-02-28,2026-03-01",
            "Adaeze,2014-08,,38,,2026-03-01",
            "Eluned,2014-09,144,80,,2026-03-01",
            "Chiara,2016-09,133,,,2026-03-01",
        ],
    ) == [
        "row 2, column “mass_kg”: there is no such field under 11 years",
        "row 3, column “mass_kg”: needs the day of the guardian's agreement in “agreed_mass”",
        "row 4, column “mass_kg”: of 2026-02-28, before it was agreed on 2026-03-01",
        "row 5, column “mass_kg”: needs a height beside it",
        "row 6, column “mass_kg”: question: Mass 80 kg: were pounds meant (36.3 kg)? If it is as"
        " meant, confirm row 6.",
        "row 7, column “agreed_mass”: there is no such field under 11 years",
    ]


def test_a_mass_is_not_taken_after_a_withdrawal_nor_before_a_later_one(weighs):
    row = "Joss,2014-09,148,40,2026-03-03,2026-03-01"
    load(weighs, MASS_HEADER, row)
    assert refused(weighs, [MASS_HEADER, "Joss,2014-09,148,41,2026-03-02,2026-03-01"]) == [
        "row 2, column “mass_kg”: a later one is known"
    ]
    Measurement.objects.filter(kind="mass_kg").delete()
    Agreement.objects.update(withdrawn_on=date(2026, 3, 5))
    assert refused(weighs, [MASS_HEADER, row]) == [
        "row 2, column “mass_kg”: its agreement was withdrawn on 2026-03-05"
    ]


def test_two_classes_in_one_list_say_one_mass(weighs):
    header = f"class,{MASS_HEADER}"
    lines = [f"{name},Joss,2014-09,148,%s,,2026-03-01" for name in (BEGINNERS, SENIORS)]
    assert refused(weighs, [header, lines[0] % 40, lines[1] % 41], name=None) == [
        "row 3, column “mass_kg”: another row of this list says something else of the same child"
    ]
    load(weighs, header, *(line % 40 for line in lines), name=None)
    assert Measurement.objects.filter(kind="mass_kg").count() == 1


def test_only_a_head_teacher_brings_masses(weighs, teacher):
    assert refused(teacher, [MASS_HEADER, "Joss,2014-09,148,40,,2026-03-01"]) == [
        f"row 1, column “{name}”: a column for mass: a head teacher's right"
        for name in ("mass_kg", "mass_on", "agreed_mass")
    ]
    assert refused(weighs, ["given_name,birth,Weight (lbs)", "Joss,2014-09,88"]) == [
        "row 1, column “Weight (lbs)”: a column for mass: the column should be called mass_kg, in"
        " kilograms"
    ]


# -- the command ---------------------------------------------------------------------------------


def test_the_example_through_the_command(teacher, capsys, tmp_path):
    about = ["--class", BEGINNERS, "--school", "Orrowmere", "--as", "Tendai R."]
    names = "Amara, Bao, Clíodhna M., Demba, Hana, Ikaika, Mireille, Nguyệt, Rangi, Tariq, Þóra"
    with time_machine.travel(AT, tick=False):
        call_command("load_roster", str(EXAMPLE), *about, "--dry-run")
        said = capsys.readouterr().out.splitlines()
        assert said[1:] == [
            f"new: {names}",
            "11 new, 0 changed, 0 known already",
            "dry run: nothing was loaded",
        ]
        assert not Student.objects.exists()
        call_command("load_roster", str(EXAMPLE), *about)
        assert capsys.readouterr().out.splitlines()[1:] == said[1:-1]
        call_command("load_roster", str(EXAMPLE), *about)
        assert capsys.readouterr().out.splitlines()[1:] == [
            "0 new, 0 changed, 11 known already",
            "nothing changed",
        ]
        short = tmp_path / "list.csv"
        short.write_text("given_name,birth,height_cm\nDemba,2015-12,54\nBao,2018-09,117\n")
        with pytest.raises(Refused) as caught:
            call_command("load_roster", str(short), *about)
        assert caught.value.returncode == 2
        assert str(caught.value).splitlines() == [
            "nothing was loaded",
            "row 2, column “height_cm”: question: Height 54 cm: were inches meant (137.2 cm)?"
            " If it is as meant, confirm row 2.",
        ]
        call_command("load_roster", str(short), *about, "--confirm", "2")
        assert capsys.readouterr().out.splitlines()[1:] == [
            "changed: Demba: height",
            "0 new, 1 changed, 1 known already",
            "not in this list, left as they are: Amara, Clíodhna, Hana, Ikaika, Mireille, Nguyệt,"
            " Rangi, Tariq, Þóra",
        ]
