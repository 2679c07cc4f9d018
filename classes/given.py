"""What the ids of a form of facts mean: children, skills and roles, one evening."""

from collections.abc import Mapping, Sequence
from datetime import date, datetime
from uuid import UUID

from django.db.models import QuerySet

from accounts.scope import Conflict, Scope, Unknown, days_now
from accounts.tables import Cells
from classes import lessons
from classes.classes import ClassView, classes
from classes.named import Named, Taught
from classes.students import visible

UNKNOWN = "unknown"  # whether it is not there or not hers to see
CHILDREN = ("student", "base", "flyer", "a", "b")


class Given(Named):
    """The ids that the rows of a form may use; skills are named by their key or id.

    A row with a `lesson` speaks of that evening alone, and of the edition in use there.
    """

    def __init__(self, scope: Scope, *, rows: Sequence[Mapping[str, object]], on: date) -> None:
        super().__init__(scope, on=on)
        asked = {row[name] for row in rows for name in CHILDREN if name in row}
        self._children = visible(scope, student_ids=asked)
        self._classes = classes(scope)

    def student(self, cells: Cells, column: str = "student") -> UUID | None:
        id_ = UUID(cells.text(column, required=True))
        if id_ not in self._children:
            cells.fault(column, UNKNOWN)
            return None
        return id_

    def skill(
        self, cells: Cells, column: str = "skill", *, on: date | None = None
    ) -> Taught | None:
        """A skill by its key or id, as it is taught in the row's lesson; else as for a file."""
        text = cells.text(column, required=True)
        klass, later = self._class(cells), max(on or self._on, self._on)
        for key, skill in self._taught_on(klass, on if klass and on else later).items():
            if text in (key, str(skill.id)):
                return skill
        cells.fault(column, UNKNOWN)
        return None

    def only_evening(self, cells: Cells, column: str, on: date | None) -> UUID | None:
        if cells.text("lesson") is None or on is None:
            return None
        klass = self._class(cells)
        if klass is None:
            cells.fault("lesson", UNKNOWN)
            return None
        return self._lesson(cells, column, klass, on)

    def near(self, stored: QuerySet, *columns: str) -> QuerySet:
        return stored.filter(**{f"{column}__in": self._children for column in columns})

    def _class(self, cells: Cells) -> ClassView | None:
        """The class of the row's lesson, which need not be stored: its id tells class and day."""
        text, on = cells.text("lesson"), cells.day("given_on")
        if text is None or on is None:
            return None
        return next((k for k in self._classes if str(lessons.lesson_id(k.id, on)) == text), None)


def need(scope: Scope, *, student_id: UUID) -> None:
    """This will raise `Unknown` for a child who is not in sight."""
    if not visible(scope, student_ids=[student_id]):
        raise Unknown("no such child")


def need_today(scope: Scope, *, on: date, at: datetime) -> None:
    """This will raise `Conflict` for what is of a day that is over in all studios in scope."""
    if on < min(days_now(scope, at=at)):
        raise Conflict(f"it is of {on}: only what is of today or later can be taken back")
