"""Documents written by hand: strict YAML, checked against a committed JSON Schema.

YAML is read as what it looks like: no aliases, no tags, no key twice, no YAML 1.1 surprises
(`no` stays a text, 012 stays a text, 12:30 stays a text).
"""

import json
import re
from functools import cache
from pathlib import Path

import yaml
from jsonschema import Draft202012Validator, ValidationError
from jsonschema.validators import extend

from accounts.faults import BadDocument, Fault
from engine.files import BadFile, load_json

MAX_BYTES = 2_000_000  # a curriculum of 1000 skills in depth is about half of it
MAX_DEPTH = 60
MAX_VALUES = 250_000  # the same curriculum, keys counted too, is about 190 000
MAX_FAULTS = 1000  # nobody mends more in one go
# What only an escape in quotes can bring: no database takes all of it as text.
NO_TEXT = re.compile("[\x00-\x08\x0b-\x1f\x7f-\x9f\ud800-\udfff]")
NOT_TEXT = "a control character or half a character is not allowed"


def read_json(content: bytes, *, deepest: int) -> object:
    """This will read one JSON document as strictly as the project's own formats are read.

    Raises `BadDocument` with the first thing that is wrong.
    """
    try:
        return load_json(content, deepest=deepest).value
    except BadFile as bad:
        raise BadDocument([Fault(bad.pointer, bad.message)]) from None


def text_faults(document: object) -> list[Fault]:
    """This will list the texts of a JSON document that no YAML could bring: an escape can."""
    found, pending = [], [("", document)]
    while pending:
        place, value = pending.pop()
        if isinstance(value, str) and NO_TEXT.search(value):
            found.append(Fault(place, NOT_TEXT))
        elif isinstance(value, dict | list):
            inside = value.items() if isinstance(value, dict) else enumerate(value)
            pending += [(place + _step(step), inner) for step, inner in inside]
    return sorted(found)


class _Loader(yaml.SafeLoader):
    depth = values = 0

    def compose_node(self, parent, index):
        if self.check_event(yaml.AliasEvent):
            self._refuse("an alias (*name) is not allowed")
        event = self.peek_event()
        if event.anchor is not None:
            self._refuse("an anchor (&name) is not allowed")
        # An explicit tag is the only way to leave the plain types.
        if event.tag is not None:
            self._refuse(f"a tag ({event.tag}) is not allowed")
        if isinstance(event, yaml.ScalarEvent) and NO_TEXT.search(event.value):
            self._refuse(NOT_TEXT)
        self.depth += 1
        if self.depth > MAX_DEPTH:
            self._refuse(f"nested deeper than {MAX_DEPTH}")
        self.values += 1
        if self.values > MAX_VALUES:
            self._refuse(f"more than {MAX_VALUES} keys and values")
        node = super().compose_node(parent, index)
        self.depth -= 1
        return node

    def construct_mapping(self, node, deep=False):
        keys = set()
        for key_node, _ in node.value:
            if not isinstance(key_node, yaml.ScalarNode):
                self._refuse("a key should be a text", key_node.start_mark)
            if key_node.value in keys:
                self._refuse(f"the key “{key_node.value}” is given twice", key_node.start_mark)
            keys.add(key_node.value)
        return {key.value: self.construct_object(value, deep=True) for key, value in node.value}

    def _refuse(self, message, mark=None):
        raise yaml.MarkedYAMLError(
            problem=message, problem_mark=mark or self.peek_event().start_mark
        )


# The core schema of YAML 1.2, which reads numbers and booleans as people expect.
_Loader.yaml_implicit_resolvers = {}
for _tag, _pattern, _first in (
    ("bool", r"true|false", "tf"),
    ("null", r"null|~|", ["n", "~", ""]),
    ("int", r"-?(0|[1-9][0-9]{0,17})", "-0123456789"),
    ("float", r"-?(0|[1-9][0-9]{0,17})\.[0-9]{1,18}", "-0123456789"),
):
    _Loader.add_implicit_resolver(
        f"tag:yaml.org,2002:{_tag}", re.compile(f"^(?:{_pattern})$"), list(_first)
    )
_Loader.add_constructor(
    "tag:yaml.org,2002:map", lambda loader, node: loader.construct_mapping(node, deep=True)
)


