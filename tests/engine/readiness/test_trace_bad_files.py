"""Every way a readiness/1 file can be wrong, and where the answer points."""

import json

import pytest

from engine.files import BadFile
from engine.readiness.trace import run_trace
from tests.engine.readiness.documents import GONE, changed, document, row_document

SUM = "should sum to 1, sums to"
SPOT_CHOICE = "should be one of hands_on, hands_near, none"
ISO = "should be a date and time in ISO 8601, such as 2026-03-02T17:05:00Z"

BAD = {
    "not JSON": (
        "{",
        "",
        "not JSON: Expecting property name enclosed in double quotes (line 1, column 2)",
    ),
    "not UTF-8": (b'{"now": "\xff"}', "", "not UTF-8 at byte 9"),
    "a list": ("[]", "", "should be an object"),
    "a key twice": ('{"now": 1, "now": 2}', "/now", 'the key "now" is given twice in one object'),
    "not a number of JSON": ('{"now": NaN}', "/now", "NaN is not a JSON number"),
    "another format": (
        changed("format", to="readiness/2"),
        "/format",
        'should be "readiness/1"',
    ),
    "an unknown key": (
        changed("zone", to="UTC"),
        "/zone",
        "unknown key; known are format, now, parameters, rows",
    ),
    "no parameters": (changed("parameters", to=GONE), "/parameters", "missing"),
    "no rows": (changed("rows", to=GONE), "/rows", "missing"),
    "no now": (changed("now", to=GONE), "/now", "missing"),
    "rows not a list": (changed("rows", to={}), "/rows", "should be a list"),
    "now without offset": (
        changed("now", to="2026-03-20T00:00:00"),
        "/now",
        "needs its offset from UTC, such as Z or +01:00",
    ),
    "now not a moment": (changed("now", to="yesterday"), "/now", ISO),
    "now before the last try": (
        changed("now", to="2026-03-09T17:05:59Z"),
        "/now",
        "should not be before the last try, 2026-03-09T17:06:00+00:00",
    ),
    "parameters not an object": (
        changed("parameters", to=[]),
        "/parameters",
        "should be an object",
    ),
    "unknown parameter": (
        changed("parameters", "slip", to=0.1),
        "/parameters/slip",
        "unknown key; known are emission, forgetting_per_day, practice, prior, spot_given, states",
    ),
    "no states": (changed("parameters", "states", to=GONE), "/parameters/states", "missing"),
    "three states": (
        changed("parameters", "states", to=3),
        "/parameters/states",
        "should be 2 or 4",
    ),
    "states of a half": (
        changed("parameters", "states", to=3.5),
        "/parameters/states",
        "should be a whole number",
    ),
    "no prior": (changed("parameters", "prior", to=GONE), "/parameters/prior", "missing"),
    "prior too short": (
        changed("parameters", "prior", to=[0.5, 0.5]),
        "/parameters/prior",
        "should have 4 items, has 2",
    ),
    "prior does not sum": (
        changed("parameters", "prior", 3, to=0.3),
        "/parameters/prior",
        f"{SUM} 1.1",
    ),
    "prior with a text": (
        changed("parameters", "prior", 0, to="0.35"),
        "/parameters/prior/0",
        "should be a number",
    ),
    "prior with a truth": (
        changed("parameters", "prior", 0, to=True),
        "/parameters/prior/0",
        "should be a number",
    ),
    "prior below zero": (
        changed("parameters", "prior", to=[-0.1, 0.4, 0.4, 0.3]),
        "/parameters/prior/0",
        "should be between 0 and 1",
    ),
    "emission as a list": (
        changed("parameters", "emission", to=[]),
        "/parameters/emission",
        "should be an object",
    ),
    "emission without a spot": (
        changed("parameters", "emission", "hands_near", to=GONE),
        "/parameters/emission/hands_near",
        "missing",
    ),
    "emission of another spot": (
        changed("parameters", "emission", "far", to=[]),
        "/parameters/emission/far",
        "unknown key; known are hands_near, hands_on, none",
    ),
    "emission row does not sum": (
        changed("parameters", "emission", "none", 2, to=[0.5, 0.5, 0.5]),
        "/parameters/emission/none/2",
        f"{SUM} 1.5",
    ),
    "emission row not a list": (
        changed("parameters", "emission", "none", 2, to=0.5),
        "/parameters/emission/none/2",
        "should be a list",
    ),
    "practice row does not sum": (
        changed("parameters", "practice", 1, to=[0, 0.8, 0.1, 0]),
        "/parameters/practice/1",
        f"{SUM} 0.9",
    ),
    "practice goes down": (
        changed("parameters", "practice", 1, to=[0.1, 0.8, 0.1, 0]),
        "/parameters/practice/1/0",
        "should be 0: practice stays or goes up one state",
    ),
    "practice without a row": (
        changed("parameters", "practice", 3, to=GONE),
        "/parameters/practice",
        "should have 4 items, has 3",
    ),
    "forgetting below zero": (
        changed("parameters", "forgetting_per_day", 2, to=-0.1),
        "/parameters/forgetting_per_day/2",
        "should be between 0 and 1e+12",
    ),
    "forgetting below the lowest": (
        changed("parameters", "forgetting_per_day", 0, to=0.1),
        "/parameters/forgetting_per_day/0",
        "should be 0: no state lies below",
    ),
    "spot_given does not sum": (
        changed("parameters", "spot_given", 3, to=[0.2, 0.2, 0.5]),
        "/parameters/spot_given/3",
        f"{SUM} 0.9",
    ),
    "an unknown key of a row": (
        changed("rows", 1, "note", to="x"),
        "/rows/1/note",
        "unknown key; known are attempt, date, happened_at, id, outcome, revision, spot, weight",
    ),
    "a row that is a text": (changed("rows", 1, to="x"), "/rows/1", "should be an object"),
    "a row without id": (changed("rows", 1, "id", to=GONE), "/rows/1/id", "missing"),
    "an empty id": (changed("rows", 1, "id", to=" "), "/rows/1/id", "should not be empty"),
    "no attempt": (changed("rows", 0, "attempt", to=GONE), "/rows/0/attempt", "missing"),
    "an attempt by number": (
        changed("rows", 0, "attempt", to=7),
        "/rows/0/attempt",
        "should be a text",
    ),
    "no revision": (changed("rows", 0, "revision", to=GONE), "/rows/0/revision", "missing"),
    "revision zero": (
        changed("rows", 0, "revision", to=0),
        "/rows/0/revision",
        "should be at least 1",
    ),
    "a revision and a half": (
        changed("rows", 0, "revision", to=1.5),
        "/rows/0/revision",
        "should be a whole number",
    ),
    "no moment": (changed("rows", 0, "happened_at", to=GONE), "/rows/0/happened_at", "missing"),
    "a moment without offset": (
        changed("rows", 0, "happened_at", to="2026-03-02T17:05:00"),
        "/rows/0/happened_at",
        "needs its offset from UTC, such as Z or +01:00",
    ),
    "a moment before all years": (
        changed("rows", 0, "happened_at", to="0001-01-01T00:00:00+02:00"),
        "/rows/0/happened_at",
        "lies outside the years 1 to 9999 in UTC",
    ),
    "a date that is none": (
        changed("rows", 0, "date", to="2026-02-30"),
        "/rows/0/date",
        "should be a date such as 2026-03-02",
    ),
    "no spot": (changed("rows", 0, "spot", to=GONE), "/rows/0/spot", "missing"),
    "another spot": (changed("rows", 0, "spot", to="both hands"), "/rows/0/spot", SPOT_CHOICE),
    "no outcome": (changed("rows", 0, "outcome", to=GONE), "/rows/0/outcome", "missing"),
    "another outcome": (
        changed("rows", 2, "outcome", to="perfect"),
        "/rows/2/outcome",
        "should be one of not_there, shaky, clean, removed",
    ),
    "weight zero": (changed("rows", 2, "weight", to=0), "/rows/2/weight", "should be above 0"),
    "weight above one": (
        changed("rows", 2, "weight", to=1.1),
        "/rows/2/weight",
        "should be at most 1",
    ),
    "an id used again": (
        changed("rows", 2, "id", to="a"),
        "/rows/2/id",
        'id_reused: the id "a" is used for two different rows',
    ),
    "an outcome that cannot be": (
        changed("parameters", "emission", "none", to=[[0.5, 0.5, 0]] * 4),
        "/parameters/emission/none",
        'no_chance: emission leaves no state in which the row "a" could happen',
    ),
    "a spot that is never given": (
        changed("parameters", "spot_given", to=[[0.5, 0.5, 0]] * 4),
        "/parameters/spot_given",
        'no_chance: spot_given leaves no state in which the row "a" could happen',
    ),
}


@pytest.mark.parametrize(("text", "pointer", "message"), BAD.values(), ids=BAD.keys())
def test_a_bad_file_gets_one_line_that_points_at_the_field(text, pointer, message):
    with pytest.raises(BadFile) as caught:
        run_trace(text)
    assert caught.value.pointer == pointer
    assert caught.value.message == message
    assert "\n" not in str(caught.value)


def test_an_id_of_two_lines_is_named_on_one():
    row = row_document("a\nb\x1b")
    same = document(row, {**row, "outcome": "shaky"})
    never = document(row)
    never["parameters"]["emission"]["none"] = [[1, 0, 0]] * 4
    for content, line in (
        (same, r'/rows/1/id: id_reused: the id "a\nb\u001b" is used for two different rows'),
        (
            never,
            "/parameters/emission/none: no_chance: emission leaves no state in which the row"
            r' "a\nb\u001b" could happen',
        ),
    ):
        with pytest.raises(BadFile) as caught:
            run_trace(json.dumps(content))
        assert str(caught.value) == line


def test_the_document_that_is_broken_above_is_fine_as_it_stands():
    assert json.loads(run_trace(changed("now", to="2026-03-09T17:06:00Z")))["counted"] == 3
