"""The demo school's files, dated for the evening they are written for.

They are ordinary files in the documented formats, and are loaded like anybody's own.
"""

import csv
from collections.abc import Iterable, Mapping
from datetime import date, timedelta
from pathlib import Path

from curriculum.cards import CardView
from demo import stories
from demo.term import (
    CLASSES,
    LESSONS,
    STORM,
    STUDIOS,
    TUESDAY_CLASS,
    children,
    lesson_day,
    term,
    tuesday,
)

SCHOOL = "Orrowmere School of Dance"
HEAD = "Marit O."
TEACHER = "Tendai R."
ASSISTANT = "Aroha T."
SPOTS_LOW = "tight|safe|pairs|lean|prop|lift|group"
MASSES = {"Adaeze": 38, "Eluned": 36.5, "Farid": 43, "Joss": 40}  # of the second year, in kg
HALF_YEAR = timedelta(days=182)


def tonight_for(today: date) -> date:
    """The first Tuesday not before today."""
    return today + timedelta(days=(1 - today.weekday()) % 7)


def write(folder: Path, cards: Mapping[str, CardView], *, today: date) -> None:
    """Write all files into a folder, for a demo loaded today."""
    folder.mkdir(parents=True, exist_ok=True)
    tonight = tonight_for(today)
    (folder / "classes.yaml").write_text(_classes(tonight), encoding="utf-8")
    _table(folder / "staff.csv", _staff(tonight))
    for name in CLASSES:
        for when, rows in _rosters(name, tonight).items():
            _table(folder / f"roster {name} {when}.csv", rows)
        _table(folder / f"tries {name}.csv", term(name, cards, tonight, today).rows)
    _table(folder / "attendance.csv", _attendance(tonight, today))
    _table(folder / "restrictions.csv", _restrictions(tonight))
    _table(folder / "yeses.csv", _yeses(tonight))
    _table(folder / "pair_checks.csv", _pair_checks(tonight))
    _table(folder / "wishes.csv", _wishes(tonight))
    _table(folder / "falls.csv", _falls(tonight))


def _table(path: Path, rows: Iterable[Mapping[str, object]]) -> None:
    rows = list(rows)
    columns = list(dict.fromkeys(key for row in rows for key in row))
    with path.open("w", encoding="utf-8", newline="") as file:
        writer = csv.DictWriter(file, columns, restval="")
        writer.writeheader()
        writer.writerows(rows)


def _classes(tonight):
    first = tuesday(tonight, 1) - timedelta(days=1)
    storm = lesson_day(tonight, *STORM)
    pause = tuesday(tonight, 7) + timedelta(days=6)
    zones = {
        "Sellane Harbour": ("Europe/Lisbon", 8),
        "Brackfold Mill": ("Europe/Lisbon", 5),
        "Far Orrow Hall": ("Atlantic/Azores", 3),
    }
    lines = ["format: classes/1", "policy: {uses_mass: true}", "studios:"]
    for name, (zone, mats) in zones.items():
        lines.append(f"  - {{name: {name}, zone: {zone}, units: metric, mats: {mats}}}")
    lines += [
        "terms:",
        f"  - {{name: this term, first: {first}, last: {tonight + timedelta(weeks=4)}}}",
        "closures:",
        f"  - {{name: a break of two weeks, first: {pause}, last: {pause + timedelta(days=13)}}}",
        f"  - {{name: a storm, studio: Far Orrow Hall, first: {storm}, last: {storm}}}",
        "classes:",
    ]
    for name, (_, starts, _) in CLASSES.items():
        weekday = name.split()[0]
        lines.append(
            f"  - {{name: {name}, studio: {STUDIOS[name]}, weekday: {weekday},"
            f' starts: "{starts:%H:%M}", minutes: 45}}'
        )
    return "\n".join(lines) + "\n"


def _staff(tonight):
    cover = lesson_day(tonight, TUESDAY_CLASS, 6)
    for name, role, adult, studio, may_spot, from_, until in (
        ("Tendai R.", "teacher", "yes", "Sellane Harbour", "all", "", ""),
        ("Pilar G.", "teacher", "yes", "Brackfold Mill", "all", "", ""),
        ("Iolana K.", "teacher", "yes", "Far Orrow Hall", "all", "", ""),
        ("Bram V.", "assistant", "no", "Sellane Harbour", "", "", ""),
        ("Aroha T.", "assistant", "yes", "Sellane Harbour", SPOTS_LOW, "", ""),
        ("Zeynep A.", "assistant", "yes", "Far Orrow Hall", "tight|safe|pairs|lean", "", ""),
        ("Wiremu P.", "assistant", "yes", "Sellane Harbour", "", tuesday(tonight, 9), ""),
        ("Signe H.", "teacher", "yes", "Sellane Harbour", "all", cover, cover),
    ):
        yield {
            "name": name,
            "role": role,
            "adult": adult,
            "studios": studio,
            "may_spot": may_spot,
            "from": from_,
            "until": until,
        }


