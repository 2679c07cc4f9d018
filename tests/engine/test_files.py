import json
from datetime import UTC, date, datetime, timedelta, timezone

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.files import MAX_DEPTH, MAX_INTEGER_DIGITS, BadFile, Node, load_json


def refused(read):
    """Pointer and message of what `read` refuses."""
    with pytest.raises(BadFile) as caught:
        read()
    return caught.value.pointer, caught.value.message


def node(value):
    return load_json(json.dumps(value))


# -- documents -----------------------------------------------------------------------------------


def test_a_document_is_read_from_text_or_bytes():
    assert load_json('{"a": [1, "þ"]}').value == {"a": [1, "þ"]}
    assert load_json('{"a": [1, "þ"]}'.encode()).value == {"a": [1, "þ"]}
    assert load_json(b"\xef\xbb\xbf[]").value == []
    assert load_json("[]").pointer == ""


json_values = st.recursive(
    st.none()
    | st.booleans()
    | st.integers(-(10**MAX_INTEGER_DIGITS) + 1, 10**MAX_INTEGER_DIGITS - 1)
    | st.floats(allow_nan=False, allow_infinity=False)
    | st.text(st.characters(exclude_categories=["Cs"], exclude_characters="\0")),
    lambda inner: (
        st.lists(inner, max_size=4)
        | st.dictionaries(
            st.text(st.characters(exclude_categories=["Cs"], exclude_characters="\0")),
            inner,
            max_size=4,
        )
    ),
    max_leaves=20,
)


@given(json_values, st.booleans())
def test_whatever_json_can_say_comes_back(value, ascii_only):
    assert load_json(json.dumps(value, ensure_ascii=ascii_only).encode()).value == value


@given(st.binary() | st.text())
def test_anything_else_is_refused_in_one_line(content):
    try:
        load_json(content)
    except BadFile as refusal:
        assert str(refusal).isprintable()


BAD_DOCUMENTS = {
    "not UTF-8": (b'{"a": "\xe9"}', "", "not UTF-8 at byte 7"),
    "UTF-16": ("[1]".encode("utf-16"), "", "not UTF-8 at byte 0"),
    "nothing": ("", "", "not JSON: Expecting value (line 1, column 1)"),
    "cut off": ('{"a":\n [1, ', "", "not JSON: Expecting value (line 2, column 6)"),
    "more than one": ("[] []", "", "not JSON: Extra data (line 1, column 4)"),
    "single quotes": (
        "{'a': 1}",
        "",
        "not JSON: Expecting property name enclosed in double quotes (line 1, column 2)",
    ),
    "a key twice": (
        '{"a": 1, "b": {"c": 1, "c": 1}}',
        "/b/c",
        'the key "c" is given twice in one object',
    ),
    "a key twice, spelt apart": (
        '{"\\u0061": 1, "a": 1}',
        "/a",
        'the key "a" is given twice in one object',
    ),
    "NaN": ("[NaN]", "/0", "NaN is not a JSON number"),
    "Infinity": ("[Infinity]", "/0", "Infinity is not a JSON number"),
    "-Infinity": ("[-Infinity]", "/0", "-Infinity is not a JSON number"),
    "a number beyond a double": ('{"a": [0, 1e999]}', "/a/1", "a number too large"),
    "a number below every double": ('{"a": -1e999}', "/a", "a number too large"),
    "an integer too long in its place": (
        '{"a": [' + "1" * 301 + "]}",
        "/a/0",
        "a number of 301 digits",
    ),
    "an integer too long": ("1" * 301, "", "a number of 301 digits"),
    "a negative integer too long": ("-" + "1" * 301, "", "a number of 301 digits"),
    "NUL": ('{"a": ["b\\u0000"]}', "/a/0", "a text with NUL or half a surrogate pair"),
    "the first half of a pair": ('["\\ud800"]', "/0", "a text with NUL or half a surrogate pair"),
    "the last of the halves": ('["\\udfff"]', "/0", "a text with NUL or half a surrogate pair"),
    "NUL in a key": ('[{"\\u0000": 1}]', "/0", "a text with NUL or half a surrogate pair"),
    "half a pair in a key": ('{"\\udc00": 1}', "", "a text with NUL or half a surrogate pair"),
}


