"""The letter for guardians: kind, plain, and silent about what is none of its matter."""

import html
import re
from dataclasses import asdict
from datetime import date, timedelta

import pytest

from accounts.models import Event
from accounts.scope import NotAllowed, Unknown
from classes.models import Agreement, Restriction, Student
from planning import letters
from planning.words import CAUTION
from tests.planning.build import ON, STARTS, Pupil, Tried, clean
from tests.planning.read_aloud import assert_fit_to_read_aloud

PRONOUN = re.compile(r"\b(she|her|hers|he|him|his|they|them|their)\b", re.IGNORECASE)
REASON = re.compile(r"\b(rests|until|wrist|bend|fall|fell|injur|agree|trial|not for now)", re.I)
EVERYBODY = ("Amara", "Bao", "Demba", "Hana", "Nguyệt", "Rangi")


def of(term, name, scope=None, **asked):
    scope = scope or term.rows.teacher
    return letters.letter(scope, student_id=term.child(name), at=STARTS, **asked)


def sections(written):
    return {one.heading: one.lines for one in written.sections}


def texts(written):
    return [
        written.opening,
        written.closing,
        *(text for one in written.sections for text in (one.heading, one.says, *one.lines)),
    ]


def test_what_is_there_what_is_learned_and_what_is_for_home(term):
    written = of(term, "Amara")
    assert written.title == "Amara in Tuesday beginners"
    assert written.known == "Sellane Harbour, as known on Tuesday 10 March 2026."
    assert written.opening == "Dear family, this is what Amara is doing in class."
    assert [(one.heading, one.says) for one in written.sections] == [
        ("Already there", "Amara can already:"),
        ("Being learned", "Amara is working on:"),
        ("At home", letters.AT_HOME_SAYS),
        ("Not at home", letters.NO_LIFTS),
    ]
    # No bridge, which rests, no table as it was before, and no line, which is taught no more.
    assert sections(written)["Already there"] == ("the stop word",)
    assert sections(written)["Being learned"] == (
        "standing tight: coming along",
        "table, hips still: coming along",
        "table, hands apart: coming along",
        "facing lean: coming along",
    )
    assert sections(written)["At home"] == (
        "Table, hands apart: with a book on the back",
        "Standing tight: against a wall, ten counts aloud",
        "Table, hips still: with a book on the back",
    )
    assert written.caution == CAUTION


def test_help_in_kind_words(term):
    term.rows.log(
        Pupil(
            "Hana",
            (
                *(Tried("chest_rest", "base", 1, "hands_on", "not_there"),) * 3,
                *(Tried("chest_rest", "flyer", 1, "hands_on", "shaky"),) * 2,
                *clean("bridge", weeks=(1,), spot="hands_near"),
                *clean("tight", weeks=(10, 9)),
            ),
        )
    )
    assert sections(of(term, "Hana"))["Being learned"] == (
        "bridge: with hands near",
        "chest rest as base: just begun",
        "chest rest as flyer: with helping hands",
    )


def test_before_anything_is_logged_on_trial_and_after_the_last_day(term):
    hana, demba, left = (of(term, name) for name in ("Hana", "Demba", "Nguyệt"))
    assert hana.opening.endswith("Hana has just begun. There will be more to tell soon.")
    assert [*sections(hana)] == ["Not at home"]
    assert demba.opening.endswith("Demba has come to try the class: thank you for the visit.")
    assert left.opening.endswith("this is where things stood when Nguyệt left.")
    assert left.sections[0].says == "Nguyệt could already:"
    assert left.on == date(2026, 2, 20)
    there = of(term, "Rangi", term.rows.head, class_id=term.elsewhere.id)
    assert there.title == "Rangi in Wednesday juniors"
    assert there.known == "Upper Hall, as known on Wednesday 11 March 2026."


@pytest.mark.parametrize("name", EVERYBODY)
def test_nothing_that_hurts_counts_compares_or_tells_of_others(term, name):
    for text in texts(of(term, name)):
        assert_fit_to_read_aloud(text)
        assert not PRONOUN.search(text), text
        assert not REASON.search(text), text
        assert not re.search(r"[0-9%]", text), text
        assert not [other for other in EVERYBODY if other != name and other in text]


