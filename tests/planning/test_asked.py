import pytest

from accounts.scope import Unknown
from tests import factories
from tests.once import once
from tests.planning import school
from tests.planning.build import PROPS, pupils

built, rows = once(lambda: school.build(*pupils("Amara", "Bao", tries=PROPS)))


def test_a_child_is_either_away_or_not_up_for_it(rows):
    with pytest.raises(Unknown) as refused:
        rows.load(absent=("Amara", "Bao"), not_today=("bao",))
    assert str(refused.value) == "--not-today: Bao is named with --absent too"
    assert [one.name for one in rows.load(absent=("Amara", "amara")).away] == ["Amara"]


def test_only_children_of_the_class_are_absent_or_not_up_for_it(rows):
    other = factories.ClassFactory(studio=rows.klass.studio, name="Thursday second year")
    factories.StudentFactory(school_id=rows.id, identity__given_name="Oğuz", classes=[other])
    for flag, asked in (("--absent", "absent"), ("--not-today", "not_today")):
        with pytest.raises(Unknown) as refused:
            rows.load(**{asked: ("Oğuz",)})
        assert str(refused.value) == f"{flag}: Oğuz is not in this class"


@pytest.mark.parametrize(
    ("name", "said"),
    [
        (
            "Aroa T.",
            "--spotters: nobody called “Aroa T.” is on the staff that day; close to it: Aroha T.",
        ),
        ("Wiremu", "--spotters: nobody called “Wiremu” is on the staff that day"),
        ("Bram V.", "--spotters: Bram V. is not an adult"),
        ("Tendai R.", "--spotters: Tendai R. holds the list; whoever does is not free to spot"),
    ],
)
def test_who_may_not_spot(rows, name, said):
    with pytest.raises(Unknown) as refused:
        rows.load(spotters=(name,))
    assert str(refused.value) == said