def _rosters(name, tonight):
    """A class's lists as they came in: at the start, and where something changed, again."""
    first = lesson_day(tonight, name, 1)
    rows = [
        _child(row, tonight, joined=first, measured=first)
        for row in children()
        if row["class"] == name
    ]
    if name != TUESDAY_CLASS:
        return {"1": [{**row, **_mass(name, row, first)} for row in rows]}
    joined = lesson_day(tonight, name, stories.JOINED_IN_WEEK["Nguyệt"])
    by_name = {row["given_name"]: row for row in rows}
    by_name["Sunniva"]["height_cm"] -= 3
    trial = {**by_name.pop("Nguyệt"), "joined": joined, "height_on": joined, "trial": "yes"}
    grown = {
        **by_name["Sunniva"],
        "height_cm": by_name["Sunniva"]["height_cm"] + 3,
        "height_on": lesson_day(tonight, name, 12),
    }
    return {"1": list(by_name.values()), "2": [trial], "3": [grown, {**trial, "trial": "no"}]}


def _child(row, tonight, *, joined, measured):
    born = tonight - timedelta(days=365 * int(row["age"])) - HALF_YEAR
    return {
        "given_name": row["given_name"],
        "initial": row["initial"],
        "birth": f"{born:%Y-%m}",
        "height_cm": int(row["height_cm"]),
        "height_on": measured,
        "joined": joined,
        "trial": "no",
        "agreed_hands_on": joined,
        "agreed_lifting": joined,
    }


def _mass(name, row, on):
    """What some guardians of the second year wrote on their form; a class without has no column."""
    if name != "Thursday second year":
        return {}
    mass_kg = MASSES.get(row["given_name"], "")
    return {"mass_kg": mass_kg, "agreed_mass": on if mass_kg else ""}


def _attendance(tonight, today):
    for week in range(1, LESSONS + 1):
        on = lesson_day(tonight, TUESDAY_CLASS, week)
        if on >= today:
            continue
        for row in children():
            child = row["given_name"]
            if row["class"] != TUESDAY_CLASS or week < stories.JOINED_IN_WEEK.get(child, 1):
                continue
            state = "here"
            if (child, week) in stories.AWAY:
                state = "away"
            elif (child, week) in stories.NOT_TODAY:
                state = "not today"
            yield {"date": on, "student": child, "state": state}


def _restrictions(tonight):
    yield {
        "student": "Hana",
        "blocks": "wrists",
        "from": lesson_day(tonight, TUESDAY_CLASS, 4),
        "until": lesson_day(tonight, TUESDAY_CLASS, 7),
    }


def _yeses(tonight):
    for week, child, skill, role in (
        (5, "Demba", "seat_on_a_table", "base"),
        (5, "Amara", "seat_on_a_table", "base"),
        (5, "Bao", "seat_on_a_table", "flyer"),
        (5, "Sunniva", "seat_on_a_table", "flyer"),
        (8, "Amara", "seat_carry_two_bases", "flyer"),
        (8, "Demba", "seat_carry_two_bases", "base"),
        (8, "Ikaika", "seat_carry_two_bases", "base"),
        (9, "Mireille", "seat_on_a_table", "flyer"),
        (10, "Tariq", "long_walking_plank_line", "middle"),
        (10, "Þóra", "long_walking_plank_line", "back"),
        (11, "Amara", "kneeling_on_a_table", "base"),
        (11, "Demba", "kneeling_on_a_table", "base"),
        (11, "Bao", "kneeling_on_a_table", "flyer"),
        (11, "Hana", "kneeling_on_a_table", "flyer"),
    ):
        yield {
            "student": child,
            "skill": skill,
            "role": role,
            "kind": "begin",
            "given_on": lesson_day(tonight, TUESDAY_CLASS, week),
            "tonight": "yes" if week == 10 else "",
            "by": TEACHER,
        }


def _pair_checks(tonight):
    for week, base, flyer in (
        (5, "Demba", "Bao"),
        (5, "Amara", "Sunniva"),
        (9, "Amara", "Mireille"),
        (11, "Amara", "Hana"),
        (11, "Ikaika", "Sunniva"),
    ):
        yield {
            "base": base,
            "flyer": flyer,
            "given_on": lesson_day(tonight, TUESDAY_CLASS, week),
            "tonight": "",
        }


def _wishes(tonight):
    a, b = stories.APART
    yield {"a": a, "b": b, "kind": "apart", "from": lesson_day(tonight, TUESDAY_CLASS, 3)}


def _falls(tonight):
    yield {
        "date": lesson_day(tonight, TUESDAY_CLASS, 5),
        "student": "Tariq",
        "skill": "kneeling_on_a_table",
        "role": "flyer",
        "kind": "fall",
        "phase": "way out",
        "done": "sat out, then went on with the others",
        "looked_at_on": lesson_day(tonight, TUESDAY_CLASS, 6),
        "looked_at_by": TEACHER,
    }
