"""Files of tries and dated facts, as the commands load them: loaded whole or not at all."""

from django.urls import path
from rest_framework.exceptions import ErrorDetail, ValidationError

from accounts.scope import Unknown
from api.base import View
from api.fields import Day, Document, Flag, Id, Text, Whole
from api.parsers import FileParser
from api.schema import takes
from classes import (
    agreements,
    attendance,
    falls,
    history,
    pair_checks,
    restrictions,
    seen_before,
    wishes,
    yeses,
)
from classes.classes import find


class FileQuery(Document):
    dry_run = Flag(required=False, help_text="Check and count only.")


class EveningFileQuery(FileQuery):
    vars()["class"] = Id(required=False, help_text="Of whose evening the rows of one evening are.")


class ClassFileQuery(FileQuery):
    vars()["class"] = Id()


class SeenBeforeQuery(ClassFileQuery):
    on = Day(help_text="The day on which this was so.")


class Loaded(Document):
    mapping = Text(help_text="How the headers were understood.")
    new = Whole()
    changed = Whole()
    standing = Whole()


class FactFile(View):
    """A table as CSV or workbook; every fault at once with its row and column."""

    parser_classes = [FileParser]
    load = None

    @takes(file=True, query=FileQuery, answers=Loaded)
    def post(self, request):
        return self.take(FileQuery)

    def take(self, query):
        said = self.asked(query)
        class_id = said.get("class")
        about = {} if class_id is None else {"klass": self._class(class_id)}
        about |= {name: said[name] for name in ("on",) if name in said}
        dry_run = said.get("dry_run", False)
        loaded = self.load(self.scope, content=self.file(), at=self.now, dry_run=dry_run, **about)
        return self.answer(Loaded, loaded)

    def _class(self, class_id):
        try:
            return find(self.scope, class_id=class_id)
        except Unknown:
            raise ValidationError({"?": {"class": ErrorDetail("unknown", "invalid")}}) from None


class EveningFile(FactFile):
    @takes(file=True, query=EveningFileQuery, answers=Loaded)
    def post(self, request):
        return self.take(EveningFileQuery)


class ClassFile(FactFile):
    @takes(file=True, query=ClassFileQuery, answers=Loaded)
    def post(self, request):
        return self.take(ClassFileQuery)


class SeenBeforeFile(FactFile):
    @takes(file=True, query=SeenBeforeQuery, answers=Loaded)
    def post(self, request):
        """A grid of children and skills: what a class could do before anything was logged."""
        return self.take(SeenBeforeQuery)


def _path(noun, kind, load):
    """Each path has a view of its own, after which the contract names the operation."""
    name = "".join(word.capitalize() for word in noun.split("-")) + "File"
    view = type(name, (kind,), {"load": staticmethod(load)})
    return path(f"files/{noun}", view.as_view(), name=f"file-{noun}")


FILES = {
    "agreements": (FactFile, agreements.load),
    "attempts": (ClassFile, history.load),
    "attendance": (ClassFile, attendance.load),
    "falls": (FactFile, falls.load),
    "pair-checks": (EveningFile, pair_checks.load),
    "restrictions": (FactFile, restrictions.load),
    "seen-before": (SeenBeforeFile, seen_before.load),
    "wishes": (FactFile, wishes.load),
    "yeses": (EveningFile, yeses.load),
}
urls = [_path(noun, *found) for noun, found in FILES.items()]
