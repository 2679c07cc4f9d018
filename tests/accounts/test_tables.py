import io
import random
import zipfile
from datetime import date, datetime, time

import openpyxl
import pytest

from accounts import tables
from accounts.faults import BadDocument
from accounts.names import bare, folded
from accounts.tables import Cells, Column, match, read_grid

COLUMNS = (
    Column("given_name", also=("name",), required=True),
    Column("height_cm"),
    Column("joined", also=("from",)),
)


def workbook(*rows, change=None):
    book = openpyxl.Workbook()
    for row in rows:
        book.active.append(row)
    if change:
        change(book)
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def repacked(content, **parts):
    """The same workbook with other parts; a name's dots and slashes are written as `__`."""
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(content)) as old, zipfile.ZipFile(out, "w") as new:
        for name in old.namelist():
            data = parts.get(name.replace("/", "__").replace(".", "__"), old.read(name))
            new.writestr(name, data, zipfile.ZIP_DEFLATED)
    return out.getvalue()


def refused(content):
    with pytest.raises(BadDocument) as caught:
        match(read_grid(content), COLUMNS)
    return str(caught.value).splitlines()


def cells(**texts):
    """The cells of row 2 of a file with these columns, and the list of their faults."""
    header, values = list(texts), list(texts.values())
    table = match([header, values], [Column(name) for name in header])
    faults = []
    return Cells(table.rows[0], faults), faults


# -- reading -------------------------------------------------------------------------------------


@pytest.mark.parametrize("delimiter", [",", ";", "\t", "|"])
@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "cp1252"])
@pytest.mark.parametrize("end", ["\n", "\r\n"])
def test_any_delimiter_encoding_and_line_end(delimiter, encoding, end):
    lines = ["given_name", "height_cm"], ["Zoë", " 131 "], ['"O""Hara"', ""]
    content = end.join(delimiter.join(cells) for cells in lines).encode(encoding)
    assert read_grid(content) == [["given_name", "height_cm"], ["Zoë", "131"], ['O"Hara', ""]]


def test_a_quoted_cell_may_hold_the_delimiter_and_a_line_end():
    assert read_grid(b'name,note\n"a, b","c\nd"\n') == [["name", "note"], ["a, b", "c\nd"]]


def test_names_are_composed_and_guards_against_formulas_taken_off():
    content = "name,note\nCli\u0301odhna,'=1+1\n'Amara',-\n".encode()
    assert read_grid(content) == [["name", "note"], ["Cl\u00edodhna", "=1+1"], ["'Amara'", "-"]]


def test_empty_rows_at_the_end_are_dropped_those_between_keep_their_number():
    table = match(read_grid(b"name,height_cm\n\nBao,117\n,\n\n"), COLUMNS)
    assert [(row.number, row.texts["given_name"]) for row in table.rows] == [(3, "Bao")]


def test_a_workbook_reads_as_what_it_shows():
    content = workbook(
        ["name", "height_cm", "joined"],
        ["Nguyệt", 131.0, datetime(2026, 3, 2)],  # noqa: DTZ001
        ["Þóra", 129.5, date(2026, 3, 3)],
        ["Oğuz", True, datetime(2026, 3, 3, 17, 30)],  # noqa: DTZ001
        ["Bao", None, time(17, 0)],
        [None, None, None],
    )
    assert read_grid(content) == [
        ["name", "height_cm", "joined"],
        ["Nguyệt", "131", "2026-03-02"],
        ["Þóra", "129.5", "2026-03-03"],
        ["Oğuz", "True", "2026-03-03T17:30:00"],
        ["Bao", "", "17:00:00"],
    ]


def test_only_the_first_sheet_counts():
    content = workbook(
        ["name"], ["Bao"], change=lambda book: book.create_sheet("more").append(["x", "y"])
    )
    assert read_grid(content) == [["name"], ["Bao"]]


def edited(content, **changes):
    """The same workbook with `old` replaced by `new` in its sheet, once for each pair."""
    with zipfile.ZipFile(io.BytesIO(content)) as archive:
        sheet = archive.read("xl/worksheets/sheet1.xml").decode()
    for old, new in changes.items():
        assert old in sheet
        sheet = sheet.replace(old, new)
    return repacked(content, xl__worksheets__sheet1__xml=sheet)