@pytest.mark.parametrize(("text", "pointer", "message"), BAD_DOCUMENTS.values(), ids=BAD_DOCUMENTS)
def test_bad_documents(text, pointer, message):
    assert refused(lambda: load_json(text)) == (pointer, message)


def test_a_whole_pair_of_surrogates_is_one_character():
    assert load_json('["\\ud83d\\ude00"]').value == ["\U0001f600"]
    assert load_json('["\\ud7ff\\ue000"]').value == ["\ud7ff\ue000"]


def test_how_long_an_integer_may_be():
    for text in ("1" * MAX_INTEGER_DIGITS, "-" + "1" * MAX_INTEGER_DIGITS):
        assert load_json(text).value == int(text)
        assert load_json(text).number() == float(text)


@pytest.mark.parametrize(("start", "end"), [("[", "]"), ('{"a":', "}")])
def test_how_deep_a_document_may_be(start, end):
    load_json(start * MAX_DEPTH + "1" + end * MAX_DEPTH)
    deeper = start * (MAX_DEPTH + 1) + "1" + end * (MAX_DEPTH + 1)
    assert refused(lambda: load_json(deeper)) == ("", "nested deeper than 200")
    assert refused(lambda: load_json("[" * 1_000_000)) == ("", "nested deeper than 200")


def test_brackets_within_texts_and_side_by_side_are_not_deep():
    brackets = "[{" * MAX_DEPTH
    assert load_json(json.dumps([brackets])).value == [brackets]
    assert load_json(json.dumps([f'\\"{brackets}'])).value == [f'\\"{brackets}']
    wide = [[[]] for _ in range(MAX_DEPTH)] + [{"a": {}} for _ in range(MAX_DEPTH)]
    assert load_json(json.dumps(wide)).value == wide


def test_a_closed_bracket_gives_one_level_back():
    deep = "[" * (MAX_DEPTH - 1) + "[]," * 3
    assert refused(lambda: load_json(deep + "[[")) == ("", "nested deeper than 200")
    assert refused(lambda: load_json(deep + "["))[1].startswith("not JSON")


def test_a_bracket_after_a_text_that_ends_in_a_backslash_counts():
    deep = '["\\\\",' * (MAX_DEPTH + 1)
    assert refused(lambda: load_json(deep)) == ("", "nested deeper than 200")


# -- what a refusal says -------------------------------------------------------------------------


def test_a_refusal_is_one_line_with_pointer_and_message():
    assert str(BadFile("/a/0", "missing")) == "/a/0: missing"
    assert str(BadFile("", "missing")) == "/: missing"
    assert isinstance(BadFile("", ""), ValueError)


def test_a_key_cannot_break_the_line():
    refusal = BadFile("/a\nb\x1b[2J\x7f\u2028ü c", "unknown key")
    assert str(refusal) == "/a\\nb\\u001b[2J\\u007f\\u2028ü c: unknown key"
    assert refusal.pointer == "/a\nb\x1b[2J\x7f\u2028ü c"


def test_pointers_escape_as_rfc_6901_says():
    # The examples of RFC 6901, section 5.
    document = node({"foo": ["bar", "baz"], "": 0, "a/b": 1, "c%d": 2, "m~n": 8, " ": 7})
    members = document.mapping()
    assert [member.pointer for member in members.values()] == [
        "/foo",
        "/",
        "/a~1b",
        "/c%d",
        "/m~0n",
        "/ ",
    ]
    assert [item.pointer for item in members["foo"].items()] == ["/foo/0", "/foo/1"]
    assert document["a/b"].pointer == document.get("a/b").pointer == "/a~1b"
    assert node({"~1": 0})["~1"].pointer == "/~01"


# -- objects and lists ---------------------------------------------------------------------------


