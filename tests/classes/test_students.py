from datetime import date, timedelta

import pytest

from classes import students
from classes.models import Agreement, Measurement, Student
from classes.students import UnknownStudent, age_years
from tests.factories import (
    JOINED,
    TODAY,
    ClassFactory,
    MemberFactory,
    SchoolFactory,
    StudentFactory,
    StudioFactory,
    scope,
)


@pytest.fixture
def school(db):
    return SchoolFactory()


@pytest.fixture
def classes(school):
    """One class at each of two studios."""
    return [ClassFactory(studio=StudioFactory(school=school)) for _ in range(2)]


@pytest.fixture
def head(school, classes):
    return scope(MemberFactory(school=school))


@pytest.fixture
def teacher(school, classes):
    return scope(MemberFactory(school=school, role="teacher", studios=[classes[0].studio]))


def add(school, given_name, initial="", *, classes=(), **facts):
    return StudentFactory(
        school=school,
        identity__given_name=given_name,
        identity__initial=initial,
        classes=classes,
        **facts,
    ).id


def unknown(directory, text):
    with pytest.raises(UnknownStudent) as caught:
        directory.find(text)
    return str(caught.value)


# -- the directory -------------------------------------------------------------------------------


def test_names_are_alphabetical_whatever_case_and_accents(head, school):
    written = ["Þóra", "amara", "Zoë", "Élodie", "Eluned", "Nguyệt", "Clíodhna", "Oğuz", "Bao"]
    for name in written:
        add(school, name)
    assert list(students.directory(head).names.values()) == [
        "amara",
        "Bao",
        "Clíodhna",
        "Élodie",
        "Eluned",
        "Nguyệt",
        "Oğuz",
        "Zoë",
        "Þóra",
    ]


def test_some_are_called_as_in_the_directory_whoever_else_is_asked_for(teacher, school, classes):
    """A namesake whom nobody asks for, or whom she may not see, still tells them apart."""
    here, elsewhere = ([one] for one in classes)
    zoe = add(school, "zoë", "Q", classes=here)
    amara = add(school, "Amara", "K", classes=here)
    bao = add(school, "Bao", "T", classes=here)
    add(school, "Bao", "R", classes=here)
    hidden = add(school, "Zoe\u0308", "N", classes=elsewhere)
    found = students.names(teacher, student_ids={zoe, amara, bao, hidden})
    assert list(found.items()) == [(amara, "Amara"), (bao, "Bao T."), (zoe, "zoë Q.")]
    assert found.items() <= students.directory(teacher).names.items()
    assert students.names(teacher, student_ids=set()) == {}


@pytest.mark.parametrize(
    ("name", "texts"),
    [
        ("Oğuz", ("Oğuz", "OĞUZ", " oğuz ", "Og\u0306uz")),
        ("Nguyệt", ("Nguyệt", "NGUYỆT", "Nguye\u0323\u0302t")),
        ("Þóra", ("Þóra", "ÞÓRA", "þo\u0301ra")),
        ("Clíodhna", ("clíodhna", "CLI\u0301ODHNA")),
        ("Anne Marie", ("anne  marie", "ANNE MARIE.")),
    ],
)
def test_a_name_is_found_however_it_is_typed(head, school, name, texts):
    id_ = add(school, name)
    directory = students.directory(head)
    assert [directory.find(text) for text in texts] == [id_] * len(texts)


def test_the_initial_is_shown_where_it_tells_two_apart(head, school):
    k, t, bao = add(school, "Amara", "K"), add(school, "amara", "T"), add(school, "Bao", "L")
    directory = students.directory(head)
    assert directory.names == {k: "Amara K.", t: "amara T.", bao: "Bao"}
    for text in ("Amara K.", "amara k", "AMARA  K"):
        assert directory.find(text) == k
    assert directory.find("Bao") == directory.find("Bao L.") == bao
    assert unknown(directory, "Amara") == "“Amara” may be Amara K. or amara T.: write which"


