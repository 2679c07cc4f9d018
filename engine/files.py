"""Reading the project's JSON formats strictly, with a pointer to every fault.

A `Node` is one value of a parsed document together with its JSON pointer (RFC 6901). Its
readers either give a checked Python value or raise `BadFile`, whose text is one line that names
the place and says what is wrong.
"""

from __future__ import annotations

import json
import math
from collections.abc import Iterator
from datetime import UTC, date, datetime
from typing import NoReturn

MAX_DEPTH = 200  # far deeper than any real prerequisite tree, far from the recursion limit
MAX_INTEGER_DIGITS = 300  # beyond this an integer does not fit a double anyway

_NO_INSTANT = "should be a date and time in ISO 8601, such as 2026-03-02T17:05:00Z"


class BadFile(ValueError):
    """A document breaks its format.

    `pointer` is the JSON pointer of the field ("" is the whole document), `message` says what is
    wrong. `str()` is one line, whatever characters the keys and texts of the document have.
    """

    def __init__(self, pointer: str, message: str) -> None:
        self.pointer = pointer
        self.message = message
        super().__init__(_printable(f"{pointer or '/'}: {message}"))


def load_json(text: bytes | str, *, deepest: int = MAX_DEPTH) -> Node:
    """Parse one JSON document.

    Refuses what JSON parsers often let through: bytes that are not UTF-8, a key given twice, NaN
    and Infinity, numbers beyond a double, NUL and lone surrogates in texts, and nesting deeper
    than `deepest`. Raises `BadFile`.
    """
    if isinstance(text, bytes):
        try:
            text = text.decode("utf-8-sig")
        except UnicodeDecodeError as error:
            raise BadFile("", f"not UTF-8 at byte {error.start}") from None
    _check_depth(text, deepest)
    try:
        value = json.loads(
            text,
            object_pairs_hook=_unique_keys,
            parse_constant=_no_constant,
            parse_int=_integer,
        )
    except json.JSONDecodeError as error:
        raise BadFile(
            "", f"not JSON: {error.msg} (line {error.lineno}, column {error.colno})"
        ) from None
    node = Node(value)
    _check_values(node)
    return node


def _check_depth(text: str, deepest: int) -> None:
    depth = 0
    in_text = escaped = False
    for character in text:
        if in_text:
            if escaped:
                escaped = False
            elif character == "\\":
                escaped = True
            elif character == '"':
                in_text = False
        elif character == '"':
            in_text = True
        elif character in "[{":
            depth += 1
            if depth > deepest:
                raise BadFile("", f"nested deeper than {deepest}")
        elif character in "]}":
            depth -= 1


class _Fault(str):
    """What is wrong with a value, in its place until `_check_values` knows the pointer."""


def _unique_keys(pairs: list[tuple[str, object]]) -> dict[str, object]:
    result: dict[str, object] = {}
    for key, value in pairs:
        if key in result:
            value = _Fault(f"the key {json.dumps(key)} is given twice in one object")
        result[key] = value
    return result


def _no_constant(name: str) -> _Fault:
    return _Fault(f"{name} is not a JSON number")


def _integer(digits: str) -> int | _Fault:
    count = len(digits.lstrip("-"))
    if count > MAX_INTEGER_DIGITS:
        return _Fault(f"a number of {count} digits")
    return int(digits)


def _check_values(node: Node) -> None:
    value = node.value
    if isinstance(value, _Fault):
        node.fail(value)
    elif isinstance(value, str):
        _check_text(node.pointer, value)
    elif isinstance(value, float) and not math.isfinite(value):
        raise BadFile(node.pointer, "a number too large")
    elif isinstance(value, list):
        for child in node.items():
            _check_values(child)
    elif isinstance(value, dict):
        for key in value:
            _check_text(node.pointer, key)
            _check_values(node[key])


def _check_text(pointer: str, text: str) -> None:
    if "\x00" in text or any("\ud800" <= character <= "\udfff" for character in text):
        raise BadFile(pointer, "a text with NUL or half a surrogate pair")


