"""Tables that people bring: CSV of any delimiter, or a workbook's first sheet.

`read_grid` gives plain texts, `match` finds the columns by their headers, and `Cells` reads the
values of one row, collecting every fault with its row and column as a spreadsheet counts them.
"""

import csv
import io
import re
import unicodedata
import warnings
import zipfile
from collections import Counter
from collections.abc import Mapping, Sequence
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from datetime import date, datetime
from itertools import islice
from xml.parsers import expat

import openpyxl
from openpyxl.utils import get_column_letter

from accounts.faults import BadDocument, Fault
from accounts.names import composed

MAX_BYTES = 5_000_000
MAX_ROWS, MAX_COLUMNS = 20_000, 200
MAX_UNPACKED_BYTES, MAX_MEMBERS, MAX_RATIO = 20_000_000, 200, 100
DELIMITERS = ",;\t|"
# Of a workbook's elements, those that hold cells, of which there may be many, and all others.
OF_CELLS = {"row", "c", "v", "f", "is", "t"}
MAX_OF_CELLS, MAX_OTHERS, MAX_ATTRIBUTES = 400_000, 50_000, 50
UNPACKS = "unpacks to more than a class list can need"
UNREADABLE = "no readable workbook"
FORMULA_STARTS = ("=", "+", "-", "@", "\t", "\r")


@dataclass(frozen=True)
class Column:
    """A column that a file may have; `also` are further headers that mean the same."""

    name: str
    also: tuple[str, ...] = ()
    required: bool = False


@dataclass(frozen=True)
class Row:
    """One row: its number in the file (the header is row 1) and its texts by column name.

    `headers` says what the file itself calls the columns.
    """

    number: int
    texts: Mapping[str, str]
    headers: Mapping[str, str]


@dataclass(frozen=True)
class Table:
    """`mapping` says which header was taken for which column; `unused` are the other headers."""

    mapping: tuple[tuple[str, str], ...]
    unused: tuple[str, ...]
    rows: tuple[Row, ...]

    def say_mapping(self) -> str:
        """One line that shows how the headers were understood."""
        taken = ", ".join(
            header if header == name else f"{header} = {name}" for header, name in self.mapping
        )
        return taken + (f"; not used: {', '.join(self.unused)}" if self.unused else "")


def read_grid(content: bytes) -> list[list[str]]:
    """This will read the cells of a CSV file or of a workbook's first sheet as trimmed texts.

    Dates of a workbook become YYYY-MM-DD. Trailing empty rows are dropped. Raises `BadDocument`
    for what is too large, unpacks to too much, or is no table.
    """
    if len(content) > MAX_BYTES:
        _refuse(f"larger than {MAX_BYTES // 1_000_000} MB")
    if content.startswith(b"\xd0\xcf\x11\xe0"):
        _refuse("a workbook of the old kind (.xls): save it as .xlsx or CSV")
    grid = _read_workbook(content) if content.startswith(b"PK\x03\x04") else _read_csv(content)
    while grid and not any(grid[-1]):
        grid.pop()
    if not grid or not any(grid[0]):
        _refuse("empty: the first row should name the columns")
    return grid


def _refuse(message):
    raise BadDocument([Fault("the file", message)]) from None


def _read_csv(content):
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError:
        try:
            text = content.decode("cp1252")
        except UnicodeDecodeError as error:
            _refuse(f"neither UTF-8 nor Windows-1252 (byte {error.start})")
    if "\x00" in text:
        _refuse("no text: it holds NUL bytes")
    header = text.split("\n", 1)[0]
    delimiter = max(DELIMITERS, key=header.count)
    grid = []
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=True)
    try:
        for cells in reader:
            if len(grid) >= MAX_ROWS:
                _refuse(f"more than {MAX_ROWS} rows")
            if len(cells) > MAX_COLUMNS:
                _refuse(f"more than {MAX_COLUMNS} columns in row {len(grid) + 1}")
            grid.append([_plain(cell) for cell in cells])
    except csv.Error as error:
        raise BadDocument([Fault(f"line {reader.line_num}", f"no CSV: {error}")]) from None
    return grid


def _plain(cell):
    """Trimmed, composed, and without the quote that guards spreadsheets against formulas."""
    cell = composed(cell)
    if cell.startswith("'") and cell[1:].startswith(FORMULA_STARTS):
        return cell[1:]
    return cell