def test_members_of_an_object():
    document = node({"b": 1, "a": None})
    assert {key: member.value for key, member in document.mapping().items()} == {"b": 1, "a": None}
    assert list(document.mapping(allowed=frozenset({"a", "b", "c"}))) == ["b", "a"]
    assert document["b"].value == 1
    assert document["a"].value is None
    assert document.get("b").value == 1
    assert document.get("a") is None
    assert document.get("c") is None
    assert node({"a": 0, "b": False, "c": ""}).get("a").value == 0
    assert node({"a": 0, "b": False, "c": ""}).get("b").value is False


def test_members_that_are_not_right():
    document = node({"a": {"x": 1, "y": 2}})
    assert refused(lambda: document["a"].mapping(allowed=frozenset({"z", "x"}))) == (
        "/a/y",
        "unknown key; known are x, z",
    )
    assert refused(lambda: document["b"]) == ("/b", "missing")
    assert refused(lambda: document["a"]["b/c"]) == ("/a/b~1c", "missing")


@pytest.mark.parametrize("value", [None, 1, "a", ["a"], True])
def test_what_is_no_object(value):
    document = node({"a": value})["a"]
    expected = ("/a", "should be an object")
    assert refused(document.mapping) == expected
    assert refused(lambda: document["a"]) == expected
    assert refused(lambda: document.get("a")) == expected


def test_items_of_a_list():
    document = node([1, "a"])
    assert [item.value for item in document.items()] == [1, "a"]
    assert [item.value for item in document.items(length=2)] == [1, "a"]
    assert list(node([]).items(length=0)) == []
    assert refused(lambda: list(document.items(length=1))) == ("", "should have 1 items, has 2")
    assert refused(lambda: list(document.items(length=3))) == ("", "should have 3 items, has 2")


@pytest.mark.parametrize("value", [None, 1, "ab", {"a": 1}, True])
def test_what_is_no_list(value):
    assert refused(lambda: list(node({"a": value})["a"].items())) == ("/a", "should be a list")


# -- values --------------------------------------------------------------------------------------


def test_texts():
    assert node(" a ").text() == " a "
    assert node("").text(empty=True) == ""
    assert node(" ").text(empty=True) == " "
    for empty in ("", " ", "\t\n", "\u00a0"):
        assert refused(node(empty).text) == ("", "should not be empty")
    for value in (None, 1, [], {}, True):
        assert refused(node(value).text) == ("", "should be a text")
        assert refused(lambda value=value: node(value).text(empty=True)) == ("", "should be a text")


def test_choices():
    assert node("b").choice(("a", "b")) == "b"
    for value in ("c", "B", "b ", "a, b"):
        assert refused(lambda value=value: node(value).choice(("a", "b"))) == (
            "",
            "should be one of a, b",
        )
    assert refused(lambda: node(1).choice(("1",))) == ("", "should be a text")


def test_booleans():
    assert node(True).boolean() is True
    assert node(False).boolean() is False
    for value in (0, 1, "true", None, []):
        assert refused(node(value).boolean) == ("", "should be true or false")


@pytest.mark.parametrize(
    ("text", "number"),
    [("0", 0), ("-7", -7), ("2.0", 2), ("1e3", 1000), ("-0.0", 0), (str(2**53 + 1), 2**53 + 1)],
)
def test_integers(text, number):
    found = load_json(text).integer()
    assert found == number
    assert type(found) is int


@pytest.mark.parametrize("text", ["0.5", "-1.0000001", "1e-9"])
def test_what_is_no_integer(text):
    assert refused(load_json(text).integer) == ("", "should be a whole number")


def test_numbers():
    assert node(2).number() == 2.0
    assert type(node(2).number()) is float
    assert node(0.5).number() == 0.5


@pytest.mark.parametrize("value", [None, True, False, "1", [], {}])
def test_what_is_no_number(value):
    assert refused(node(value).number) == ("", "should be a number")
    assert refused(node(value).integer) == ("", "should be a number")


