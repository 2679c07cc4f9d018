"""Kept apart, kept together: for teachers alone, to the end of a term, never why."""

from django.urls import path
from rest_framework.response import Response

from api.base import View
from api.facts import EnteredRows, FactView, rows_of
from api.fields import Day, Document, Id, OneOf
from api.schema import takes
from classes import wishes


class NewWish(Document):
    a = Id()
    b = Id()
    kind = OneOf(wishes.WISH_KINDS)
    vars()["from"] = Day(help_text="A day in a term.")
    until = Day(required=False, allow_null=True, help_text="At most the term's last day.")


class Wish(Document):
    id = Id()
    a = Id()
    b = Id()
    kind = OneOf(wishes.WISH_KINDS)
    vars()["from"] = Day(source="from_date")
    until = Day()


class WishEnd(Document):
    until = Day(help_text="The last day.")


class WishQuery(Document):
    student = Id(required=False, source="student_id")


NewWishes = rows_of(NewWish)


class Wishes(FactView):
    @takes(query=WishQuery, answers=Wish, paged=True)
    def get(self, request):
        """The wishes about two children in sight, ended ones too, by their first day."""
        found = wishes.listed(self.scope, **self.asked(WishQuery))
        return self.answer_page(Wish, found, key=lambda row: (str(row.from_date), str(row.id)))

    @takes(body=NewWishes, answers=EnteredRows, status=201)
    def post(self, request):
        """Two children cannot be kept apart and together on one day."""
        return self.enter(NewWishes, wishes.wish)


class OneWish(View):
    @takes(body=WishEnd, status=204)
    def patch(self, request, wish):
        """Move the last day of a wish."""
        wishes.move_end(self.scope, wish_id=wish, at=self.now, **self.read(WishEnd))
        return Response(status=204)

    @takes(status=204, also=(409,))
    def delete(self, request, wish):
        """Take back what was entered by mistake, on its first day or before."""
        wishes.take_back(self.scope, wish_id=wish, at=self.now)
        return Response(status=204)


urls = [
    path("wishes", Wishes.as_view(), name="wishes"),
    path("wishes/<uuid:wish>", OneWish.as_view(), name="wish"),
]
