import io
from datetime import UTC, date, datetime
from pathlib import Path

import openpyxl
import pytest
import time_machine
from django.core.management import call_command

from accounts.commands import Refused
from accounts.faults import BadDocument
from accounts.models import Event, Studio
from accounts.scope import NotAllowed
from classes import roster
from classes.classes import class_named, enrolled
from classes.models import Agreement, Enrolment, Identity, Measurement, Student
from classes.students import directory
from tests.factories import (
    AT,
    TODAY,
    ClassFactory,
    MemberFactory,
    SchoolFactory,
    StudentFactory,
    StudioFactory,
    every_row,
    scope,
)

EXAMPLE = Path(__file__).parents[2] / "docs" / "formats" / "examples" / "roster.csv"
BEGINNERS, SENIORS = "Tuesday beginners", "Saturday seniors"
HEADER = "given_name,initial,birth,height_cm,height_on,joined,until,trial,agreed_lifting,note"


@pytest.fixture
def school(db):
    school = SchoolFactory(name="Orrowmere")
    studio = StudioFactory(school=school, name="Sellane Harbour")
    for name in (BEGINNERS, SENIORS):
        ClassFactory(studio=studio, name=name)
    return school


@pytest.fixture
def head(school):
    return scope(MemberFactory(school=school, name="Marit O."))


@pytest.fixture
def teacher(school):
    studios = Studio.objects.filter(school=school)
    return scope(MemberFactory(school=school, name="Tendai R.", role="teacher", studios=studios))


def load(by, *lines, at=AT, name=BEGINNERS, **options):
    return roster.load(
        by,
        content="\n".join(lines).encode(),
        at=at,
        klass=class_named(by, name=name) if name else None,
        **options,
    )


def refused(by, content, name=BEGINNERS, **options):
    """The faults of a list, after making sure that it changed nothing."""
    before = every_row()
    with pytest.raises(BadDocument) as caught:
        roster.load(
            by,
            content=content if isinstance(content, bytes) else "\n".join(content).encode(),
            at=AT,
            klass=class_named(by, name=name) if name else None,
            **options,
        )
    assert every_row() == before
    return str(caught.value).splitlines()


def child(name):
    return Identity.objects.select_related("student").get(given_name=name).student


def heights(name):
    rows = Measurement.objects.filter(student=child(name), kind="height_cm").order_by("on")
    return list(rows.values_list("on", "value"))


def places(name):
    rows = Enrolment.objects.filter(student=child(name)).order_by("from_date")
    return list(rows.values_list("group_class__name", "from_date", "until", "trial"))


# -- what is loaded ------------------------------------------------------------------------------


def test_new_children(teacher):
    loaded = load(
        teacher,
        HEADER,
        "Clíodhna,M,2017-10,127,2026-02-24,2026-01-13,,no,2026-01-13,collected by her aunt",
        "Nguyệt,,12/2016,131.5,24.2.2026,,,yes,,",
    )
    assert loaded == roster.Loaded(
        mapping=HEADER.replace(",", ", "),
        new=("Clíodhna M.", "Nguyệt"),
        changed=(),
        standing=0,
        absent=(),
        remarks=(),
    )
    her = child("Clíodhna")
    assert (her.birth_year, her.birth_month, her.joined_on, her.left_on) == (
        2017,
        10,
        date(2026, 1, 13),
        None,
    )
    assert (her.identity.initial, her.identity.guardian_note) == ("M", "collected by her aunt")
    assert heights("Clíodhna") == [(date(2026, 2, 24), 127.0)]
    assert places("Clíodhna") == [(BEGINNERS, date(2026, 1, 13), None, False)]
    assert places("Nguyệt") == [(BEGINNERS, TODAY, None, True)]
    assert list(Agreement.objects.values_list("student", "kind", "agreed_on")) == [
        (her.id, "lifting", date(2026, 1, 13))
    ]
    assert Event.objects.filter(what="add_student", member_id=teacher.member_id).count() == 2
    agree = Event.objects.get(what="agree")
    assert (agree.about, agree.details["kind"]) == (her.id, "lifting")


