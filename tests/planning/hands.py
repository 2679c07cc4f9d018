"""Groups of a lesson as somebody changes them by hand, by names of children."""

from planning import group_changes
from planning.by_hand import Formed
from tests.factories import AT
from tests.planning.build import ON


def asked(rows, key="lean", on=ON):
    return {"lesson_id": rows.lesson(on).id, "skill": key, "at": AT}


def formed(rows, *held, roles=("partner",)):
    """Groups of names; with two roles the first name is the base."""
    found = []
    for names in held:
        ids = [rows.children[name] for name in names.split()]
        if len(roles) == 1:
            found.append(Formed({roles[0]: tuple(ids)}))
        else:
            found.append(Formed({role: (one,) for role, one in zip(roles, ids, strict=True)}))
    return tuple(found)


def put(rows, *held, key="lean", version=0, scope=None, roles=("partner",)):
    return group_changes.put(
        scope or rows.teacher,
        version=version,
        groups=formed(rows, *held, roles=roles),
        **asked(rows, key),
    )


def change(name, rows, version, scope=None, key="lean", **said):
    said = {
        key_: rows.children[value] if key_ in ("a", "b", "student") else value
        for key_, value in said.items()
    }
    function = getattr(group_changes, name)
    return function(scope or rows.teacher, version=version, **asked(rows, key), **said)


def held(view):
    return [
        " ".join(one.name for seats in group.seats for one in seats.students)
        for group in view.groups
    ]
