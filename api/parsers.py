"""Bodies from outside: JSON in UTF-8, bounded in size and depth, unambiguous; and raw files."""

import json
import math

from rest_framework.exceptions import ParseError, UnsupportedMediaType
from rest_framework.parsers import BaseParser

from api.errors import TooLarge

MOST_JSON = 256 * 1024
MOST_FILE = 2 * 1024 * 1024
DEEPEST = 20


def read_bounded(stream, most: int) -> bytes:
    """At most `most` bytes of a stream. Raises `TooLarge`."""
    content = stream.read(most + 1)
    if len(content) > most:
        raise TooLarge()
    return content


class JSONParser(BaseParser):
    """An object in JSON. Duplicate names, NaN, NUL and half of a surrogate pair are refused."""

    media_type = "application/json"

    def parse(self, stream, media_type=None, parser_context=None):
        charset = (parser_context or {}).get("encoding", "utf-8")
        if charset.lower() not in ("utf-8", "utf8"):
            raise UnsupportedMediaType(media_type)
        try:
            text = read_bounded(stream, MOST_JSON).decode("utf-8")
        except UnicodeDecodeError:
            raise ParseError("the body is no UTF-8") from None
        _check_depth(text)
        try:
            document = json.loads(
                text,
                object_pairs_hook=_once,
                parse_constant=_no_constant,
                parse_float=_finite,
            )
        except ValueError as error:
            raise ParseError(f"the body is no JSON: {_said(error)}") from None
        if not isinstance(document, dict):
            raise ParseError("the body should be a JSON object")
        _check_texts(document)
        return document


class FileParser(BaseParser):
    """A file as bytes: a table or a YAML document, read by the noun it belongs to."""

    media_type = "*/*"
    READ = (
        "text/csv",
        "application/yaml",
        "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
    )

    def parse(self, stream, media_type=None, parser_context=None):
        if (media_type or "").split(";")[0].strip().lower() not in self.READ:
            raise UnsupportedMediaType(media_type)
        return read_bounded(stream, MOST_FILE)


def _said(error):
    """Where a decoder stumbled; never what stands there."""
    if isinstance(error, json.JSONDecodeError):
        return f"line {error.lineno}, column {error.colno}"
    return str(error) if isinstance(error, _Refused) else "a number is too long"


class _Refused(ValueError):
    pass


def _check_depth(text):
    depth = 0
    in_text = escaped = False
    for letter in text:
        if in_text:
            if escaped:
                escaped = False
            elif letter == "\\":
                escaped = True
            elif letter == '"':
                in_text = False
        elif letter == '"':
            in_text = True
        elif letter in "[{":
            depth += 1
            if depth > DEEPEST:
                raise ParseError(f"nested deeper than {DEEPEST}")
        elif letter in "]}":
            depth -= 1


def _once(pairs):
    found = dict(pairs)
    if len(found) < len(pairs):
        raise _Refused("a name is given twice in one object")
    return found


def _no_constant(name):
    raise _Refused(f"{name} is no number")


def _finite(text):
    number = float(text)
    if not math.isfinite(number):
        raise _Refused("a number is too large")
    return number


def _check_texts(value):
    if isinstance(value, str):
        if "\x00" in value or any("\ud800" <= letter <= "\udfff" for letter in value):
            raise ParseError("a text holds a character that is no text")
    elif isinstance(value, dict):
        for name, inner in value.items():
            _check_texts(name)
            _check_texts(inner)
    elif isinstance(value, list):
        for inner in value:
            _check_texts(inner)