def test_the_same_list_again_changes_nothing_on_a_later_day_either(teacher):
    lines = (HEADER, "Oğuz,,2013-09,151,,,,,,", "Þóra,,2017-08,129,,,,yes,2026-03-01,early")
    load(teacher, *lines)
    before = every_row()
    for at in (AT, datetime(2026, 4, 1, 12, tzinfo=UTC)):
        loaded = load(teacher, *lines, at=at)
        assert (loaded.new, loaded.changed, loaded.standing) == ((), (), 2)
    assert every_row() == before
    assert heights("Oğuz") == [(TODAY, 151.0)]


def test_the_names_of_many_languages_come_back_as_written(teacher):
    names = ["Oğuz", "Nguyệt", "Þóra", "Clíodhna", "Zoë-Lí", "N'Dour", "Anne Marie"]
    load(teacher, HEADER, *(f"{name},,2016-05,,,,,,," for name in names))
    assert set(Identity.objects.values_list("given_name", flat=True)) == set(names)
    known = directory(teacher)
    for name in names:
        assert known.names[known.find(name.upper())] == name


def test_a_windows_list_with_semicolons_and_other_headers(teacher):
    content = (
        "First name;Born;Height;Measured;Shoe size\r\nChloé K.;3.5.2016;131,5;24.2.2026;33\r\n"
    )
    loaded = roster.load(
        teacher,
        content=content.encode("cp1252"),
        at=AT,
        klass=class_named(teacher, name=BEGINNERS),
    )
    assert loaded.mapping == (
        "First name = given_name, Born = birth, Height = height, Measured = height_on;"
        " not used: Shoe size"
    )
    assert loaded.remarks == ("row 2: only year and month of birth are kept, no day",)
    assert loaded.new == ("Chloé K.",)
    assert (child("Chloé").birth_year, child("Chloé").birth_month) == (2016, 5)
    assert heights("Chloé") == [(date(2026, 2, 24), 131.5)]


def test_a_workbook_with_whole_dates_and_two_columns_of_birth(teacher):
    book = openpyxl.Workbook()
    for row in (
        ["Name", "Birth month", "Birth year", "Height cm", "Joined"],
        ["Håkon", 7, 2014, 154, datetime(2026, 1, 13)],  # noqa: DTZ001
    ):
        book.active.append(row)
    out = io.BytesIO()
    book.save(out)
    roster.load(teacher, content=out.getvalue(), at=AT, klass=class_named(teacher, name=BEGINNERS))
    assert places("Håkon") == [(BEGINNERS, date(2026, 1, 13), None, False)]
    assert heights("Håkon") == [(TODAY, 154.0)]


def test_inches_where_the_studio_uses_them(school, head):
    ClassFactory(
        studio=StudioFactory(school=school, units="imperial", name="Mill"), name="Monday beginners"
    )
    by = scope(MemberFactory(school=school, name="Signe H."))
    lines = ("given_name,birth,height,height_cm", "Tove,2018-06,47,", "Umut,2016-09,,135")
    load(by, *lines, name="Monday beginners")
    assert heights("Tove") == [(TODAY, 119.4)]
    assert heights("Umut") == [(TODAY, 135.0)]
    assert load(by, *lines, name="Monday beginners").standing == 2


def test_a_list_of_several_classes_and_a_child_in_two(teacher):
    lines = (
        "class,given_name,birth,height_cm",
        "tuesday beginners,Oğuz,2013-09,151",
        "Saturday seniors,Oğuz,2013-09,151",
        "Saturday seniors,Kalea,2012-11,157",
    )
    assert load(teacher, *lines, name=None).new == ("Kalea", "Oğuz")
    assert [row[0] for row in sorted(places("Oğuz"))] == [SENIORS, BEGINNERS]
    assert heights("Oğuz") == [(TODAY, 151.0)]
    assert load(teacher, *lines, name=None).standing == 2


def test_whoever_is_not_in_the_list_is_left_and_named(teacher):
    load(teacher, "given_name,birth", "Amara,2016-11", "Bao,2018-09")
    load(teacher, "given_name,birth", "Hana,2017-09", name=SENIORS)
    before = every_row()
    assert load(teacher, "given_name,birth", "Bao,2018-09").absent == ("Amara",)
    assert every_row() == before


