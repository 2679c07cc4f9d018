"""Fields and documents that take exactly what they say: no coercion, nothing unknown."""

import math
import unicodedata
from datetime import UTC, date, datetime

from rest_framework import serializers

from accounts.names import composed

YEARS = range(1900, 2200)
GREATEST = 2**31 - 1


class Document(serializers.Serializer):
    """An object of named fields; a name that it does not know is an error."""

    def to_internal_value(self, data):
        unknown = {}
        if isinstance(data, dict):
            error = serializers.ErrorDetail("No such field.", "unknown_field")
            unknown = {str(key): [error] for key in data if key not in self.fields}
        try:
            said = super().to_internal_value(data)
        except serializers.ValidationError as error:
            raise serializers.ValidationError({**error.detail, **unknown}) from None
        if unknown:
            raise serializers.ValidationError(unknown)
        return said


class Text(serializers.CharField):
    """A text of one line in composed characters, its ends trimmed."""

    default_error_messages = {"control": "It holds a character that is no text."}
    breaks = ""

    def to_internal_value(self, data):
        if not isinstance(data, str):
            self.fail("invalid")
        text = composed(super().to_internal_value(data))
        if any(unicodedata.category(letter) in ("Cc", "Cs") for letter in {*text} - {*self.breaks}):
            self.fail("control")
        return text


class Lines(Text):
    """A text of several lines."""

    breaks = "\n"


class Email(serializers.EmailField):
    """The address with which somebody signs in."""

    def __init__(self, **kwargs):
        super().__init__(max_length=254, **kwargs)

    def to_internal_value(self, data):
        if not isinstance(data, str):
            self.fail("invalid")
        return super().to_internal_value(data)


class Password(serializers.CharField):
    """A password as it was typed, but for its ends, as signing in reads it."""

    def __init__(self, **kwargs):
        super().__init__(max_length=200, **kwargs)

    def to_internal_value(self, data):
        if not isinstance(data, str):
            self.fail("invalid")
        return super().to_internal_value(data)


class Key(serializers.RegexField):
    """The key of a skill, a family or a way."""

    def __init__(self, **kwargs):
        super().__init__(r"^[a-z][a-z0-9_]*\Z", max_length=60, **kwargs)

    def to_internal_value(self, data):
        if not isinstance(data, str):
            self.fail("invalid")
        return super().to_internal_value(data)


class OneOf(serializers.ChoiceField):
    """One of a closed list of words."""

    default_error_messages = {"invalid_choice": "It should be one of {choices}."}

    def fail(self, key, **said):
        super().fail(key, **said, choices=", ".join(self.choices))

    def to_internal_value(self, data):
        if not isinstance(data, str):
            self.fail("invalid_choice", input=data)
        return super().to_internal_value(data)


class Id(serializers.UUIDField):
    """A UUID written with dashes."""

    def to_internal_value(self, data):
        if not isinstance(data, str) or len(data) != 36:
            self.fail("invalid", value=data)
        return super().to_internal_value(data)


class Whole(serializers.IntegerField):
    """A whole number; in a query it is written in digits."""

    def __init__(self, **kwargs):
        kwargs.setdefault("max_value", GREATEST)
        kwargs.setdefault("min_value", 0)
        super().__init__(**kwargs)

    def to_internal_value(self, data):
        written = isinstance(data, str) and self.context.get("query")
        if not written and type(data) is not int:
            self.fail("invalid")
        return super().to_internal_value(data)


class Figure(serializers.FloatField):
    """A finite number."""

    def to_internal_value(self, data):
        if type(data) not in (int, float) or abs(data) > 1e12 or not math.isfinite(data):
            self.fail("invalid")
        return float(data)


class Flag(serializers.BooleanField):
    """True or false; in a query it is written as a word."""

    def to_internal_value(self, data):
        if self.context.get("query") and data in ("true", "false"):
            return data == "true"
        if data is not True and data is not False:
            self.fail("invalid", input=data)
        return data


class Day(serializers.DateField):
    """A local date."""

    def to_internal_value(self, data):
        if not isinstance(data, str) or len(data) != 10:
            self.fail("invalid", format="YYYY-MM-DD")
        day = super().to_internal_value(data)
        if day.year not in YEARS:
            self.fail("invalid", format="YYYY-MM-DD")
        return day


class Moment(serializers.DateTimeField):
    """A moment with its offset from UTC."""

    default_error_messages = {"naive": "Give the offset from UTC, such as +01:00 or Z."}

    def to_internal_value(self, data):
        try:
            moment = datetime.fromisoformat(data) if isinstance(data, str) else None
        except ValueError:
            moment = None
        if moment is None or type(moment) is date or moment.year not in YEARS:
            self.fail("invalid", format="ISO 8601")
        if moment.tzinfo is None:
            self.fail("naive")
        return moment.astimezone(UTC)
