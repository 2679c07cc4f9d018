"""A class or a child on the map: what the sheet says of her, in the same words."""

from collections import Counter
from dataclasses import asdict

import pytest

from accounts.scope import NotAllowed, Unknown
from classes.attendance import Entered
from classes.models import Enrolment
from curriculum import maps
from planning.child_lines import child_lines
from planning.map_overlays import HELP, class_map, student_map
from tests.planning.build import STARTS, Pupil, clean
from tests.planning.read_aloud import assert_fit_to_read_aloud

CLASS = ("Amara", "Bao", "Demba", "Hana", "Rangi")


def of(term, name, scope=None, **said):
    return student_map(scope or term.rows.teacher, student_id=term.child(name), at=STARTS, **said)


def of_class(term, scope=None, klass=None, at=STARTS):
    klass = klass or term.rows.klass
    return class_map(scope or term.rows.teacher, class_id=klass.id, at=at)


def roles(told):
    return {(one.skill, role.role): role for one in told.skills for role in one.roles}


def texts(value):
    if isinstance(value, dict):
        return [text for one in value.values() for text in texts(one)]
    if isinstance(value, list | tuple):
        return [text for one in value for text in texts(one)]
    return [value] if isinstance(value, str) else []


def test_a_child_stands_where_the_sheet_says_and_in_its_words(term):
    term.rows.say_yes("Hana", "chest_rest", "flyer")
    term.rows.fell("Bao", "chest_rest", "base")
    evening = term.rows.load(as_of=STARTS)
    cards = evening.edition.cards
    entered = {one.id: Entered(one.id, one.name, one.trial, False) for one in evening.listed}
    seen = Counter()
    for line in child_lines(evening, entered):
        told = roles(of(term, line.name))
        assert [*told] == [(one.skill, one.role) for one in line.skills]
        for one in line.skills:
            here = told[one.skill, one.role]
            assert here.says == one.says
            assert cards[one.skill].skill.habit or here.word == one.help
            goes = one.ready and not one.stopped
            assert (here.stands in ("goes_on", "may_begin")) is goes
            assert (here.stands == "not_for_now") is one.stopped
            seen[here.help, here.stands] += 1
    assert {help_ for help_, _ in seen} == {"not_tried", "hands_near", "no_spot"}
    assert {stands for _, stands in seen} == {"goes_on", "may_begin", "missing", "not_for_now"}
    assert_fit_to_read_aloud(" ".join(texts(asdict(of(term, "Amara")))))


def test_a_few_of_them_by_hand(term):
    term.rows.attended("Amara", "not_today")  # that is for an evening, not for a map
    term.rows.say_yes("Hana", "chest_rest", "flyer")
    told = of(term, "Amara")
    assert (told.student.name, told.klass.name) == ("Amara", "Tuesday beginners")
    assert (told.studio.name, told.edition.number) == ("Sellane Harbour", 2)
    assert (told.as_of, told.as_of.tzinfo.key) == (STARTS, "Europe/Lisbon")
    assert told.known == "As known at 17:00 on 10 March, from tries up to 3 March."
    amara, hana = roles(told), roles(of(term, "Hana"))

    def line(one):
        return one.help, one.word, one.stands, one.says

    assert line(amara["stop_word", "partner"]) == (
        "no_spot",
        "there",
        "goes_on",
        "goes on: with no spot so far, last seen on 24 February",
    )
    assert line(hana["stop_word", "partner"])[:2] == ("not_tried", "not there yet")
    assert line(amara["bridge", "solo"])[2:] == (
        "not_for_now",
        "not for now: no back bends until 3 May",
    )
    assert line(hana["chest_rest", "flyer"]) == (
        "not_tried",
        "not tried yet",
        "may_begin",
        "a teacher has said yes to begin",
    )
    assert line(hana["lean", "partner"])[2:] == (
        "missing",
        "missing is the stop word, not tried yet",
    )


def test_a_child_is_told_of_where_she_is_taught(term):
    """Rangi dances in two studios, one with the first edition; Nguyệt has left."""
    told = of(term, "Rangi", term.rows.head, class_id=term.elsewhere.id)
    assert (told.klass.name, told.edition.number) == ("Wednesday juniors", 1)
    assert ("line", "front") in roles(told)
    assert of(term, "Nguyệt").edition.number == 1  # in use on her last day
    with pytest.raises(Unknown, match="no class of hers"):
        of(term, "Hana", class_id=term.elsewhere.id)
    with pytest.raises(Unknown, match="no such child"):
        of(term, "Zola")
    for page in (of, of_class):
        with pytest.raises(NotAllowed):
            page(*(term, "Amara")[: 1 + (page is of)], scope=term.rows.assistant)


def test_a_class_is_told_in_counts_and_nobody_by_name(term):
    told = of_class(term)
    assert (told.klass.name, told.edition.number, told.children) == ("Tuesday beginners", 2, 5)
    one = roles(told)["chest_rest", "base"]
    assert one.says == "two not tried yet and three with no spot"
    assert [(count.help, count.word, count.children) for count in one.counts] == [
        ("not_tried", "not tried yet", 2),
        ("not_yet", "not started", 0),
        ("hands_on", "with hands on", 0),
        ("hands_near", "with hands near", 0),
        ("no_spot", "with no spot", 3),
    ]
    habit = roles(told)["stop_word", "partner"]
    assert habit.says == "three not there yet and two there; three may begin"
    assert {key: one.begun for key, one in roles(told).items() if one.begun != "nobody"} == {
        ("stop_word", "partner"): "some",
        ("tight", "solo"): "some",
        ("table_hips", "solo"): "some",
        ("table_hands", "solo"): "some",
        ("bridge", "solo"): "some",
        ("lean", "partner"): "some",
        ("chest_rest", "base"): "most",
        ("chest_rest", "flyer"): "some",
    }
    said = " ".join(texts(asdict(told)))
    assert_fit_to_read_aloud(said)
    assert not any(name in said for name in CLASS)
    with pytest.raises(Unknown, match="no such class"):
        of_class(term, klass=term.elsewhere)


def test_a_class_counts_what_its_children_are_told(term):
    each = [roles(of(term, name)) for name in CLASS]
    for key, one in roles(of_class(term)).items():
        needed = Counter(child[key].help for child in each)
        assert {count.help: count.children for count in one.counts} == {
            help_: needed[help_] for help_ in HELP
        }
        assert one.may_begin == sum(child[key].stands == "may_begin" for child in each)


def test_a_visitor_is_not_counted_and_a_class_of_nobody_has_a_map(term):
    term.rows.add(Pupil("Aurelio", clean("tight")))
    Enrolment.objects.filter(student_id=term.child("Aurelio")).update(group_class=term.elsewhere)
    term.rows.attended("Aurelio", "here")
    assert of_class(term).children == 5
    Enrolment.objects.filter(group_class=term.rows.klass).delete()
    told = of_class(term)
    assert told.children == 0
    assert {(one.begun, one.says) for one in roles(told).values()} == {("nobody", "")}


def test_every_place_of_an_overlay_is_on_the_map_of_its_edition(term):
    told = of_class(term)
    nodes = {one.key: one for one in maps.of_edition(term.rows.head, number=2).nodes}
    for one in told.skills:
        assert {role.role for role in one.roles} == {*nodes[one.skill].roles} - {"spotter"}
