"""What the texts of a file of facts mean: children, skills and roles, staff, one evening."""

import difflib
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from functools import cache, cached_property
from uuid import UUID

from django.db.models import Model, QuerySet

from accounts.faults import FARTHEST_YEARS
from accounts.models import ASSISTANT
from accounts.names import folded
from accounts.scope import Scope
from accounts.staff import staff
from accounts.tables import Cells
from classes import lessons
from classes.classes import WEEKDAYS, ClassView
from classes.students import UnknownStudent, directory
from curriculum import editions
from curriculum.models import ROLES

LONGEST_NAME = 120  # of a card
SPOTTER = "spotter"


@dataclass(frozen=True)
class Taught:
    """A skill as the curriculum in use has it; `roles` are those that somebody can have in it."""

    id: UUID
    key: str
    name: str
    roles: tuple[str, ...]


class Named:
    """The names that a file may use, as known `on` a day; each method notes faults on the cells.

    `klass` narrows the skills to the edition in use at its studio, and is the class of whose
    evening a row may speak.
    """

    def __init__(self, scope: Scope, *, on: date, klass: ClassView | None = None) -> None:
        self._scope, self._on, self._klass = scope, on, klass
        self._taught_on = cache(lambda klass, on: taught(scope, on=on, klass=klass))
        self._evenings: dict[UUID, tuple[ClassView, date, str | None]] = {}
        self._staff = cache(
            lambda on: {folded(name): one for name, one in staff(scope, on=on).items()}
        )

    @cached_property
    def _directory(self):
        return directory(self._scope)

    def day(self, cells: Cells, column: str, *, required: bool = False) -> date | None:
        """A date that somebody can have meant."""
        value = cells.day(column, required=required)
        if value is not None and abs(value.year - self._on.year) > FARTHEST_YEARS:
            cells.fault(column, f"{value} is more than {FARTHEST_YEARS} years from now")
            return None
        return value

    def student(self, cells: Cells, column: str = "student") -> UUID | None:
        text = cells.text(column, required=True)
        if text is None:
            return None
        try:
            return self._directory.find(text)
        except UnknownStudent as error:
            cells.fault(column, str(error))
            return None

    def skill(
        self, cells: Cells, column: str = "skill", *, on: date | None = None
    ) -> Taught | None:
        """A skill by its key or by the name on its card; `on` a later day, as it is taught then."""
        text = cells.text(column, required=True, longest=LONGEST_NAME)
        if text is None:
            return None
        known = self._taught_on(self._klass, max(on or self._on, self._on))
        found = {
            key: skill
            for key, skill in known.items()
            if text.casefold() in (key, skill.name.casefold())
        }
        if len(found) == 1:
            return next(iter(found.values()))
        if found:
            cells.fault(column, f"“{text}” may be {' or '.join(sorted(found))}: write which")
            return None
        names = {skill.name.casefold(): skill.name for skill in known.values()}
        close = difflib.get_close_matches(text.casefold(), names, n=2, cutoff=0.5)
        advice = f"; close to it: {', '.join(names[name] for name in close)}" if close else ""
        cells.fault(column, f"the curriculum in use has no skill “{text}”{advice}")
        return None

    def role(self, cells: Cells, skill: Taught | None, column: str = "role") -> str | None:
        role = cells.choice(column, ROLES, required=True)
        if role is None or skill is None:
            return role
        if role not in skill.roles:
            has = ", ".join(skill.roles)
            cells.fault(column, f"{skill.name} has no role {role}; it has {has}")
            return None
        return role

    def teacher(self, cells: Cells, column: str, on: date | None) -> UUID | None:
        """A teacher on the staff that day by name, whatever the case; whoever loads the file where
        it is empty.
        """
        name = cells.text(column)
        if name is None:
            return self._scope.member_id
        if on is None:
            return None
        colleague = self._staff(on).get(folded(name))
        if colleague is None:
            cells.fault(column, f"nobody called “{name}” was on the staff on {on}")
            return None
        if colleague.role == ASSISTANT:
            cells.fault(column, f"{colleague.name} is an assistant: a teacher's right")
            return None
        return colleague.id

    def lesson(self, cells: Cells, column: str, on: date | None) -> UUID | None:
        """The lesson of the class on a day that a column gave."""
        return None if on is None else self._lesson(cells, column, self._klass, on)

    def _lesson(self, cells, column, klass, on):
        id_ = lessons.lesson_id(klass.id, on)
        if id_ not in self._evenings:
            self._evenings[id_] = klass, on, _no_lesson(self._scope, klass, on)
        *_, why_not = self._evenings[id_]
        if why_not:
            cells.fault(column, why_not)
            return None
        return id_

    def only_evening(self, cells: Cells, column: str, on: date | None) -> UUID | None:
        """The lesson for whose evening alone a row holds, where `tonight` says so."""
        if not cells.flag("tonight"):
            return None
        if self._klass is None:
            cells.fault("tonight", "for one evening only: say of which class")
            return None
        return self.lesson(cells, column, on)

    def ensure_evenings(self, rows: Iterable[Model]) -> None:
        """This will see to it that the lessons exist to which rows given for one evening point."""
        for id_ in sorted({row.lesson_id for row in rows if row.lesson_id}):
            klass, on, _ = self._evenings[id_]
            lessons.ensure(self._scope, klass=klass, on=on)

    def near(self, stored: QuerySet, *columns: str) -> QuerySet:
        """Of the stored rows those that may be meant: with so many names, all of them."""
        return stored


def taught(scope: Scope, *, on: date, klass: ClassView | None = None) -> dict[str, Taught]:
    """This will list the skills of the editions in use on a day, at the class's studio or at all
    studios in scope, by key.
    """
    studio_ids = [klass.studio_id] if klass else editions.studios(scope).values()
    found: dict[str, Taught] = {}
    for studio_id in studio_ids:
        edition = editions.in_use(scope, studio_id=studio_id, on=on)
        for key, card in edition.cards.items() if edition else ():
            roles = {*card.skill.roles, *(found[key].roles if key in found else ())}
            if card.spotted:
                roles.add(SPOTTER)
            found[key] = Taught(
                id=edition.skill_ids[key],
                key=key,
                name=card.name,
                roles=tuple(role for role in ROLES if role in roles),
            )
    return found


def _no_lesson(scope, klass, on):
    """Why the class does not meet on a day, or None."""
    closed = lessons.closed(scope, klass=klass, on=on)
    if closed and on.weekday() != klass.weekday:
        meets, day = WEEKDAYS[klass.weekday], WEEKDAYS[on.weekday()]
        return f"{klass.name} meets on {meets}s, {on} is a {day}"
    return f"no lesson on {on}: {closed}" if closed else None