@pytest.mark.parametrize(
    ("value", "bounds", "message"),
    [
        (1, {"low": 1}, None),
        (0.999, {"low": 1}, "should be at least 1"),
        (1, {"high": 1}, None),
        (1.001, {"high": 1}, "should be at most 1"),
        (1.001, {"above": 1}, None),
        (1, {"above": 1}, "should be above 1"),
        (0, {"above": 0, "high": 1}, "should be above 0"),
        (0, {"low": 0, "high": 0}, None),
        (0.1, {"high": 0.05}, "should be at most 0.05"),
        (-0.1, {"low": 0}, "should be at least 0"),
        (0.5, {"low": 1.0}, "should be at least 1"),
        (0.1, {"high": 0}, "should be at most 0"),
        (3_000_000_000, {"high": 2_147_483_647}, "should be at most 2147483647"),
        (2**53 + 1, {"high": 2**53}, "should be at most 9007199254740992"),
    ],
)
def test_bounds_of_numbers(value, bounds, message):
    if message is None:
        assert node(value).number(**bounds) == value
    else:
        assert refused(lambda: node({"a": value})["a"].number(**bounds)) == ("/a", message)


def test_bounds_of_integers():
    assert node(1).integer(low=1, high=1) == 1
    assert refused(lambda: node(0).integer(low=1)) == ("", "should be at least 1")
    assert refused(lambda: node(2).integer(high=1)) == ("", "should be at most 1")
    assert refused(lambda: node(2**53 + 1).integer(high=2**53)) == (
        "",
        "should be at most 9007199254740992",
    )


@pytest.mark.parametrize(
    ("text", "moment"),
    [
        ("2026-03-02T17:05:00Z", datetime(2026, 3, 2, 17, 5, tzinfo=UTC)),
        ("2026-03-02T17:05Z", datetime(2026, 3, 2, 17, 5, tzinfo=UTC)),
        ("20260302T170500Z", datetime(2026, 3, 2, 17, 5, tzinfo=UTC)),
        (
            "2026-03-02T17:05:00.25+01:30",
            datetime(2026, 3, 2, 17, 5, 0, 250_000, timezone(timedelta(hours=1, minutes=30))),
        ),
        ("0001-01-01T00:00:00-00:01", datetime(1, 1, 1, 0, 1, tzinfo=UTC)),
        ("9999-12-31T23:59:59+00:01", datetime(9999, 12, 31, 23, 58, 59, tzinfo=UTC)),
    ],
)
def test_moments(text, moment):
    assert node(text).instant() == moment


def test_a_moment_keeps_its_offset():
    assert node("2026-03-02T17:05:00+02:00").instant().utcoffset() == timedelta(hours=2)


@pytest.mark.parametrize(
    "text",
    [
        "tonight",
        "2026-03-02",
        "2026-03-02 17:05:00Z",
        "2026-03-02x17:05:00Z",
        "2026-02-30T17:05:00Z",
        "2026-03-02T25:00:00Z",
        "2026-03-02T17:05:00+24:00",
        "T",
    ],
)
def test_what_is_no_moment(text):
    assert refused(node(text).instant) == (
        "",
        "should be a date and time in ISO 8601, such as 2026-03-02T17:05:00Z",
    )


def test_moments_that_python_could_not_compare():
    assert refused(node("2026-03-02T17:05:00").instant) == (
        "",
        "needs its offset from UTC, such as Z or +01:00",
    )
    for text in ("0001-01-01T00:00:00+00:01", "9999-12-31T23:59:59-00:01"):
        assert refused(node(text).instant) == ("", "lies outside the years 1 to 9999 in UTC")
    assert refused(node(20260302).instant) == ("", "should be a text")


def test_days():
    assert node("2026-03-02").day() == date(2026, 3, 2)
    assert node("2028-02-29").day() == date(2028, 2, 29)


@pytest.mark.parametrize(
    "text",
    ["2026-02-29", "20260302", "2026-W10-1", "2026-3-2", "02.03.2026", "2026-03-02 ", "soon"],
)
def test_what_is_no_day(text):
    assert refused(node(text).day) == ("", "should be a date such as 2026-03-02")


def test_a_day_is_a_text():
    assert refused(node(20260302).day) == ("", "should be a text")
    assert refused(node("").day) == ("", "should not be empty")


def test_a_reader_names_its_own_place():
    assert refused(lambda: Node(1, "/a").fail("is odd")) == ("/a", "is odd")