def test_what_rests_is_left_out_and_no_more(term):
    """A restriction, a fall, an age and a withdrawn agreement all leave the same silence."""
    rows = term.rows
    rows.add(Pupil("Yara", clean("seat", role="base", weeks=(2,), spot="hands_on")))
    silent = sections(of(term, "Hana"))
    learned = sections(of(term, "Yara"))["Being learned"]
    assert learned == ("seat on a table as base: with helping hands",)
    Agreement.objects.create(
        school_id=rows.id,
        student_id=term.child("Yara"),
        kind="lifting",
        agreed_on=ON - timedelta(days=9),
        withdrawn_on=ON,
    )
    assert sections(of(term, "Yara")) == silent
    Agreement.objects.all().delete()
    Student.objects.filter(id=term.child("Yara")).update(birth_year=2020)
    assert sections(of(term, "Yara")) == silent
    for part in ("Being learned", "At home"):
        assert sections(of(term, "Amara"))[part]
    rows.fell("Amara", "table", "solo")
    assert not [line for line in texts(of(term, "Amara")) if "able, h" in line]
    Restriction.objects.create(
        school_id=rows.id,
        student_id=term.child("Amara"),
        blocks="solo",
        from_date=ON,
        until=ON,
    )
    assert "At home" not in sections(of(term, "Amara"))


def test_a_page_has_room_for_it_however_much_was_tried(term):
    """Of what does not fit, what was tried longest ago is left out; the rest keeps its order."""
    skills = {
        "chest_rest": ("base", "flyer"),
        "tight": ("solo",),
        "straight_lean": ("partner",),
        "table_hips": ("solo",),
        "table_hands": ("solo",),
        "bridge": ("solo",),
    }
    slots = [(key, role) for key, roles in skills.items() for role in roles]
    term.rows.add(
        Pupil(
            "Yara",
            tuple(
                Tried(key, role, 8 - place, spot="hands_near", outcome="shaky")
                for place, (key, role) in enumerate(slots)
            ),
        )
    )
    learned = sections(of(term, "Yara"))["Being learned"]
    assert [line.partition(":")[0] for line in learned] == [
        "standing tight",
        "table, hips still",
        "table, hands apart",
        "bridge",
        "facing lean held straight",
        "chest rest as flyer",
    ]


def test_a_page_has_room_for_long_lines(term, monkeypatch):
    monkeypatch.setattr(letters, "MOST_LETTERS", 60)
    at_home = sections(of(term, "Amara"))["At home"]
    assert at_home == ("Table, hands apart: with a book on the back",)
    monkeypatch.setattr(letters, "MOST_LETTERS", 10)
    assert len(sections(of(term, "Amara"))["At home"]) == 1


def test_every_reading_is_an_event(term):
    teacher, child = term.rows.teacher, term.child("Amara")
    letters.letter(teacher, student_id=child, at=STARTS)
    page = letters.page(teacher, student_id=child, at=STARTS)
    told = Event.objects.filter(what="read_letter").order_by("id")
    assert [(one.about, one.member_id, one.at, one.details) for one in told] == [
        (child, teacher.member_id, STARTS, {"printed": printed}) for printed in (False, True)
    ]
    body = html.unescape(re.sub(r"<[^>]+>", " ", page.partition("<body>")[2]))
    said = " ".join(body.split())
    for text in texts(of(term, "Amara")):
        assert " ".join(text.split()) in said
    assert said.endswith(CAUTION)
    assert "<script" not in page


def test_a_refusal_leaves_no_event(term):
    for scope, name in ((term.rows.assistant, "Amara"), (term.rows.teacher, "Zola")):
        with pytest.raises((NotAllowed, Unknown)):
            of(term, name, scope)
    assert not Event.objects.filter(what="read_letter").exists()


def test_a_name_that_looks_like_a_page(term):
    term.rows.add(Pupil("<b>Amara</b>"))
    page = letters.page(term.rows.teacher, student_id=term.child("<b>Amara</b>"), at=STARTS)
    assert "<b>" not in page
    assert asdict(of(term, "<b>Amara</b>"))["title"].startswith("<b>")
