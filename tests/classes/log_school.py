"""The invented school with the skills of the documented curriculum, to log tries in."""

from datetime import date
from uuid import UUID

import pytest

from accounts.faults import BadDocument
from classes import history
from classes.models import Attempt as AttemptModel
from classes.models import Belief, Enrolment, Identity, Lesson, Replay, Student
from classes.tries import Try, counted
from curriculum import editions
from curriculum.models import Skill
from tests.classes import fact_school
from tests.classes.fact_school import AT, EXAMPLES, FactSchool

JOINED = date(2025, 9, 2)
FIRST, SECOND, THIRD = date(2026, 2, 24), date(2026, 3, 3), date(2026, 3, 10)
HEADER = "date,time,student,skill,role,spot,outcome,measure,attempt,revision"
PLAIN = "2026-03-03,17:10,Amara,Standing tight,solo,no spot,clean,,,"
MORE_CHILDREN = ("Clíodhna", "Demba", "Þóra")
LEFT_ALONE = (AttemptModel, Replay, Belief, Lesson)


def build() -> FactSchool:
    """The school of the facts with three more children and the documented curriculum in use."""
    school = fact_school.build()
    head = school.head
    curriculum = editions.read_curriculum((EXAMPLES / "curriculum.yaml").read_bytes())
    number = editions.publish(head, curriculum=curriculum, at=AT).number
    editions.adopt(
        head, studio_id=school.studio_id, number=number, from_date=editions.ALWAYS, at=AT
    )
    for name in MORE_CHILDREN:
        school.children[name] = add_child(school, name)
    school.skills.update(Skill.objects.filter(school=school.id).values_list("key", "id"))
    return school


def add_child(school: FactSchool, name: str, *, class_id: UUID | None = None) -> UUID:
    """A further child with a place in a class; in none where `class_id` is not a class's."""
    student = Student.objects.create(
        school_id=school.id, birth_year=2017, birth_month=3, joined_on=JOINED
    )
    Identity.objects.create(school_id=school.id, student=student, given_name=name)
    Enrolment.objects.create(
        school_id=school.id,
        group_class_id=class_id or school.klass.id,
        student=student,
        from_date=JOINED,
    )
    return student.id


def everything() -> dict[str, list[str]]:
    """All rows of the log, its caches and the lessons."""
    return {
        table._meta.label: sorted(map(str, table.objects.values_list())) for table in LEFT_ALONE
    }


def load(school: FactSchool, *lines: str, header: str = HEADER, scope=None, **asked):
    """How many rows of a good file of tries are new, change one, stand already."""
    asked = {"at": AT, "klass": school.klass} | asked
    content = "\n".join([header, *lines]).encode()
    loaded = history.load(scope or school.teacher, content=content, **asked)
    return loaded.new, loaded.changed, loaded.standing


def tries(school: FactSchool, *names: str) -> tuple[Try, ...]:
    """The counted tries of these children, of all without a name."""
    ids = {school.children[name] for name in names} or school.ids
    return counted(school.head, student_ids=ids, since=None)


def refused(school: FactSchool, *lines: str, **asked) -> list[str]:
    """The faults of a file of tries that is refused, after making sure that it changed nothing."""
    before = everything()
    with pytest.raises(BadDocument) as caught:
        load(school, *lines, **asked)
    assert everything() == before
    return [str(fault) for fault in caught.value.faults]