def test_a_whole_number_has_no_point():
    content = edited(workbook(["name", 7]), **{"<v>7</v>": "<v>131.0</v>"})
    assert read_grid(content) == [["name", "131"]]


def formula(content, value):
    """A workbook whose cell B2 is a formula, with the value that a program computed for it."""
    cell = f'<c r="B2"><f>60*2</f>{value}</c>'
    return edited(content, **{'<c r="B2" t="n"><v>7</v></c>': cell})


def test_rows_beyond_the_size_that_a_workbook_claims_are_read():
    content = workbook(["name"], ["Bao"], ["Ida"])
    small = edited(content, **{'<dimension ref="A1:A3" />': '<dimension ref="A1" />'})
    assert read_grid(small) == [["name"], ["Bao"], ["Ida"]]
    huge = edited(content, **{'<dimension ref="A1:A3" />': '<dimension ref="A1:XFD9" />'})
    assert read_grid(huge) == [["name"], ["Bao"], ["Ida"]]


def test_a_formula_counts_as_its_value():
    content = workbook(["name", "height_cm"], ["Bao", 7])
    assert read_grid(formula(content, "<v>120</v>")) == [["name", "height_cm"], ["Bao", "120"]]


def test_a_formula_that_no_program_computed_is_refused():
    content = workbook(["name", "height_cm"], ["Bao", 7])
    assert refused(formula(content, "<v></v>")) == ["row 2, column B: a formula without a value"]
    assert refused(workbook(["name", "height_cm"], ["Bao", "=1+1"], ["Ida", "=2+2"])) == [
        "row 2, column B: a formula without a value",
        "row 3, column B: a formula without a value",
    ]


def test_marks_without_end_are_not_composed():
    # Composing half a million marks one after the other takes hours.
    marks = "e" + "\u0301\u0327" * 60_000
    assert read_grid(f"name\n{marks}\n".encode()) == [["name"], [marks]]
    assert (folded(marks) == marks, bare(marks)) == (True, "e")


# -- refusing ------------------------------------------------------------------------------------


SPACE = 'xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"'
ROW_ONE = '<row r="1"/>'
SHEET, END = f"<worksheet {SPACE}><sheetData>", "</sheetData></worksheet>"


def bomb():
    """A small file that unpacks to 30 MB."""
    content = workbook(["name"], ["Bao"])
    return repacked(content, xl__worksheets__sheet1__xml=b" " * 30_000_000)


def crowded(**parts):
    """A workbook with other parts; what cannot be packed keeps it from unpacking to too much."""
    out = io.BytesIO(repacked(workbook(["name"], ["Bao"]), **parts))
    with zipfile.ZipFile(out, "a") as archive:
        archive.writestr("picture.png", random.Random(1).randbytes(200_000))
    return out.getvalue()


def rows_numbered_one():
    return crowded(xl__worksheets__sheet1__xml=f"{SHEET}{ROW_ONE * 450_000}{END}")


def one_long_row():
    cells = '<c r="A1"><v>1</v></c>' * 250_000
    return crowded(xl__worksheets__sheet1__xml=f"{SHEET}<row>{cells}</row>{END}")


def one_long_element():
    said = " ".join(f'a{number}=""' for number in range(60))
    return crowded(xl__worksheets__sheet1__xml=f"{SHEET}<row {said}/>{END}")


def many_styles():
    return crowded(xl__styles__xml=f"<styleSheet {SPACE}>{'<xf/>' * 60_000}</styleSheet>")


def many_parts():
    out = io.BytesIO(workbook(["name"], ["Bao"]))
    with zipfile.ZipFile(out, "a") as archive:
        for number in range(300):
            archive.writestr(f"part{number}", b"")
    return out.getvalue()


def lying_sizes():
    """A bomb whose directory says that its sheet is small."""
    content = bytearray(bomb())
    at = content.rindex(b"PK\x01\x02" + b"", 0)
    while b"sheet1.xml" not in content[at : at + 90]:
        at = content.rindex(b"PK\x01\x02", 0, at)
    content[at + 24 : at + 28] = (1000).to_bytes(4, "little")
    return bytes(content)


def entity():
    sheet = (
        '<?xml version="1.0"?><!DOCTYPE a [<!ENTITY b "Bao">]>'
        '<worksheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><sheetData>'
        '<row r="1"><c r="A1" t="inlineStr"><is><t>&b;</t></is></c></row></sheetData></worksheet>'
    )
    return repacked(workbook(["name"]), xl__worksheets__sheet1__xml=sheet)