def test_a_name_that_is_not_there_says_who_is_near(head, school):
    for name in ("Amara", "Oğuz", "Bao"):
        add(school, name)
    directory = students.directory(head)
    assert unknown(directory, "Amra") == "no child is called “Amra”; close to it: Amara"
    assert unknown(directory, "Oguz") == "no child is called “Oguz”; close to it: Oğuz"
    assert unknown(directory, "Xenia") == "no child is called “Xenia”"


def test_a_teacher_sees_the_children_of_her_studios(head, teacher, school, classes):
    here = add(school, "Amara", "K", classes=[classes[0]])
    there = add(school, "Amara", "T", classes=[classes[1]])
    both = add(school, "Oğuz", classes=classes)
    nowhere = add(school, "Bao")
    stranger = add(SchoolFactory(), "Hana")
    # The other Amara is out of her sight, and still the initial tells the two apart.
    assert students.directory(teacher).names == {here: "Amara K.", both: "Oğuz"}
    assert set(students.directory(head).names) == {here, there, both, nowhere}
    assert unknown(students.directory(teacher), "Bao") == "no child is called “Bao”"
    everybody = [here, there, both, nowhere, stranger]
    assert students.visible(teacher, student_ids=everybody) == {here, both}
    assert students.visible(head, student_ids=everybody) == {here, there, both, nowhere}


# -- facts ---------------------------------------------------------------------------------------


def test_facts_by_name_with_the_latest_height(head, teacher, school, classes):
    bao = add(school, "Bao", birth_year=2018, birth_month=9)
    amara = add(school, "Amara", classes=[classes[0]], left_on=date(2026, 3, 1))
    for on, value in ((date(2026, 1, 13), 137.0), (TODAY, 138.0), (date(2025, 9, 2), 136.0)):
        Measurement.objects.create(
            school=school, student_id=amara, kind="height_cm", on=on, value=value
        )
    facts = students.children(head, student_ids=[bao, amara])
    assert facts == (
        students.ChildFacts(
            id=amara,
            name="Amara",
            birth_year=2017,
            birth_month=5,
            joined_on=JOINED,
            left_on=date(2026, 3, 1),
            height_cm=138.0,
            height_on=TODAY,
        ),
        students.ChildFacts(
            id=bao,
            name="Bao",
            birth_year=2018,
            birth_month=9,
            joined_on=JOINED,
            left_on=None,
            height_cm=None,
            height_on=None,
        ),
    )
    assert [row.id for row in students.children(teacher, student_ids=[bao, amara])] == [amara]
    assert students.children(head, student_ids=[]) == ()


@pytest.mark.parametrize(
    ("on", "years"),
    [
        (date(2017, 5, 31), -1),
        (date(2018, 5, 1), 0),
        (date(2018, 5, 31), 0),
        (date(2018, 6, 1), 1),
        (date(2026, 3, 11), 8),
        (date(2028, 5, 31), 10),
        (date(2028, 6, 1), 11),
    ],
)
def test_an_age_is_reached_when_it_is_certain(on, years):
    assert age_years(birth_year=2017, birth_month=5, on=on) == years


def test_without_a_month_of_birth_there_is_no_age():
    assert age_years(birth_year=None, birth_month=None, on=TODAY) is None


# -- masses --------------------------------------------------------------------------------------


@pytest.fixture
def weighs(school):
    school.uses_mass = True
    school.save()


def weigh(school, id_, *values, agreed=JOINED, withdrawn=None):
    """Masses as (day, kg), with the guardian's agreement."""
    if agreed:
        Agreement.objects.create(
            school=school, student_id=id_, kind="mass", agreed_on=agreed, withdrawn_on=withdrawn
        )
    for on, value in values:
        Measurement.objects.create(
            school=school, student_id=id_, kind="mass_kg", on=on, value=value
        )


def old_enough(school, name="Joss", **facts):
    return add(school, name, birth_year=2014, birth_month=9, **facts)


def known(by, *ids, on=TODAY):
    return students.masses(by, student_ids=ids, on=on)


