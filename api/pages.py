"""Pages of long lists: a cursor is the place of the last row that was handed out."""

import base64
import binascii
import json
from collections.abc import Callable, Sequence

from rest_framework import serializers
from rest_framework.exceptions import NotFound

from api.fields import Document, Whole

MOST = 500
USUAL = 100
LONGEST_CURSOR = 600


class PageQuery(Document):
    """Which part of a list is asked for."""

    limit = Whole(required=False, min_value=1, max_value=MOST)
    cursor = serializers.CharField(required=False, max_length=LONGEST_CURSOR)


def cursor_of(place: Sequence) -> str:
    """A place, a tuple of JSON values, as the text of a cursor."""
    text = json.dumps(list(place), separators=(",", ":"))
    return base64.urlsafe_b64encode(text.encode()).decode().rstrip("=")


def place_of(cursor: str, *, like: Sequence | None = None) -> tuple:
    """The place that a cursor stands for. Raises `NotFound` for one that was never handed out."""
    try:
        padded = cursor + "=" * (-len(cursor) % 4)
        place = json.loads(base64.b64decode(padded, altchars=b"-_", validate=True))
    except (ValueError, binascii.Error, RecursionError):
        raise NotFound() from None
    if not isinstance(place, list) or any("\x00" in one for one in place if isinstance(one, str)):
        raise NotFound()
    if like is not None and [type(one) for one in place] != [type(one) for one in like]:
        raise NotFound()
    return tuple(place)


def page_of(request, rows: Sequence, *, key: Callable) -> tuple[Sequence, str | None]:
    """The page of rows, sorted by `key`, that a request asks for, and the next cursor."""
    said = PageQuery(
        data={
            name: request.query_params[name]
            for name in ("limit", "cursor")
            if name in request.query_params
        },
        context={"query": True},
    )
    if not said.is_valid():
        raise serializers.ValidationError({"?": said.errors})
    limit = said.validated_data.get("limit", USUAL)
    if "cursor" in said.validated_data:
        after = place_of(said.validated_data["cursor"], like=key(rows[0]) if rows else None)
        rows = [row for row in rows if key(row) > after]
    page = rows[:limit]
    return page, cursor_of(key(page[-1])) if len(rows) > limit else None
