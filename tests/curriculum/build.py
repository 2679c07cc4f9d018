"""A small curriculum, and the staff of a school that publishes it."""

import json
from copy import deepcopy
from datetime import date

from accounts.models import MemberStudio
from curriculum import drafts, editions
from tests import factories
from tests.factories import AT

SPRING, SUMMER = date(2026, 3, 1), date(2026, 6, 1)


def leaf(skill, **changes):
    return {"skill": skill, "help": "no_spot"} | changes


DOCUMENT = {
    "format": "curriculum/1",
    "name": "spring",
    "families": {"tight": "Holding tight", "lift": "Low lifts"},
    "skills": {
        "table": {
            "name": "Table",
            "family": "tight",
            "criterion": "30 s",
            "roles": {"solo": {"loads": ["wrists"]}},
        },
        "lean": {
            "name": "Lean",
            "family": "tight",
            "criterion": "3 of 3",
            "roles": {"partner": {"min": 2, "max": 2}},
        },
        "seat": {
            "name": "Seat",
            "family": "lift",
            "criterion": "5 s",
            "lifted": True,
            "spot": {"stands": "in front"},
            "way_down": "feet first",
            "caution": "tips backward",
            "roles": {
                "flyer": {"needs": leaf("lean", role="partner")},
                "base": {"needs": {"all_of": [leaf("table"), leaf("lean")]}},
            },
        },
    },
}


def with_skill(key, document=DOCUMENT, /, **changes):
    """The curriculum with one card changed; None takes a member away."""
    document = deepcopy(document)
    card = document["skills"].get(key, {"name": key, "family": "tight", "criterion": "x"}) | changes
    document["skills"][key] = {name: said for name, said in card.items() if said is not None}
    return document


LATER = with_skill("table", criterion="40 s")


def read(document):
    return editions.read_curriculum(said(document))


def publish(scope, document=DOCUMENT):
    return editions.publish(scope, curriculum=read(document), at=AT)


def said(document):
    return json.dumps(document).encode()


def draft_of(scope, document=DOCUMENT):
    return drafts.load(scope, content=said(document), at=AT)


def change_draft(scope, draft, document):
    return drafts.change(
        scope, draft_id=draft.id, version=draft.version, content=said(document), at=AT
    )


def publish_draft(scope, draft):
    return drafts.publish(scope, draft_id=draft.id, version=draft.version, at=AT)


def staff(head, role):
    """A teacher or assistant at every studio of the head teacher's school."""
    member = factories.MemberFactory(school_id=head.school_id, role=role)
    for studio_id in head.studio_ids:
        MemberStudio.objects.create(school_id=head.school_id, member=member, studio_id=studio_id)
    return factories.scope(member)


def studio(head):
    [id_] = head.studio_ids
    return id_


def in_use(scope, on=SPRING, studio_id=None):
    return editions.in_use(scope, studio_id=studio_id or studio(scope), on=on)


def renamed():
    document = deepcopy(DOCUMENT)
    document["skills"]["flat_table"] = document["skills"].pop("table")
    roles = document["skills"]["seat"]["roles"]
    roles["base"]["needs"]["all_of"][0]["skill"] = "flat_table"
    return document | {"succession": [{"from": "table", "to": "flat_table"}]}