# -- heights -------------------------------------------------------------------------------------


def test_a_changed_height_adds_a_measurement(teacher):
    load(teacher, HEADER, "Sunniva,,2018-06,118,2025-12-02,2025-09-02,,,,")
    loaded = load(teacher, HEADER, "Sunniva,,2018-06,121,2026-03-03,,,,,")
    assert loaded.changed == ("Sunniva: height",)
    assert heights("Sunniva") == [(date(2025, 12, 2), 118.0), (date(2026, 3, 3), 121.0)]
    # An older list again: its height of that day stands.
    assert load(teacher, HEADER, "Sunniva,,2018-06,118,2025-12-02,,,,,").standing == 1


def test_another_height_of_the_same_day_corrects(teacher):
    load(teacher, HEADER, "Sunniva,,2018-06,112,2026-03-03,2025-09-02,,,,")
    load(teacher, HEADER, "Sunniva,,2018-06,121,2026-03-03,,,,,")
    assert heights("Sunniva") == [(date(2026, 3, 3), 121.0)]


def test_a_height_that_looks_like_a_slip_is_asked_about_once(teacher):
    lines = (HEADER, "Amara,,2016-11,138,,,,,,", "Bao,,2018-09,46,,,,,,")
    question = (
        "row 3, column “height_cm”: question: Height 46 cm: were inches meant (116.8 cm)?"
        " If it is as meant: --confirm 3"
    )
    assert refused(teacher, lines) == [question]
    assert refused(teacher, lines, confirmed=[2]) == [question]
    assert load(teacher, *lines, confirmed=[3], dry_run=True).new == ("Amara", "Bao")
    loaded = load(teacher, *lines, confirmed=[3, 2])
    assert loaded.new == ("Amara", "Bao")
    assert loaded.remarks == ("--confirm 2: nothing was asked about row 2",)
    assert heights("Bao") == [(TODAY, 46.0)]
    assert load(teacher, *lines).standing == 2


def test_a_height_is_set_beside_the_one_before(teacher):
    load(teacher, HEADER, "Demba,,2015-12,143,2026-01-13,,,,,")
    assert refused(teacher, [HEADER, "Demba,,2015-12,134,2026-03-03,,,,,"]) == [
        "row 2, column “height_cm”: question: Height 134 cm, and 143 cm on 2026-01-13: are both in"
        " centimetres and in the right row? If it is as meant: --confirm 2"
    ]
    load(teacher, HEADER, "Demba,,2015-12,134,2026-03-03,,,,,", confirmed=[2])
    assert heights("Demba")[-1] == (date(2026, 3, 3), 134.0)


def test_an_age_outside_the_tables_is_asked_about(teacher):
    lines = ("given_name,birth,height_cm", "Nils,2025-01,114", "Olwen,1986-05,")
    asked = refused(teacher, lines)
    assert asked == [
        "row 2, column “birth”: question: The birth month makes an age under 2 years, for which"
        " heights cannot be checked: are its year and month as meant? If it is as meant:"
        " --confirm 2",
        "row 3, column “birth”: question: an age over 20 years: are year and month as meant?"
        " If it is as meant: --confirm 3",
    ]
    assert len(load(teacher, *lines, confirmed=[2, 3]).new) == 2


# -- who is who ----------------------------------------------------------------------------------


def test_two_children_with_one_name(teacher):
    assert refused(teacher, [HEADER, "Amara,,2016-11,,,,,,,", "Amara T.,,2017-01,,,,,,,"]) == [
        "row 2, column “initial”: missing: another Amara is in the school"
    ]
    load(teacher, HEADER, "Amara K,,2016-11,,,,,,,", "amara,t.,2017-01,,,,,,,")
    assert sorted(directory(teacher).names.values()) == ["Amara K.", "amara T."]
    # One of them by month of birth, both of one month, and the same twice.
    assert load(teacher, HEADER, "Amara,,2017-01,,,,,,,").standing == 1
    load(teacher, HEADER, "Amara,L,2017-01,,,,,,,")
    assert refused(
        teacher,
        [HEADER, "Amara,,2017-01,,,,,,,", "AMARA K.,,2016-11,,,,,,,", "Amara,k,2016-11,,,,,,,"],
    ) == [
        "row 2, column “given_name”: may be Amara L. or amara T.: write the initial",
        "row 4, column “given_name”: the same child as in row 3",
    ]


