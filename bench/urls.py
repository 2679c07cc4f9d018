"""Two bare views beside the service: what the framework and the database cost by themselves."""

import json
from datetime import date
from uuid import UUID

from django.db import connection
from django.urls import include, path
from django.utils import timezone
from psycopg import Cursor
from rest_framework.parsers import JSONParser
from rest_framework.response import Response
from rest_framework.views import APIView

from classes.attempt_rows import STORED_COLUMNS
from classes.attempts import ENTER, MARK
from classes.flags import FACTS
from classes.lessons import lesson_id
from classes.models import Lesson
from classes.sight import LOOKUP

STORED = (
    f"SELECT {', '.join(STORED_COLUMNS)} FROM attempt"  # noqa: S608, names of our own alone
    " WHERE school_id = %(school)s AND id = ANY(%(ids)s)"
)
SAID = {"student_id": "student"}  # column -> what a phone calls it


class Bare(APIView):
    """The same token, the same limits; nothing of ours after that."""

    parser_classes = [JSONParser]
    throttle_by = "member"

    def initial(self, request, *args, **kwargs):
        self.now = timezone.now()  # the authentication and the limits look at it
        super().initial(request, *args, **kwargs)


class OneQuery(Bare):
    def get(self, request, lesson):
        row = Lesson.objects.filter(school_id=request.auth.school_id, id=lesson).values().get()
        return Response(row)


class BatchByHand(Bare):
    """The five statements of a batch of good rows with as little as possible between them."""

    def post(self, request):
        rows = request.data["rows"]
        klass, on = UUID(rows[0]["class"]), date.fromisoformat(rows[0]["local_date"])
        lesson, member = lesson_id(klass, on), request.auth.member_id
        asked = {
            "school": request.auth.school_id,
            "students": list({UUID(row["student"]) for row in rows}),
            "skills": list({UUID(row["skill_id"]) for row in rows}),
            "members": [member],
            "lessons": [lesson],
            "classes": [klass],
            "ids": [UUID(row["id"]) for row in rows],
            "attempts": [UUID(row["attempt"]) for row in rows],
        }
        raw = connection.connection
        with Cursor(raw) as cursor:
            with raw.transaction():
                found = cursor.execute(LOOKUP, asked | {"editions": []}).fetchall()
                edition = next(one[2] for one in found if one[0] == "adoption")
                cursor.execute(STORED, asked).fetchall()
                own = {"edition_id": edition, "lesson_id": lesson, "at": self.now}
                own |= {"received_at": self.now, "member_id": member, "sent_by_id": member}
                own = {name: str(value) for name, value in own.items()}
                entered = [
                    [own.get(name) or row[SAID.get(name, name)] for name in STORED_COLUMNS]
                    for row in rows
                ]
                cursor.execute(ENTER, asked | {"rows": json.dumps(entered)})
                cursor.execute(MARK, asked)
            cursor.execute(FACTS, asked | {"editions": [edition]}).fetchall()
        return Response({"rows": [{"id": row["id"], "status": "stored"} for row in rows]})


urlpatterns = [
    path("bench/one-query/<uuid:lesson>", OneQuery.as_view()),
    path("bench/batch-by-hand", BatchByHand.as_view()),
    path("", include("config.urls")),
]
