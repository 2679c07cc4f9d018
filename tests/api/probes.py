"""Routes that exist for tests alone: each shows one thing that all routes share."""

from dataclasses import dataclass

from django.db import OperationalError
from django.urls import path

from accounts.faults import BadDocument, Fault
from accounts.scope import Conflict, NotAllowed, Stale, Unknown
from api.base import View
from api.errors import at
from api.fields import Day, Document, Figure, Flag, Id, Key, Moment, OneOf, Text, Whole
from api.parsers import FileParser
from api.schema import takes

RAISED = {
    "unknown": Unknown("no such lesson"),
    "not_allowed": NotAllowed("a teacher's right"),
    "stale": Stale("somebody else was quicker"),
    "conflict": Conflict("the last head teacher stays"),
    "faults": BadDocument([Fault("/rows/3/skill", "unknown"), Fault("row 4", "no date")]),
    "away": OperationalError("could not connect: secret Amparo 41.73"),
}


class Said(Document):
    """One field of each kind."""

    text = Text(required=False, max_length=5, allow_blank=True)
    key = Key(required=False)
    kind = OneOf(("a", "b"), required=False)
    id = Id(required=False)
    whole = Whole(required=False, max_value=9)
    figure = Figure(required=False)
    flag = Flag(required=False)
    day = Day(required=False)
    moment = Moment(required=False)
    inner = Text(required=False)


class Rows(Document):
    rows = Said(many=True)


class Asked(Document):
    most = Whole(required=False)
    wide = Flag(required=False)


@dataclass(frozen=True)
class Row:
    text: str


class Probe(View):
    @takes(query=Asked)
    def get(self, request):
        said = self.asked(Asked)
        return self.answer_cached({"who": str(self.scope.member_id), "asked": said})

    def post(self, request):
        said = self.read(Rows)
        return self.answer(Rows, {"rows": said["rows"]}, version=3)

    def put(self, request):
        return self.answer(Said, {"whole": self.if_match()})


class Raises(View):
    def get(self, request, what):
        raise RAISED[what]


class Inside(View):
    def get(self, request):
        with at("/student"):
            raise Unknown("a text that tells too much")


class Listed(View):
    @takes(answers=Said, paged=True)
    def get(self, request):
        rows = [Row(f"t{number}") for number in range(5)]
        return self.answer_page(Said, rows, key=lambda row: (row.text,))


class Files(View):
    parser_classes = [FileParser]

    def post(self, request):
        return self.answer(Said, {"whole": len(self.file())})


class Late(Probe):
    late_members = True


class Slow(Probe):
    a_minute = 2


class Broken(View):
    def get(self, request):
        raise RuntimeError("Amparo 41.73")


urlpatterns = [
    path("probe", Probe.as_view()),
    path("raises/<what>", Raises.as_view()),
    path("inside", Inside.as_view()),
    path("listed", Listed.as_view()),
    path("files", Files.as_view()),
    path("late", Late.as_view()),
    path("slow", Slow.as_view()),
    path("broken", Broken.as_view()),
]
handler404 = "api.errors.not_found"
handler500 = "api.errors.broken"


def post(client, body, content_type="application/json", to="/probe"):
    return client.generic("POST", to, body, content_type=content_type)


def errors(response):
    """Place, code and text of everything that a refusal names."""
    return [
        (one.get("pointer", one.get("parameter")), one["code"], one["detail"])
        for one in response.json()["errors"]
    ]