def test_a_mass_is_read_where_everything_stands(head, school, weighs):
    joss = old_enough(school)
    weigh(school, joss, (date(2026, 1, 13), 39.0), (date(2026, 3, 3), 40.0))
    assert known(head, joss) == {joss: 40.0}
    assert known(head, joss, on=date(2026, 3, 2)) == {joss: 39.0}
    assert known(head, joss, on=date(2026, 1, 12)) == {}
    assert known(head) == {}


def test_no_mass_is_read_where_the_school_has_none(head, school):
    joss = old_enough(school)
    weigh(school, joss, (TODAY, 40.0))
    assert known(head, joss) == {}


def test_a_mass_is_unknown_after_120_days(head, school, weighs):
    joss, farid = old_enough(school), old_enough(school, "Farid")
    weigh(school, joss, (TODAY - timedelta(days=120), 40.0))
    weigh(school, farid, (TODAY - timedelta(days=121), 43.0))
    assert known(head, joss, farid) == {joss: 40.0}


def test_a_mass_is_unknown_under_the_schools_age(head, school, weighs):
    young = add(school, "Bao", birth_year=2015, birth_month=3)
    old = add(school, "Eluned", birth_year=2015, birth_month=2)
    for id_ in (young, old):
        weigh(school, id_, (TODAY, 37.0))
    assert known(head, young, old) == {old: 37.0}
    school.mass_from_age = 12
    school.save()
    assert known(head, old) == {}


def test_a_mass_is_unknown_where_the_age_is(head, school, weighs):
    joss = old_enough(school)
    weigh(school, joss, (TODAY, 40.0))
    Student.objects.update(birth_year=None, birth_month=None)
    assert known(head, joss) == {}


def test_a_mass_is_unknown_without_an_agreement_that_stands(head, school, weighs):
    def child(name, **agreement):
        id_ = old_enough(school, name)
        weigh(school, id_, (TODAY, 40.0), **agreement)
        return id_

    never = child("Chiara", agreed=None)
    lifting = child("Ines", agreed=None)
    Agreement.objects.create(school=school, student_id=lifting, kind="lifting", agreed_on=JOINED)
    later = child("Joss", agreed=TODAY + timedelta(days=1))
    gone = child("Farid", withdrawn=TODAY)
    going = child("Hoku", withdrawn=TODAY + timedelta(days=1))
    again = child("Adaeze", withdrawn=date(2026, 2, 1))
    weigh(school, again, agreed=date(2026, 2, 2))
    same_day = child("Ginevra", withdrawn=date(2026, 2, 1))
    weigh(school, same_day, agreed=date(2026, 2, 1) - timedelta(days=1))
    ids = (never, lifting, later, gone, going, again, same_day)
    assert known(head, *ids) == {going: 40.0, again: 40.0}


def test_masses_are_read_within_sight_only(head, teacher, school, classes, weighs):
    here = old_enough(school, classes=[classes[0]])
    there = old_enough(school, "Farid", classes=[classes[1]])
    other = SchoolFactory(uses_mass=True)
    stranger = old_enough(other, "Maren")
    for school_, id_ in ((school, here), (school, there), (other, stranger)):
        weigh(school_, id_, (TODAY, 40.0))
    # Whoever calls: the rule of loads needs them, and shows none.
    assert known(teacher, here, there, stranger) == {here: 40.0}
    assert known(head, here, there, stranger) == {here: 40.0, there: 40.0}


def test_what_was_seen_once_is_seen_again_without_looking(
    teacher, head, school, classes, django_assert_num_queries
):
    here, there = (
        StudentFactory(school=school, classes=[klass], identity__given_name=name).id
        for klass, name in zip(classes, ("Farid", "Maren"), strict=False)
    )
    seen = students.visible(teacher, student_ids=[here, there])
    assert seen == {here}
    with django_assert_num_queries(0):
        assert students.visible(teacher, student_ids=seen) == {here}
    # What is put to it is looked for, and so is what somebody else has seen.
    assert students.visible(teacher, student_ids=seen | {there}) == {here}
    everybody = students.visible(head, student_ids=[here, there])
    assert everybody == {here, there}
    assert students.visible(teacher, student_ids=everybody) == {here}
