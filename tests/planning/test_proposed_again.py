"""Groups proposed again out of those that were kept."""

from dataclasses import replace

from planning.least_change import proposed_again
from planning.proposals import propose
from tests.planning.build import FOUR, LEANS, Pupil, evening, pupils
from tests.planning.by_names import formed


def without(tonight, name):
    return replace(tonight, here=tuple(one for one in tonight.here if one.name != name))


def again(tonight, *pairs, **same):
    before = formed(*({"partner": pair} for pair in pairs), **same)
    return proposed_again(tonight, tonight.edition.cards["lean"], before)


def said(found):
    return [" ".join(child.name for child in group.children) for group in found.groups]


def test_they_stay_as_far_as_they_can():
    four = evening(*pupils(*FOUR, tries=LEANS))
    assert said(again(four, "Amara Tariq", "Bao Hana")) == ["Amara Tariq", "Bao Hana"]
    assert said(again(without(four, "Bao"), "Amara Tariq", "Bao Hana")) == ["Amara Tariq"]
    assert said(again(four)) == said(propose(four, four.edition.cards["lean"]))


def test_who_was_put_there_by_hand_stays_and_is_asked_about():
    tonight = evening(*pupils("Amara", "Bao", tries=LEANS), Pupil("Nguyệt"))
    found = again(tonight, "Bao Nguyệt")
    assert said(found) == ["Bao Nguyệt"]
    assert [ask.code for ask in found.groups[0].asks] == ["not_ready"]
    assert said(propose(tonight, tonight.edition.cards["lean"])) == ["Amara Bao"]
