"""What the teacher alone is told: never on the sheet."""

from planning.says import private_note
from planning.sheet import as_html, as_text
from planning.tonight import make_sheet
from tests.planning.build import Pupil, clean, evening


def test_three_weeks_of_nothing_but_cleans_is_told_and_not_on_the_sheet():
    tonight = evening(Pupil("Amara", clean("tight", weeks=(5, 2, 1))))
    note = private_note(tonight)
    assert note.startswith("For you alone: for three weeks nothing but clean tries")
    sheet, _ = make_sheet(tonight)
    for text in (as_text(sheet), as_html(sheet)):
        assert "alone: for three weeks" not in " ".join(text.split())


def test_a_young_log_and_an_empty_one_say_nothing():
    assert private_note(evening(Pupil("Amara", clean("tight", weeks=(2, 1))))) is None
    assert private_note(evening(Pupil("Amara"))) is None
