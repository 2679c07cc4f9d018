"""Files of dated facts about children: one way in for all of them.

A noun says how a row of its file becomes a row of its model. Here the file is read, compared with
what stands, and handed back whole, or refused with every fault at once.
"""

import re
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

from django.db.models import Model

from accounts.faults import BadDocument, Fault
from accounts.tables import Cells, Column, Table, match, read_grid

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
    """The rows of a file beside what stands; nothing is saved yet."""

    mapping: str
    new: tuple[Model, ...]
    changed: tuple[Model, ...]
    standing: int
    says: tuple[str, ...]

    def save(self) -> None:
        """This will store what is new and what changed; call it inside a transaction."""
        if self.new:
            type(self.new[0]).objects.bulk_create(self.new)
        if self.changed:
            type(self.changed[0]).objects.bulk_update(self.changed, self.says)

    def counts(self) -> Loaded:
        return Loaded(self.mapping, len(self.new), len(self.changed), self.standing)


def read_facts(
    *,
    content: bytes,
    columns: Sequence[Column],
    stored: Iterable[Model],
    key: Sequence[str],
    says: Sequence[str],
    parse: Parse,
    check: Check | None = None,
    never_why: bool = False,
) -> Facts:
    """This will read a table into rows of one model and compare them with those stored.

    `key` are the attributes that make two rows speak of one fact, `says` those that a later file
    may change. `parse` makes an unsaved row of a table's cells and notes faults on them; `check`
    then sees the row beside the one that stands (or None) and may note faults or fill in what
    the file leaves open. With `never_why` a column for reasons is refused by its name.

    Raises `BadDocument` with the faults in the file's order.
    """
    grid = read_grid(content)
    faults = list(_reason_faults(grid[0])) if never_why else []
    table = _matched(grid, columns, faults)
    by_fact = {_values(row, key): row for row in stored}
    first: dict[tuple, int] = {}
    new, changed, standing = [], [], 0
    for line in table.rows:
        cells = Cells(line, faults)
        before = len(faults)
        row = parse(cells)
        # A row with a fault may lack half of its values: it is not compared with anything.
        if len(faults) > before:
            continue
        fact = _values(row, key)
        if first.setdefault(fact, line.number) != line.number:
            faults.append(Fault(f"row {line.number}", f"about the same as row {first[fact]}"))
            continue
        known = by_fact.get(fact)
        if check:
            check(cells, row, known)
        if known is None:
            new.append(row)
        elif _values(known, says) == _values(row, says):
            standing += 1
        else:
            for name in says:
                setattr(known, name, getattr(row, name))
            changed.append(known)
    if faults:
        raise BadDocument(faults)
    return Facts(table.say_mapping(), tuple(new), tuple(changed), standing, tuple(says))


def _matched(grid, columns, faults) -> Table:
    try:
        return match(grid, columns)
    except BadDocument as error:
        raise BadDocument([*faults, *error.faults]) from None


def _reason_faults(headers):
    for header in headers:
        if REASONS & set(re.findall(r"[^\W_]+", header.casefold())):
            yield Fault(f"row 1, column “{header}”", "why is never kept: take this column out")


def _values(row, names):
    return tuple(getattr(row, name) for name in names)