def test_a_namesake_elsewhere_in_the_school_needs_an_initial_first(teacher):
    load(teacher, HEADER, "Amara,,2016-11,,,,,,,", name=SENIORS)
    lines = [HEADER, "Amara,T,2017-01,,,,,,,"]
    assert refused(teacher, lines) == [
        "row 2, column “given_name”: another Amara is in the school, without an initial: load hers"
        " first"
    ]
    with_initial = [HEADER, "Amara,K,2016-11,,,,,,,"]
    assert refused(teacher, with_initial, name=SENIORS) == [
        "row 2, column “given_name”: question: Amara, born 2016-11, is known without an initial:"
        " is this the same child? If it is as meant: --confirm 2"
    ]
    loaded = load(teacher, *with_initial, name=SENIORS, confirmed=[2])
    assert loaded.changed == ("Amara K.: initial",)
    assert load(teacher, *lines).new == ("Amara T.",)


def test_another_month_of_birth_is_asked_about(teacher):
    load(teacher, HEADER, "Bao,,2018-09,117,2026-02-24,,,,,")
    lines = [HEADER, "Bao,,2018-08,117,2026-02-24,,,,,"]
    assert refused(teacher, lines) == [
        "row 2, column “birth”: question: Bao is known, born 2018-09: is 2018-08 a correction?"
        " Another child needs another initial. If it is as meant: --confirm 2"
    ]
    assert load(teacher, *lines, confirmed=[2]).changed == ("Bao: month of birth",)
    assert child("Bao").birth_month == 8
    assert load(teacher, *lines, confirmed=[2]).standing == 1
    assert refused(teacher, [HEADER, "Tariq,,2016-08,,,,,,,", "Tariq,,2016-09,,,,,,,"]) == [
        "row 3, column “birth”: Tariq is known, born 2016-08 as in row 2: another child needs an"
        " initial"
    ]


def test_a_child_of_another_school_is_another_child(teacher):
    StudentFactory(identity__given_name="Hana", birth_year=2017, birth_month=9)
    assert load(teacher, HEADER, "Hana,,2017-09,124,,,,,,").new == ("Hana",)
    assert Student.objects.filter(school_id=teacher.school_id).count() == 1


# -- places --------------------------------------------------------------------------------------


def test_a_trial_ends(teacher):
    load(teacher, HEADER, "Nguyệt,,2016-12,,,2026-02-17,,yes,,")
    again = load(teacher, HEADER, "Nguyệt,,2016-12,,,2026-03-03,,no,,")
    assert again.changed == ("Nguyệt: place",)
    trial = (BEGINNERS, date(2026, 2, 17), date(2026, 3, 2), True)
    member = (BEGINNERS, date(2026, 3, 3), None, False)
    assert places("Nguyệt") == [trial, member]
    assert load(teacher, HEADER, "Nguyệt,,2016-12,,,2026-03-03,,no,,").standing == 1
    assert load(teacher, HEADER, "Nguyệt,,2016-12,,,2026-02-17,,yes,,").standing == 1
    klass = class_named(teacher, name=BEGINNERS)
    states = [
        [place.trial for place in enrolled(teacher, class_id=klass.id, on=on)]
        for on in (date(2026, 2, 16), date(2026, 3, 2), date(2026, 3, 3))
    ]
    assert states == [[], [True], [False]]


def test_a_trial_ends_today_or_never_was(teacher):
    load(teacher, HEADER, "Nguyệt,,2016-12,,,2026-02-17,,yes,,", "Hana,,2017-09,,,,,yes,,")
    load(teacher, HEADER, "Nguyệt,,2016-12,,,,,no,,", "Hana,,2017-09,,,,,no,,")
    assert [row[1:] for row in places("Nguyệt")] == [
        (date(2026, 2, 17), date(2026, 3, 10), True),
        (TODAY, None, False),
    ]
    assert [row[1:] for row in places("Hana")] == [(TODAY, None, False)]
    load(teacher, HEADER, "Nguyệt,,2016-12,,,2026-02-17,,no,,")
    assert [row[3] for row in places("Nguyệt")] == [False, False]


