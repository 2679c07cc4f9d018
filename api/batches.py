"""What a phone made offline: many rows in one request, each answered by itself."""

from rest_framework import serializers
from rest_framework.response import Response

from api.base import View
from api.errors import TooLarge
from api.fields import Document, Id, OneOf, Whole
from classes import batches

MOST_ROWS = 500


class RowAnswer(Document):
    id = Id(allow_null=True, help_text="Null where the row had none.")
    status = OneOf(batches.STATUSES)
    code = serializers.CharField(required=False)
    pointer = serializers.CharField(required=False, help_text="The field that is at fault.")
    version = Whole(required=False, help_text="Of groups: the version that stands now.")


class RowAnswers(Document):
    rows = RowAnswer(many=True)


class Rows(Document):
    """Any rows: what each holds is judged by itself."""

    rows = serializers.ListField(child=serializers.JSONField(allow_null=True))


def batch_of(row):
    """The body of a batch of such rows, for the contract."""
    return type(f"{row.__name__}Batch", (Document,), {"rows": row(many=True)})


class Batch(View):
    """A view that takes rows; 200 whatever becomes of them, in the order sent."""

    most_rows = MOST_ROWS

    def hand_in(self, shape, store):
        """Answer the rows of the body: those that are of this shape go to `store`, as dicts."""
        rows = self.read(Rows)["rows"]
        if len(rows) > self.most_rows:
            raise TooLarge(f"At most {self.most_rows} rows at once.")
        answers = {}
        good = {}
        for place, row in enumerate(rows):
            said = shape(data=row)
            if said.is_valid():
                good[place] = said.validated_data
            else:
                answers[place] = _invalid(row, said.errors)
        answers |= zip(good, store(list(good.values())), strict=True)
        return self.told([answers[place] for place in range(len(rows))])

    def told(self, answers):
        rows = [told(answer, f"/rows/{place}") for place, answer in enumerate(answers)]
        return Response({"rows": rows})


def _invalid(row, errors):
    """A row that is not of its shape, with the first field that is wrong; it may have no id."""
    id_ = Id(allow_null=True)
    said = row.get("id") if isinstance(row, dict) else None
    try:
        known = id_.run_validation(said)
    except serializers.ValidationError:
        known = None
    field = next(iter(errors))
    pointer = "" if field == "non_field_errors" else f"/{field}"
    return batches.Answer(known, batches.REFUSED, batches.INVALID, pointer)


def told(answer, place=""):
    """What became of a row; `place` leads to it in the body."""
    said = {"id": answer.id, "status": answer.status}
    if answer.code:
        said["code"] = answer.code
    if answer.pointer is not None:
        said["pointer"] = f"{place}{answer.pointer}"
    for name in ("version", "flags"):  # which some answers have
        if getattr(answer, name, None) not in (None, ()):
            said[name] = getattr(answer, name)
    return said