def far_row():
    """One row that says it is the millionth."""
    changes = {'r="2"': 'r="1000000"', 'r="A2"': 'r="A1000000"'}
    return edited(workbook(["name"], ["Bao"]), **changes)


@pytest.mark.parametrize(
    ("content", "fault"),
    [
        (b"", "the file: empty: the first row should name the columns"),
        (b"\n\nname\n", "the file: empty: the first row should name the columns"),
        (b",,\nBao,,\n", "the file: empty: the first row should name the columns"),
        (b"name\nB\x00ao\n", "the file: no text: it holds NUL bytes"),
        ("name\nBao\n".encode("utf-16"), "the file: no text: it holds NUL bytes"),
        (b"name\nB\x81o\n", "the file: neither UTF-8 nor Windows-1252 (byte 6)"),
        (b'name\n"Bao\n', "line 2: no CSV: unexpected end of data"),
        (b'name\n"Bao"x\n', "line 2: no CSV: ',' expected after '\"'"),
        (b"name\n" + b"x" * 140_000, "line 2: no CSV: field larger than field limit (131072)"),
        (b"name" + b"\nBao" * 20_000, "the file: more than 20000 rows"),
        (b"name" + b"," * 200, "the file: more than 200 columns in row 1"),
        (b"name\n" + b"x\n" * 2_500_000, "the file: larger than 5 MB"),
        (
            b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + bytes(600),
            "the file: a workbook of the old kind (.xls): save it as .xlsx or CSV",
        ),
        (b"PK\x03\x04 and no more", "the file: no readable workbook"),
        (workbook(["name"])[:-100], "the file: no readable workbook"),
        (bomb(), "the file: unpacks to more than a class list can need"),
        (rows_numbered_one(), "the file: unpacks to more than a class list can need"),
        (one_long_row(), "the file: unpacks to more than a class list can need"),
        (one_long_element(), "the file: unpacks to more than a class list can need"),
        (many_styles(), "the file: unpacks to more than a class list can need"),
        (many_parts(), "the file: unpacks to more than a class list can need"),
        (lying_sizes(), "the file: no readable workbook"),
        (entity(), "the file: no readable workbook"),
        (far_row(), "the file: more than 20000 rows"),
        (
            workbook(["name", *[None] * 199, "x"]),
            "the file: more than 200 columns in row 1",
        ),
        (workbook(*[["name"]] * 20_001), "the file: more than 20000 rows"),
        (workbook(), "the file: empty: the first row should name the columns"),
        (b"height_cm\n120\n", "row 1: no column “given_name”"),
        (
            b"name,Given-Name\nBao,Bao\n",
            "row 1, column “Given-Name”: a second column for given_name",
        ),
        (b"name,From,from\nBao,,\n", "row 1, column “from”: a second column for joined"),
        (b"name\nBao,117\n", "row 2: has more cells than the header"),
    ],
)
def test_what_is_no_such_table_is_refused(content, fault):
    assert refused(content) == [fault]


def test_a_missing_column_is_told_with_the_headers_it_may_hide_behind():
    assert refused("first nam;Birthplace;height_cm\nBao;Huế;117\n".encode()) == [
        "row 1: no column “given_name”",
        "row 1: headers that were not understood: first nam, Birthplace",
    ]


def test_an_error_of_ours_is_not_taken_for_a_broken_workbook(monkeypatch):
    def broken(value):
        raise ZeroDivisionError

    monkeypatch.setattr(tables, "_as_text", broken)
    with pytest.raises(ZeroDivisionError):
        read_grid(workbook(["name"]))


def test_faults_of_the_header_and_of_long_rows_come_together():
    assert refused(b"height_cm,Height cm\n1,2,3\n1,2,3\n") == [
        "row 1, column “Height cm”: a second column for height_cm",
        "row 1: no column “given_name”",
        "row 2: has more cells than the header",
        "row 3: has more cells than the header",
    ]


# -- columns and values --------------------------------------------------------------------------