def read_yaml(content: bytes) -> object:
    """Parse one strict YAML document. Raises `BadDocument` with line and column."""
    if len(content) > MAX_BYTES:
        raise BadDocument([Fault("the file", f"larger than {MAX_BYTES} bytes")])
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise BadDocument([Fault(f"byte {error.start}", "not UTF-8")]) from None
    try:
        return yaml.load(text, Loader=_Loader)  # noqa: S506 - a subclass of the safe loader
    except yaml.MarkedYAMLError as error:
        mark = error.problem_mark or error.context_mark
        place = f"line {mark.line + 1}, column {mark.column + 1}" if mark else "the file"
        raise BadDocument([Fault(place, error.problem or "not YAML")]) from None
    except yaml.YAMLError as error:
        raise BadDocument([Fault("the file", f"not YAML: {error}".splitlines()[0])]) from None


def _unique_items(validator, wanted, items, schema):
    """The library compares each item with every other, which takes hours for a long list."""
    texts = [json.dumps(item, sort_keys=True) for item in items] if isinstance(items, list) else []
    if wanted and len({*texts}) < len(texts):
        yield ValidationError("has an item twice")


@cache
def _validator(path: Path):
    validator = extend(Draft202012Validator, {"uniqueItems": _unique_items})
    return validator(json.loads(path.read_text(encoding="utf-8")))


def schema_faults(document: object, *, schema: Path) -> list[Fault]:
    """This will list everything in which a document breaks a JSON Schema, sorted by place.

    Of more than `MAX_FAULTS` the first are named and the others counted.
    """
    found: set[Fault] = set()
    for error in _validator(schema).iter_errors(document):
        found.update(_explain(error))
    faults = sorted(found)
    if len(faults) <= MAX_FAULTS:
        return faults
    more = len(faults) - MAX_FAULTS
    return [*faults[:MAX_FAULTS], Fault("the file", f"and {more} faults more")]


def _step(part):
    """One step of a JSON pointer."""
    return "/" + str(part).replace("~", "~0").replace("/", "~1")


def _explain(error):
    pointer = "".join(map(_step, error.absolute_path))
    kind, value = error.validator, error.validator_value
    if kind == "oneOf":
        if isinstance(error.instance, dict):
            yield from _explain_tree(error, pointer)
        return
    if kind == "required":
        for key in value:
            if isinstance(error.instance, dict) and key not in error.instance:
                yield Fault(f"{pointer}/{key}", "missing")
        return
    if kind == "additionalProperties":
        known = error.schema.get("properties", {})
        for key in error.instance:
            if key not in known:
                yield Fault(pointer + _step(key), f"unknown key; known are {', '.join(known)}")
        return
    if kind == "type":
        names = [value] if isinstance(value, str) else value
        yield Fault(pointer or "/", f"should be {' or '.join(_TYPES[name] for name in names)}")
        return
    messages = {
        "const": f"should be {value}",
        "enum": f"should be one of {', '.join(map(str, value)) if isinstance(value, list) else ''}",
        "pattern": "should not be empty"
        if value == "\\S"
        else "should be lower-case letters, digits and _, beginning with a letter",
        "minLength": "should not be empty",
        "maxLength": f"longer than {value} characters",
        "minimum": f"should be at least {value}",
        "maximum": f"should be at most {value}",
        "exclusiveMinimum": f"should be above {value}",
        "minItems": "should not be empty" if value == 1 else f"should have {value} items",
        "maxItems": f"more than {value} items",
        "minProperties": "should not be empty",
        "maxProperties": f"more than {value} entries",
        "uniqueItems": "has an item twice",
    }
    if error.schema_path and "propertyNames" in error.schema_path:
        pointer += _step(error.instance)
    yield Fault(pointer or "/", messages.get(kind) or error.message)


def _explain_tree(error, pointer):
    """The faults of the branch that the writer meant: the one whose marking key is there."""
    for branch, mark in enumerate(("all_of", "any_of", "skill")):
        if mark in error.instance:
            for inner in error.context:
                if inner.schema_path[0] == branch:
                    yield from _explain(inner)
            return
    yield Fault(pointer or "/", "should have all_of, any_of, or skill and help")


_TYPES = {
    "object": "a mapping",
    "array": "a list",
    "string": "a text",
    "integer": "a whole number",
    "number": "a number",
    "boolean": "true or false",
}