def test_the_first_day_is_corrected(teacher):
    load(teacher, HEADER, "Bao,,2018-09,,,,,,,")
    for joined in ("2025-09-02", "2026-01-13"):
        load(teacher, HEADER, f"Bao,,2018-09,,,{joined},,,,")
        assert [str(row[1]) for row in places("Bao")] == [joined]
        assert str(child("Bao").joined_on) == joined


def test_she_leaves_the_class_and_comes_back(teacher):
    load(teacher, HEADER, "Bao,,2018-09,,,2025-09-02,,,,")
    leaves = "Bao,,2018-09,,,2025-09-02,2026-02-10,,,"
    assert load(teacher, HEADER, leaves).changed == ("Bao: place",)
    assert load(teacher, HEADER, leaves).standing == 1
    klass = class_named(teacher, name=BEGINNERS)
    assert enrolled(teacher, class_id=klass.id, on=TODAY) == ()
    load(teacher, HEADER, "Bao,,2018-09,,,,,,,")
    assert [row[1:3] for row in places("Bao")] == [
        (date(2025, 9, 2), date(2026, 2, 10)),
        (TODAY, None),
    ]
    assert child("Bao").joined_on == date(2025, 9, 2)
    assert refused(
        teacher,
        [HEADER, "Bao,,2018-09,,,2026-02-10,,,,", "Hana,,2017-09,,,2026-04-01,2026-03-31,,,"],
    ) == [
        "row 2, column “joined”: overlaps with her place from 2025-09-02 on",
        "row 3, column “until”: 2026-03-31 is before 2026-04-01",
    ]


def test_a_last_day_before_the_first_that_stands(teacher):
    load(teacher, HEADER, "Bao,,2018-09,,,2026-02-10,,,,")
    assert refused(teacher, [HEADER, "Bao,,2018-09,,,,2026-02-09,,,"]) == [
        "row 2, column “until”: 2026-02-09 is before 2026-02-10"
    ]


# -- agreements and notes ------------------------------------------------------------------------


def test_agreements_and_withdrawals(teacher):
    load(teacher, HEADER, "Amara,,2016-11,,,,,,2026-01-13,")
    Agreement.objects.update(withdrawn_on=date(2026, 2, 1))
    # The list of then still says what stood then.
    assert load(teacher, HEADER, "Amara,,2016-11,,,,,,2026-01-13,").standing == 1
    assert refused(teacher, [HEADER, "Amara,,2016-11,,,,,,2026-01-20,"]) == [
        "row 2, column “agreed_lifting”: withdrawn on 2026-02-01: what is agreed again has a later"
        " date"
    ]
    assert load(teacher, HEADER, "Amara,,2016-11,,,,,,2026-03-02,").changed == ("Amara: agreement",)
    assert Agreement.objects.filter(withdrawn_on__isnull=True).count() == 1


def test_a_note_is_changed_and_taken_out(teacher):
    load(teacher, HEADER, "Amara,,2016-11,,,,,,,left-handed")
    assert load(teacher, HEADER, "Amara,,2016-11,,,,,,,").standing == 1
    assert child("Amara").identity.guardian_note == "left-handed"
    assert load(teacher, HEADER, "Amara,,2016-11,,,,,,,-").changed == ("Amara: note",)
    assert child("Amara").identity.guardian_note == ""


# -- rights and refusals -------------------------------------------------------------------------


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
        "row 1: no column “class”: say with --class which one it is"
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
    assert not any("41" in str(event.details) for event in Event.objects.all())


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
        " meant: --confirm 6",
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
            " If it is as meant: --confirm 2",
        ]
        call_command("load_roster", str(short), *about, "--confirm", "2")
        assert capsys.readouterr().out.splitlines()[1:] == [
            "changed: Demba: height",
            "0 new, 1 changed, 1 known already",
            "not in this list, left as they are: Amara, Clíodhna, Hana, Ikaika, Mireille, Nguyệt,"
            " Rangi, Tariq, Þóra",
        ]