def _read_workbook(content):
    with _may_be_broken(), zipfile.ZipFile(io.BytesIO(content)) as archive:
        members = archive.infolist()
    unpacked = sum(member.file_size for member in members)
    # A small file can unpack to gigabytes: the directory tells before anything is unpacked.
    if (
        len(members) > MAX_MEMBERS
        or unpacked > MAX_UNPACKED_BYTES
        or unpacked > MAX_RATIO * len(content)
    ):
        _refuse(UNPACKS)
    _count_elements(content)
    grid, formulas = _read_sheet(content, values=False)
    if formulas:
        grid, _ = _read_sheet(content, values=True)
    # A program that never computed them stores formulas without their values.
    faults = [
        Fault(f"row {row + 1}, column {get_column_letter(column + 1)}", "a formula without a value")
        for row, column in formulas
        if not grid[row][column]
    ]
    if faults:
        raise BadDocument(faults)
    width = max((i + 1 for row in grid for i, cell in enumerate(row) if cell), default=0)
    return [row[:width] for row in grid]


def _count_elements(content):
    """Refuse what the library would make too much of: it keeps a whole row, or a part, as a tree.

    A part that is no XML counts as far as it is.
    """
    counted = Counter()

    def begins(name, attributes):
        of_cells = name.rpartition(":")[2] in OF_CELLS
        counted[of_cells] += 1
        most = MAX_OF_CELLS if of_cells else MAX_OTHERS
        if counted[of_cells] > most or len(attributes) > MAX_ATTRIBUTES:
            _refuse(UNPACKS)

    with _may_be_broken(), zipfile.ZipFile(io.BytesIO(content)) as archive:
        for member in archive.infolist():
            parser = expat.ParserCreate()
            parser.StartElementHandler = begins
            parser.EntityDeclHandler = lambda *_: _refuse(UNREADABLE)
            with suppress(expat.ExpatError), archive.open(member) as part:
                parser.ParseFile(part)


def _read_sheet(content, *, values):
    """The first sheet's texts, and where formulas stand; `values`: their values, not themselves."""
    with _may_be_broken(), warnings.catch_warnings():
        warnings.simplefilter("ignore")  # of styles and extensions, which do not matter here
        book = openpyxl.load_workbook(io.BytesIO(content), read_only=True, data_only=values)
        sheet = book.worksheets[0]
        sheet.reset_dimensions()  # some programs write a size that leaves rows out
        rows = list(islice(sheet.iter_rows(max_col=MAX_COLUMNS + 1), MAX_ROWS + 1))
    grid, formulas = [], []
    for cells in rows:
        if len(grid) >= MAX_ROWS:
            _refuse(f"more than {MAX_ROWS} rows")
        texts = [_as_text(cell.value) for cell in cells]
        if any(texts[MAX_COLUMNS:]):
            _refuse(f"more than {MAX_COLUMNS} columns in row {len(grid) + 1}")
        formulas += [(len(grid), i) for i, cell in enumerate(cells) if cell.data_type == "f"]
        grid.append(texts)
    return grid, formulas


@contextmanager
def _may_be_broken():
    """Around the libraries alone: they let whatever a broken archive causes pass through."""
    try:
        yield
    except BadDocument:
        raise
    except Exception:
        _refuse(UNREADABLE)


def _as_text(value):
    if value is None:
        return ""
    if isinstance(value, datetime):
        return (
            value.date().isoformat() if value.time() == datetime.min.time() else value.isoformat()
        )
    if isinstance(value, float) and value.is_integer():
        value = int(value)
    return _plain(str(value))


