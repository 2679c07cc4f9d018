"""A school in the machine's own database: `python -m tests.processes.world CHILDREN TRIES`.

Prints ids and a token for each of ten teachers as one JSON object. The children's names are
canaries: none may be found in what a process writes.
"""

import json
import sys
from datetime import UTC, datetime, timedelta
from uuid import uuid4

import django

MEMBERS = 10
NAME, MASS = "Quillonaria", 41.7391


def build(children: int, tries: int) -> dict[str, object]:
    from accounts import tokens
    from accounts.models import TEACHER, School, Studio
    from accounts.scope import scope_of
    from classes.models import Class, Identity, Measurement
    from tests import factories
    from tests.classes.fact_school import SCHOOL, TODAY
    from tests.classes.fact_school import build as fact_school

    school = fact_school()
    row, klass = School.objects.get(), Class.objects.get()
    now = datetime.now(UTC)
    students = [
        factories.StudentFactory(
            school=row, identity__given_name=f"{NAME} {number}", classes=[klass]
        )
        for number in range(children)
    ]
    Measurement.objects.create(
        school=row, student=students[0], kind="mass_kg", on=TODAY, value=MASS
    )
    members = [
        factories.MemberFactory(
            school=row, name=f"Teacher {n}", role=TEACHER, studios=[Studio.objects.get()]
        )
        for n in range(MEMBERS)
    ]
    scopes = [scope_of(school=SCHOOL, member=one.name, on=now.date()) for one in members]
    said = {
        "head": "Marit O.",
        "school": SCHOOL,
        "class": str(klass.id),
        "students": [str(student.id) for student in students],
        "skill_id": str(school.skills["table"]),
        "tokens": [tokens.issue(one, member_id=one.member_id, at=now) for one in scopes],
        "names": Identity.objects.count(),
    }
    _log(school, students, tries)
    return said


def _log(school, students, tries):
    from datetime import date

    from classes import attempts
    from classes.attempt_rows import AttemptRow

    lesson = school.lesson(date(2026, 3, 10))
    rows = [
        AttemptRow(
            id=uuid4(),
            attempt=uuid4(),
            revision=1,
            student_id=student.id,
            skill_id=school.skills["table"],
            role="solo",
            spot="none",
            outcome=("clean", "shaky")[number % 2],
            measure=None,
            weight="own",
            try_id=uuid4(),
            way_in="",
            way_out="",
            surface="",
            lesson_id=lesson.id,
            edition_id=None,
            member_id=school.teacher.member_id,
            happened_at=lesson.starts_at + timedelta(seconds=number),
            clock_offset_ms=0,
            local_date=lesson.on,
        )
        for student in students
        for number in range(tries)
    ]
    received = lesson.starts_at + timedelta(hours=2)
    for start in range(0, len(rows), 500):
        attempts.store(school.teacher, rows=rows[start : start + 500], received_at=received)


if __name__ == "__main__":
    django.setup()
    json.dump(build(int(sys.argv[1]), int(sys.argv[2])), sys.stdout)