def test_headers_match_whatever_their_case_and_signs():
    table = match([["GIVEN  name", "Height (cm)", "From:", "Shoe"], ["Bao", "117"]], COLUMNS)
    assert table.say_mapping() == (
        "GIVEN  name = given_name, Height (cm) = height_cm, From: = joined; not used: Shoe"
    )
    assert table.rows[0].texts == {"given_name": "Bao", "height_cm": "117", "joined": ""}


def test_a_mapping_that_says_nothing_new():
    table = match([["given_name"], ["Bao"]], COLUMNS)
    assert table.say_mapping() == "given_name"


def test_a_fault_names_the_column_as_the_file_does():
    table = match([["Name", "Height (cm)"], ["Bao", "tall"]], COLUMNS)
    faults = []
    row = Cells(table.rows[0], faults)
    assert (row.has("height_cm"), row.has("joined")) == (True, False)
    assert row.number("height_cm", low=0, high=300) is None
    assert row.day("joined", required=True) is None
    assert [str(fault) for fault in faults] == [
        "row 2, column “Height (cm)”: “tall” should be a number",
        "row 2, column “joined”: missing",
    ]


@pytest.mark.parametrize(
    ("read", "text", "value"),
    [
        (lambda c: c.text("a"), "Bao", "Bao"),
        (lambda c: c.text("a"), "", None),
        (lambda c: c.text("a", longest=3), "Bao", "Bao"),
        (lambda c: c.choice("a", ("not_today", "here")), "Not today", "not_today"),
        (lambda c: c.number("a", low=-1, high=2), "1,5", 1.5),
        (lambda c: c.number("a", low=-1, high=2), "-0.5", -0.5),
        (lambda c: c.number("a", low=-1, high=2), "2", 2.0),
        (lambda c: c.number("a", low=-1, high=2), "-1", -1.0),
        (lambda c: c.integer("a", low=0, high=9), "3.0", 3),
        (lambda c: c.day("a"), "2026-3-2", date(2026, 3, 2)),
        (lambda c: c.day("a"), "02.03.2026", date(2026, 3, 2)),
        (lambda c: c.day("a"), "", None),
        *((lambda c: c.flag("a"), text, True) for text in ("yes", "Yes", "TRUE", "1", "x")),
        *((lambda c: c.flag("a"), text, False) for text in ("no", "False", "0")),
        (lambda c: c.flag("a"), "", None),
    ],
)
def test_what_is_read(read, text, value):
    row, faults = cells(a=text, b="x")
    assert (read(row), faults) == (value, [])


@pytest.mark.parametrize(
    ("read", "text", "message"),
    [
        (lambda c: c.text("a", required=True), "", "missing"),
        (lambda c: c.text("a", longest=2), "Bao", "longer than 2 characters"),
        (lambda c: c.text("a"), "B\x07ao", "holds a control character"),
        (lambda c: c.choice("a", ("here", "away")), "hre", "“hre” should be one of here, away"),
        (lambda c: c.choice("a", ("here",), required=True), "", "missing"),
        (lambda c: c.number("a", low=0, high=9), "1.000,5", "“1.000,5” should be a number"),
        (lambda c: c.number("a", low=0, high=9), "nan", "“nan” should be a number"),
        (lambda c: c.number("a", low=0, high=9), "1e3", "“1e3” should be a number"),
        (lambda c: c.number("a", low=0, high=9), "9.1", "9.1 should be between 0 and 9"),
        (lambda c: c.number("a", low=0, high=9), "-1", "-1 should be between 0 and 9"),
        (lambda c: c.number("a", low=0, high=9, required=True), "", "missing"),
        (lambda c: c.integer("a", low=0, high=9), "1.5", "1.5 should be a whole number"),
        (lambda c: c.day("a"), "2/3/2026", "“2/3/2026” should be a date such as 2026-03-02"),
        (lambda c: c.day("a"), "2026-02-29", "“2026-02-29” should be a date such as 2026-03-02"),
        (lambda c: c.day("a", required=True), "", "missing"),
        (
            lambda c: c.flag("a"),
            "perhaps",
            "“perhaps” should be one of yes, no, true, false, 1, 0, x",
        ),
        (lambda c: c.flag("a", required=True), "", "missing"),
    ],
)
def test_what_cannot_be_read(read, text, message):
    row, faults = cells(a=text, b="x")
    assert read(row) is None
    assert [str(fault) for fault in faults] == [f"row 2, column “a”: {message}"]