def match(grid: Sequence[Sequence[str]], columns: Sequence[Column]) -> Table:
    """This will find the columns by their headers, whatever the case, spaces and signs.

    Raises `BadDocument` when a required column is missing, two headers mean the same column or
    a row is longer than the header.
    """
    wanted = {}
    for column in columns:
        for header in (column.name, *column.also):
            wanted[_folded(header)] = column.name
    faults, mapping, unused, places = [], [], [], {}
    for index, header in enumerate(grid[0]):
        name = wanted.get(_folded(header))
        if name is None:
            if header:
                unused.append(header)
        elif name in places:
            faults.append(Fault(f"row 1, column “{header}”", f"a second column for {name}"))
        else:
            places[name] = index
            mapping.append((header, name))
    missing = [
        Fault("row 1", f"no column “{column.name}”")
        for column in columns
        if column.required and column.name not in places
    ]
    faults += missing
    for number, cells in enumerate(grid[1:], start=2):
        if any(cells[len(grid[0]) :]):
            faults.append(Fault(f"row {number}", "has more cells than the header"))
    if missing and unused:
        faults.append(Fault("row 1", f"headers that were not understood: {', '.join(unused)}"))
    if faults:
        raise BadDocument(faults)
    headers = {name: header for header, name in mapping}
    rows = tuple(
        Row(
            number,
            {name: cells[i] if i < len(cells) else "" for name, i in places.items()},
            headers,
        )
        for number, cells in enumerate(grid[1:], start=2)
        if any(cells)
    )
    return Table(tuple(mapping), tuple(unused), rows)


def _folded(header):
    return re.sub(r"[\W_]+", " ", header.casefold()).strip()


def read_day(text: str) -> date | None:
    """A date written as 2026-03-02 or 2.3.2026; None for anything else.

    Slashes are left out: they read differently in different places.
    """
    parts = re.fullmatch(r"(\d{4})-(\d{1,2})-(\d{1,2})", text, re.ASCII)
    order = (1, 2, 3)
    if not parts:
        parts = re.fullmatch(r"(\d{1,2})\.(\d{1,2})\.(\d{4})", text, re.ASCII)
        order = (3, 2, 1)
    try:
        return date(*(int(parts[i]) for i in order)) if parts else None
    except ValueError:
        return None


class Cells:
    """The values of one row; what cannot be read becomes a fault and None.

    `faults` is the list that all rows of a file share.
    """

    def __init__(self, row: Row, faults: list[Fault]) -> None:
        self.row = row
        self.faults = faults

    def fault(self, name: str, message: str) -> None:
        header = self.row.headers.get(name, name)
        self.faults.append(Fault(f"row {self.row.number}, column “{header}”", message))

    def has(self, name: str) -> bool:
        """Whether the file has this column at all."""
        return name in self.row.texts

    def text(self, name: str, *, required: bool = False, longest: int = 80) -> str | None:
        text = self.row.texts.get(name, "")
        if not text:
            if required:
                self.fault(name, "missing")
            return None
        if len(text) > longest:
            self.fault(name, f"longer than {longest} characters")
            return None
        if any(unicodedata.category(character) == "Cc" for character in text):
            self.fault(name, "holds a control character")
            return None
        return text

    def choice(self, name: str, allowed: Sequence[str], *, required: bool = False) -> str | None:
        text = self.text(name, required=required)
        if text is None:
            return None
        folded = _folded(text).replace(" ", "_")
        if folded not in allowed:
            self.fault(name, f"“{text}” should be one of {', '.join(allowed)}")
            return None
        return folded

    def number(self, name: str, *, low: float, high: float, required: bool = False) -> float | None:
        """A number with a point or a comma, within `low` and `high`."""
        text = self.text(name, required=required)
        if text is None:
            return None
        if not re.fullmatch(r"-?\d{1,12}([.,]\d{1,12})?", text, re.ASCII):
            self.fault(name, f"“{text}” should be a number")
            return None
        value = float(text.replace(",", "."))
        if not low <= value <= high:
            self.fault(name, f"{text} should be between {low:g} and {high:g}")
            return None
        return value

    def integer(self, name: str, *, low: int, high: int, required: bool = False) -> int | None:
        value = self.number(name, low=low, high=high, required=required)
        if value is None:
            return None
        if value != int(value):
            self.fault(name, f"{value:g} should be a whole number")
            return None
        return int(value)

    def day(self, name: str, *, required: bool = False) -> date | None:
        """A date as `read_day` takes it."""
        text = self.text(name, required=required)
        if text is None:
            return None
        day = read_day(text)
        if day is None:
            self.fault(name, f"“{text}” should be a date such as 2026-03-02")
        return day

    def flag(self, name: str, *, required: bool = False) -> bool | None:
        """Yes or no; None when the cell is empty."""
        text = self.choice(name, ("yes", "no", "true", "false", "1", "0", "x"), required=required)
        return None if text is None else text in ("yes", "true", "1", "x")
