"""Bodies from outside: JSON in UTF-8, bounded in size and depth, unambiguous; and raw files."""

from rest_framework.exceptions import ParseError, UnsupportedMediaType
from rest_framework.parsers import BaseParser

from api.errors import TooLarge
from curriculum.documents import read_json

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
        document = read_json(read_bounded(stream, MOST_JSON), deepest=DEEPEST)
        if not isinstance(document, dict):
            raise ParseError("the body should be a JSON object")
        return document


class JSONFileParser(BaseParser):
    """A document in JSON as bytes, read by the noun it belongs to."""

    media_type = "application/json"

    def parse(self, stream, media_type=None, parser_context=None):
        return read_bounded(stream, MOST_JSON)


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
