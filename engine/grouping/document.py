"""Problems and answers as grouping/1 documents."""

from __future__ import annotations

from collections.abc import Iterator

from engine.files import Node, load_json
from engine.grouping.problem import Answer, Pair, Problem, Role, Skill, Student

FORMAT = "grouping/1"
TAKEN_ROLE_NAMES = frozenset({"adults", "ask"})  # keys of a group in the answer
MOST_COUNT = 1_000_000  # of turns, repeats, seats: above any class, far below 64-bit sums

_TOP = frozenset(
    {
        "format",
        "skill",
        "students",
        "adults",
        "turns_under_one_spot",
        "mats",
        "apart",
        "together",
        "pairs_ok",
        "past_pairs",
    }
)
_SKILL = frozenset(
    {
        "name",
        "roles",
        "carried_share",
        "max_load_ratio",
        "if_mass_unknown",
        "max_height_difference_cm",
        "flyer_taller_by_at_most_cm",
        "keep_partners",
    }
)
_ROLE = frozenset({"min", "max", "min_readiness", "students_may_fill", "adults_may_fill"})
_STUDENT = frozenset({"id", "height_cm", "mass_kg", "readiness", "barred", "turns"})


def read_problem(text: bytes | str) -> Problem:
    """Read a grouping/1 document; `format` may be absent. Raises `engine.files.BadFile`."""
    root = load_json(text)
    root.mapping(allowed=_TOP)
    version = root.get("format")
    if version is not None and version.text() != FORMAT:
        version.fail(f"should be {FORMAT}")
    turns = root.get("turns_under_one_spot")
    students = _read_students(root["students"])
    known = frozenset(student.id for student in students)
    return Problem(
        skill=_read_skill(root["skill"]),
        students=students,
        adults=root["adults"].integer(low=0),
        mats=root["mats"].integer(low=0),
        turns_under_one_spot=1 if turns is None else turns.integer(low=1),
        apart=tuple(_read_pair(node, known) for node in _list(root, "apart", 2)),
        together=tuple(_read_pair(node, known) for node in _list(root, "together", 2)),
        pairs_ok=tuple(_read_pair(node, known) for node in _list(root, "pairs_ok", 2)),
        past_pairs=tuple(_read_past(node, known) for node in _list(root, "past_pairs", 3)),
    )


def _read_skill(node: Node) -> Skill:
    node.mapping(allowed=_SKILL)
    name = node.get("name")
    share = node.get("carried_share")
    ratio = node.get("max_load_ratio")
    unknown = node.get("if_mass_unknown")
    difference = node.get("max_height_difference_cm")
    taller = node.get("flyer_taller_by_at_most_cm")
    return Skill(
        roles=tuple(_read_role(key, role) for key, role in node["roles"].mapping().items()),
        name="" if name is None else name.text(empty=True),
        carried_share=1.0 if share is None else share.number(low=0),
        max_load_ratio=None if ratio is None else ratio.number(low=0),
        if_mass_unknown="bar" if unknown is None else unknown.choice(("bar", "ask")),
        max_height_difference_cm=None if difference is None else difference.number(low=0),
        flyer_taller_by_at_most_cm=None if taller is None else taller.number(),
        keep_partners=_flag(node, "keep_partners", default=False),
    )


def _read_role(name: str, node: Node) -> Role:
    if name in TAKEN_ROLE_NAMES or not name.strip():
        node.fail(f"a role cannot be named {name!r}")
    node.mapping(allowed=_ROLE)
    least = node["min"].integer(low=0, high=MOST_COUNT)
    most = node["max"].integer(low=0)
    if least > most:
        node["min"].fail(f"{least} is above max {most}")
    return Role(
        name=name,
        min=least,
        max=most,
        min_readiness=node["min_readiness"].number(low=0, high=1),
        students_may_fill=_flag(node, "students_may_fill", default=True),
        adults_may_fill=_flag(node, "adults_may_fill", default=False),
    )


def _read_students(node: Node) -> tuple[Student, ...]:
    students: dict[str, Student] = {}
    for item in node.items():
        student = _read_student(item)
        if student.id in students:
            item["id"].fail(f"{student.id!r} is the id of two students")
        students[student.id] = student
    return tuple(students.values())


def _read_student(node: Node) -> Student:
    node.mapping(allowed=_STUDENT)
    height, mass = node.get("height_cm"), node.get("mass_kg")
    return Student(
        id=node["id"].text(),
        height_cm=None if height is None else height.number(above=0),
        mass_kg=None if mass is None else _read_mass(mass),
        readiness={
            role: value.number(low=0, high=1) for role, value in _members(node, "readiness")
        },
        barred=frozenset(item.text() for item in _list(node, "barred")),
        turns={
            role: value.integer(low=0, high=MOST_COUNT) for role, value in _members(node, "turns")
        },
    )


def _read_mass(node: Node) -> tuple[float, float]:
    low_node, high_node = node.items(length=2)
    low, high = low_node.number(above=0), high_node.number(above=0)
    if low > high:
        low_node.fail(f"the lower end {low:g} is above the upper end {high:g}")
    return low, high


def _read_pair(node: Node, known: frozenset[str]) -> Pair:
    one_node, other_node = list(node.items())[:2]
    one, other = one_node.text(), other_node.text()
    for item, name in ((one_node, one), (other_node, other)):
        if name not in known:
            item.fail(f"{name!r} is not the id of a student")
    if one == other:
        other_node.fail(f"{one!r} is paired with herself")
    return one, other


def _read_past(node: Node, known: frozenset[str]) -> tuple[str, str, int]:
    count = list(node.items())[2]
    return (*_read_pair(node, known), count.integer(low=0, high=MOST_COUNT))


def _list(node: Node, key: str, length: int | None = None) -> Iterator[Node]:
    found = node.get(key)
    for item in () if found is None else found.items():
        if length is not None:
            list(item.items(length=length))
        yield item


def _members(node: Node, key: str) -> Iterator[tuple[str, Node]]:
    found = node.get(key)
    return iter(() if found is None else found.mapping().items())


def _flag(node: Node, key: str, *, default: bool) -> bool:
    found = node.get(key)
    return default if found is None else found.boolean()


def write_answer(answer: Answer) -> dict[str, object]:
    """The grouping/1 document of an answer; `kept` only where groups were standing."""
    objective: dict[str, int] = {"placed": answer.objective.placed}
    if answer.objective.kept is not None:
        objective["kept"] = answer.objective.kept
    for level in ("fairness", "asks", "readiness", "repeats"):
        objective[level] = getattr(answer.objective, level)
    document: dict[str, object] = {"format": FORMAT, "status": answer.status}
    if answer.gap is not None:
        gap = answer.gap
        document["gap"] = {"level": gap.level, "found": gap.found, "bound": gap.bound}
    return document | {
        "groups": [
            {name: list(held) for name, held in group.roles.items()}
            | {"adults": group.adults, "ask": [list(pair) for pair in group.ask]}
            for group in answer.groups
        ],
        "still_to_place": [
            {"id": one.id, "reason": one.reason, "detail": one.detail}
            for one in answer.still_to_place
        ],
        "objective": objective,
    }