class Node:
    """One value of a document and the JSON pointer to it."""

    __slots__ = ("pointer", "value")

    def __init__(self, value: object, pointer: str = "") -> None:
        self.value = value
        self.pointer = pointer

    def fail(self, message: str) -> NoReturn:
        raise BadFile(self.pointer, message)

    # -- objects and lists -------------------------------------------------------------------

    def mapping(self, *, allowed: frozenset[str] | None = None) -> dict[str, Node]:
        """The members of an object, in the document's order; refuses keys not in `allowed`."""
        if not isinstance(self.value, dict):
            self.fail("should be an object")
        members = {key: self._child(key, value) for key, value in self.value.items()}
        if allowed is not None:
            for key, member in members.items():
                if key not in allowed:
                    member.fail(f"unknown key; known are {', '.join(sorted(allowed))}")
        return members

    def __getitem__(self, key: str) -> Node:
        """A required member of an object."""
        if not isinstance(self.value, dict):
            self.fail("should be an object")
        if key not in self.value:
            raise BadFile(f"{self.pointer}/{_escape(key)}", "missing")
        return self._child(key, self.value[key])

    def get(self, key: str) -> Node | None:
        """An optional member of an object: None when absent or null."""
        if not isinstance(self.value, dict):
            self.fail("should be an object")
        value = self.value.get(key)
        return None if value is None else self._child(key, value)

    def items(self, *, length: int | None = None) -> Iterator[Node]:
        """The items of a list; `length` demands an exact number of them."""
        if not isinstance(self.value, list):
            self.fail("should be a list")
        if length is not None and len(self.value) != length:
            self.fail(f"should have {length} items, has {len(self.value)}")
        for index, value in enumerate(self.value):
            yield Node(value, f"{self.pointer}/{index}")

    def _child(self, key: str, value: object) -> Node:
        return Node(value, f"{self.pointer}/{_escape(key)}")

    # -- values ------------------------------------------------------------------------------

    def text(self, *, empty: bool = False) -> str:
        if not isinstance(self.value, str):
            self.fail("should be a text")
        if not empty and not self.value.strip():
            self.fail("should not be empty")
        return self.value

    def choice(self, allowed: tuple[str, ...]) -> str:
        text = self.text()
        if text not in allowed:
            self.fail(f"should be one of {', '.join(allowed)}")
        return text

    def boolean(self) -> bool:
        if not isinstance(self.value, bool):
            self.fail("should be true or false")
        return self.value

    def integer(self, *, low: int | None = None, high: int | None = None) -> int:
        """A whole number (2.0 counts as 2) within `low` and `high`."""
        number = self._number(low=low, high=high)
        if number != int(number):
            self.fail("should be a whole number")
        return int(number)

    def number(
        self,
        *,
        low: float | None = None,
        high: float | None = None,
        above: float | None = None,
    ) -> float:
        """A number with `low` <= number <= `high` and number > `above`, as a double."""
        return float(self._number(low=low, high=high, above=above))

    def _number(
        self,
        *,
        low: float | None = None,
        high: float | None = None,
        above: float | None = None,
    ) -> int | float:
        # Compared before it becomes a double: 2**53 + 1 is above 2**53.
        number = self.value
        if isinstance(number, bool) or not isinstance(number, int | float):
            self.fail("should be a number")
        if low is not None and number < low:
            self.fail(f"should be at least {_plain(low)}")
        if above is not None and number <= above:
            self.fail(f"should be above {_plain(above)}")
        if high is not None and number > high:
            self.fail(f"should be at most {_plain(high)}")
        return number

    def instant(self) -> datetime:
        """A moment in ISO 8601 with its offset from UTC; it also exists in UTC."""
        text = self.text()
        # Python takes any character for the T, and a date alone for midnight.
        if "T" not in text:
            self.fail(_NO_INSTANT)
        try:
            moment = datetime.fromisoformat(text)
        except ValueError:
            self.fail(_NO_INSTANT)
        if moment.tzinfo is None:
            self.fail("needs its offset from UTC, such as Z or +01:00")
        try:
            moment.astimezone(UTC)
        except OverflowError:
            self.fail("lies outside the years 1 to 9999 in UTC")
        return moment

    def day(self) -> date:
        """A calendar date, YYYY-MM-DD."""
        text = self.text()
        try:
            day = date.fromisoformat(text)
        except ValueError:
            day = None
        # Python also takes 20260302 and the day of a week, 2026-W10-1.
        if day is None or day.isoformat() != text:
            self.fail("should be a date such as 2026-03-02")
        return day


def _escape(key: str) -> str:
    return key.replace("~", "~0").replace("/", "~1")


def _plain(bound: float) -> str:
    return str(int(bound)) if bound == int(bound) else str(bound)


def _printable(text: str) -> str:
    return "".join(
        character if character.isprintable() else json.dumps(character)[1:-1] for character in text
    )
