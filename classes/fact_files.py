"""Tables of dated facts about children, from a file or a form: one way in for all of them.

A noun says how a row becomes a row of its model. Here the rows are read, compared with what
stands, and handed back whole, or refused with every fault at once.
"""

import re
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Self

from django.db.models import Model

from accounts.faults import BadDocument, Fault
from accounts.models import School
from accounts.scope import Scope
from accounts.tables import Cells, Column, Row, match, read_grid

REASONS = {"reason", "reasons", "why", "cause", "note", "notes", "comment", "comments", "diagnosis"}

Parse = Callable[[Cells], Model]
Check = Callable[[Cells, Model, Model | None], None]


@dataclass(frozen=True)
class Loaded:
    """What a file did, or in a dry run would do: rows that are new, change one, or stand already.

    `mapping` is one line that says how the headers were understood.
    """

    mapping: str
    new: int
    changed: int
    standing: int


@dataclass(frozen=True)
class Facts:
    """The rows of a table beside what stands; nothing is saved yet.

    `rows` are all of them in the table's order, of those that stand the standing ones.
    """

    mapping: str
    rows: tuple[Model, ...]
    new: tuple[Model, ...]
    changed: tuple[Model, ...]
    says: tuple[str, ...]

    def save(self) -> None:
        """This will store what is new and what changed; call it inside a transaction."""
        if self.new:
            type(self.new[0]).objects.bulk_create(self.new)
        if self.changed:
            type(self.changed[0]).objects.bulk_update(self.changed, self.says)

    def counts(self) -> Loaded:
        new, changed = len(self.new), len(self.changed)
        return Loaded(self.mapping, new, changed, len(self.rows) - new - changed)


class FormCells(Cells):
    """The values of one row of a form; `place` is the pointer to it."""

    def __init__(self, row: Row, faults: list[Fault], place: str) -> None:
        super().__init__(row, faults)
        self.place = place

    def fault(self, name: str, message: str) -> None:
        self.faults.append(Fault(f"{self.place}/{name}", message))


@dataclass(frozen=True)
class Lines:
    """The rows that somebody brings, each with where it stands; `faults` is what they share."""

    cells: tuple[tuple[str, Cells], ...]
    faults: list[Fault]
    mapping: str = ""

    @classmethod
    def of_file(cls, content: bytes, columns: Sequence[Column], *, never_why: bool = False) -> Self:
        """The rows of a table. With `never_why` a column for reasons is refused by its name.

        Raises `BadDocument` for what is no table or has other columns.
        """
        grid = read_grid(content)
        faults = list(_reason_faults(grid[0])) if never_why else []
        try:
            table = match(grid, columns)
        except BadDocument as error:
            raise BadDocument([*faults, *error.faults]) from None
        cells = tuple((f"row {row.number}", Cells(row, faults)) for row in table.rows)
        return cls(cells, faults, table.say_mapping())

    @classmethod
    def of_form(cls, rows: Sequence[Mapping[str, object]], *, place: str = "/rows/{}") -> Self:
        """The rows of a form, its values by the names of a file's columns; None says nothing.

        `place` makes the pointer to a row of its index.
        """
        faults: list[Fault] = []
        cells = []
        for index, row in enumerate(rows):
            texts = {name: str(value) for name, value in row.items() if value is not None}
            where = place.format(index)
            cells.append((where, FormCells(Row(index, texts, {}), faults, where)))
        return cls(tuple(cells), faults)

    def beside(
        self,
        *,
        stored: Iterable[Model],
        key: Sequence[str],
        says: Sequence[str],
        parse: Parse,
        check: Check | None = None,
    ) -> Facts:
        """This will read the rows into rows of one model and compare them with those stored.

        `key` are the attributes that make two rows speak of one fact, `says` those that a later
        row may change. `parse` makes an unsaved row of a table's cells and notes faults on them;
        `check` then sees the row beside the one that stands (or None) and may note faults or
        fill in what the table leaves open.

        Raises `BadDocument` with the faults in the table's order.
        """
        by_fact = {_values(row, key): row for row in stored}
        first: dict[tuple, str] = {}
        rows, new, changed = [], [], []
        for place, cells in self.cells:
            before = len(self.faults)
            row = parse(cells)
            # A row with a fault may lack half of its values: it is not compared with anything.
            if len(self.faults) > before:
                continue
            fact = _values(row, key)
            if first.setdefault(fact, place) != place:
                self.faults.append(Fault(place, f"about the same as {first[fact]}"))
                continue
            known = by_fact.get(fact)
            if check:
                check(cells, row, known)
            if known is None:
                new.append(row)
            elif _values(known, says) != _values(row, says):
                for name in says:
                    setattr(known, name, getattr(row, name))
                changed.append(known)
            rows.append(known or row)
        if self.faults:
            raise BadDocument(self.faults)
        return Facts(self.mapping, tuple(rows), tuple(new), tuple(changed), tuple(says))


def read_facts(
    *, content: bytes, columns: Sequence[Column], never_why: bool = False, **asked
) -> Facts:
    """This will read a file and compare its rows with what stands, as `Lines` does."""
    return Lines.of_file(content, columns, never_why=never_why).beside(**asked)


def one_writer(scope: Scope) -> None:
    """This will make others who enter facts in the school wait until the transaction has ended.

    Two who say the same at once would else both find that nothing stands.
    """
    list(School.objects.select_for_update(no_key=True).filter(id=scope.school_id))


def _reason_faults(headers):
    for header in headers:
        if REASONS & set(re.findall(r"[^\W_]+", header.casefold())):
            yield Fault(f"row 1, column “{header}”", "why is never kept: take this column out")


def _values(row, names):
    return tuple(getattr(row, name) for name in names)
