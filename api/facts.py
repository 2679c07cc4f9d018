"""Dated facts that a form brings: up to 200 rows, of which all are entered or none."""

from api.base import View
from api.fields import Document, Id

MOST_ROWS = 200


class EnteredRow(Document):
    id = Id()


class EnteredRows(Document):
    """The ids in the order sent; what stood already keeps its id."""

    rows = EnteredRow(many=True)


def rows_of(row):
    """The body that brings such rows."""
    rows = row(many=True, max_length=MOST_ROWS, help_text=f"At most {MOST_ROWS}, all or none.")
    return type(f"{row.__name__}Rows", (Document,), {"rows": rows})


class FactView(View):
    """A view whose POST enters rows."""

    def enter(self, body, enter):
        """Hand the rows of such a body to a noun, and answer with their ids."""
        ids = enter(self.scope, rows=self.read(body)["rows"], at=self.now)
        return self.answer(EnteredRows, {"rows": [{"id": id_} for id_ in ids]}, status=201)
