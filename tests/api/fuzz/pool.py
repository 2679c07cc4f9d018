"""Real ids for made-up requests: whoever makes up ids only ever reads the answer “unknown”.

More than that: many a request is what the table of rights sends to its route, with a few of the
made-up values in it. So the dice get past the first checks and meet the rules behind them.
"""

import copy
import csv
import io
import random
import re
from uuid import UUID

import openpyxl
from django.urls import reverse

from tests.api.cast import World
from tests.api.rights import ROWS

XLSX = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
# What a parameter or a field is called -> what the cast calls it.
NAMES = {"class": "klass", "a": "student", "b": "student2", "base": "student", "flyer": "student2"}
NAMES |= {"key": "skill", "students": "student3", "spotters": "member", "studios": "studio"}
DAY = re.compile(r"\d{4}-\d\d-\d\d")
CONTROL = re.compile("[\x00-\x1f\x7f-\x9f\ud800-\udfff]")
DAYS = ["2025-09-02", "2026-03-03", "2026-03-09", "2026-03-10", "2026-03-11", "2026-04-03"]
MOMENTS = ["2026-03-10T17:04:00Z", "2026-03-10T18:04:00+01:00", "2026-03-03T17:10:00Z"]
VERSIONS = ['"v1"'] * 6 + ['W/"v1"', '"v2"', '"v0"', "v1", "*", ""]
CELLS = ["", "\x00", "=1+1", "9" * 400, "0001-01-01", "9999-12-31", '"', "yes", "é" * 90, "; ,\t"]


class Pool:
    """Puts what there is in the own, the sister and the other school where it was made up."""

    def __init__(self, world: World):
        self._places = [world.own, world.sister, world.foreign]
        self._dice = random.Random(1)
        self._rights = {(row.method, _template(row, world.own)): row for row in ROWS if row.api}

    def aim(self, case):
        """The same case, aimed at what is there."""
        dice = self._dice
        place = dice.choices(self._places, (6, 2, 2))[0]
        near = dice.random() < 0.7
        case.path_parameters = self.fill(dict(case.path_parameters or {}), place)
        right = self._rights[case.method, case.path]
        if near:
            case.path_parameters |= right.url(place)
        query = self.fill(dict(case.query or {}), place)
        case.query = self.blend(right.query(place), query) if near else query
        headers = dict(case.headers or {})
        if "If-Match" in headers and dice.random() < 0.9:
            headers["If-Match"] = dice.choice(VERSIONS)
        case.headers = headers
        if right.content != "application/json":
            case.body, case.media_type = self.file(case, right, place)
        elif isinstance(case.body, dict):
            case.body = self.fill(case.body, place)
            if near and right.body is not None:
                case.body = self.blend(right.body(place), case.body)
        return case

    def real(self, name, value, place):
        """A real id or a day of this term for what was made up under a name; else as it is."""
        if self._dice.random() < 0.15:
            return value
        if isinstance(value, str) and DAY.match(value):
            return self._dice.choice(DAYS if len(value) == 10 else MOMENTS)
        if not _is_id(value) and name not in ("skill", "key", "number"):
            # Nearly every made-up text holds something that is no text.
            return CONTROL.sub("", value) if isinstance(value, str) else value
        known = NAMES.get(name, name.removesuffix("_id"))
        if known == "skill" and _is_id(value):
            known = "skill_id"
        return getattr(place, known, value)

    def fill(self, value, place, name=""):
        """The same value with real ids at all depths."""
        if isinstance(value, dict):
            return {key: self.fill(inner, place, key) for key, inner in value.items()}
        if isinstance(value, list):
            return [self.fill(inner, place, name) for inner in value]
        return self.real(name, value, place)

    def blend(self, real, made):
        """What is right with here and there something made up in its place or beside it."""
        dice = self._dice
        if isinstance(real, dict) and isinstance(made, dict):
            told = {name: self.blend(real[name], made.get(name, real[name])) for name in real}
            return told | {
                name: value
                for name, value in made.items()
                if name not in real and dice.random() < 0.6
            }
        if isinstance(real, list) and isinstance(made, list) and real and made:
            rows = [self.blend(real[0], one) for one in made] if dice.random() < 0.5 else real[:1]
            return [*rows, *real[1:]] if dice.random() < 0.9 else made
        return real if dice.random() < 0.7 else made

    def file(self, case, right, place):
        """The file of the table of rights with a few cells, rows or bytes put wrong."""
        dice = self._dice
        content = right.body(place)
        if dice.random() < 0.1:
            made = case.body if isinstance(case.body, bytes) else b"no file"
            return made, case.media_type or right.content
        if right.content == "application/yaml":
            return _spoilt(content, dice, dice.choice((0, 0, 1, 3))), right.content
        table = copy.deepcopy(list(csv.reader(io.StringIO(content.decode()))))
        for _ in range(dice.choice((0, 0, 1, 2))):
            row = dice.choice(table)
            row[dice.randrange(len(row))] = dice.choice([*CELLS, *place.names, *DAYS])
        if dice.random() < 0.2:
            table += [list(row) for row in table[dice.randrange(2) :]]
        if dice.random() < 0.3:
            return _workbook(table), XLSX
        told = io.StringIO()
        csv.writer(told).writerows(table)
        return _spoilt(told.getvalue().encode(), dice, dice.choice((0, 0, 0, 1))), "text/csv"


def _template(row, place):
    path = reverse(f"api:{row.route}", kwargs=row.url(place))
    for name, value in row.url(place).items():
        path = path.replace(f"/{value}", f"/{{{name}}}")
    return path


def _spoilt(content, dice, times):
    content = bytearray(content)
    for _ in range(times):
        content[dice.randrange(len(content))] = dice.choice(b"\x00\n\"',:[{&*!-# 0a\xff")
    return bytes(content)


def _workbook(table):
    book = openpyxl.Workbook()
    for row in table:
        book.active.append([cell.replace("\x00", "") for cell in row])
    kept = io.BytesIO()
    book.save(kept)
    return kept.getvalue()


def _is_id(value):
    try:
        return isinstance(value, str) and str(UUID(value)) == value
    except ValueError:
        return False
