import io
from datetime import UTC, date, datetime

import openpyxl

from accounts.models import Event
from classes import roster
from classes.classes import class_named, enrolled
from classes.models import Agreement, Identity, Student
from classes.students import directory
from tests.classes.roster.lists import (
    BEGINNERS,
    HEADER,
    SENIORS,
    child,
    heights,
    load,
    places,
    refused,
)
from tests.factories import (
    AT,
    TODAY,
    ClassFactory,
    MemberFactory,
    StudentFactory,
    StudioFactory,
    every_row,
    scope,
)

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
        " If it is as meant, confirm row 3."
    )
    assert refused(teacher, lines) == [question]
    assert refused(teacher, lines, confirmed=[2]) == [question]
    assert load(teacher, *lines, confirmed=[3], dry_run=True).new == ("Amara", "Bao")
    loaded = load(teacher, *lines, confirmed=[3, 2])
    assert loaded.new == ("Amara", "Bao")
    assert loaded.remarks == ("row 2 was confirmed: nothing was asked about it",)
    assert heights("Bao") == [(TODAY, 46.0)]
    assert load(teacher, *lines).standing == 2


def test_a_height_is_set_beside_the_one_before(teacher):
    load(teacher, HEADER, "Demba,,2015-12,143,2026-01-13,,,,,")
    assert refused(teacher, [HEADER, "Demba,,2015-12,134,2026-03-03,,,,,"]) == [
        "row 2, column “height_cm”: question: Height 134 cm, and 143 cm on 2026-01-13: are both in"
        " centimetres and in the right row? If it is as meant, confirm row 2."
    ]
    load(teacher, HEADER, "Demba,,2015-12,134,2026-03-03,,,,,", confirmed=[2])
    assert heights("Demba")[-1] == (date(2026, 3, 3), 134.0)


def test_an_age_outside_the_tables_is_asked_about(teacher):
    lines = ("given_name,birth,height_cm", "Nils,2025-01,114", "Olwen,1986-05,")
    asked = refused(teacher, lines)
    assert asked == [
        "row 2, column “birth”: question: The birth month makes an age under 2 years, for which"
        " heights cannot be checked: are its year and month as meant? If it is as meant,"
        " confirm row 2.",
        "row 3, column “birth”: question: an age over 20 years: are year and month as meant?"
        " If it is as meant, confirm row 3.",
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
        " is this the same child? If it is as meant, confirm row 2."
    ]
    loaded = load(teacher, *with_initial, name=SENIORS, confirmed=[2])
    assert loaded.changed == ("Amara K.: initial",)
    assert load(teacher, *lines).new == ("Amara T.",)


def test_another_month_of_birth_is_asked_about(teacher):
    load(teacher, HEADER, "Bao,,2018-09,117,2026-02-24,,,,,")
    lines = [HEADER, "Bao,,2018-08,117,2026-02-24,,,,,"]
    assert refused(teacher, lines) == [
        "row 2, column “birth”: question: Bao is known, born 2018-09: is 2018-08 a correction?"
        " Another child needs another initial. If it is as meant, confirm row 2."
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
