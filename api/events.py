"""The register of who did or read what about whom."""

from datetime import datetime
from uuid import UUID

from django.urls import path
from rest_framework import serializers
from rest_framework.exceptions import NotFound
from rest_framework.response import Response

from accounts import events
from api.base import View
from api.fields import Document, Id, Key, Moment
from api.pages import USUAL, PageQuery, cursor_of, place_of
from api.schema import page, takes


class EventsQuery(PageQuery):
    what = Key(required=False, help_text="Such as change_policy.")
    about = Id(required=False)
    member = Id(required=False, source="member_id")


class Event(Document):
    id = Id()
    at = Moment()
    member = Id(source="member_id", allow_null=True, help_text="Null: a job.")
    what = Key()
    about = Id(allow_null=True)
    details = serializers.DictField(help_text="Ids, keys and numbers; never a name.")


class Events(View):
    @takes(query=EventsQuery, answers=page(Event))
    def get(self, request):
        """The register, the newest first. It is read by head teachers and changed by nobody."""
        asked = self.asked(EventsQuery)
        limit, cursor = asked.pop("limit", USUAL), asked.pop("cursor", None)
        before = None if cursor is None else _place(cursor)
        found = events.events(self.scope, most=limit + 1, before=before, **asked)
        rows, more = found[:limit], len(found) > limit
        following = cursor_of((rows[-1].at.isoformat(), str(rows[-1].id))) if more else None
        return Response({"rows": Event(rows, many=True).data, "next": following})


def _place(cursor):
    at, id_ = place_of(cursor, like=("", ""))
    try:
        moment, event_id = datetime.fromisoformat(at), UUID(id_)
    except ValueError:
        raise NotFound from None
    if moment.tzinfo is None:
        raise NotFound
    return moment, event_id


urls = [path("events", Events.as_view(), name="events")]
