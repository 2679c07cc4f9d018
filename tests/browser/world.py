"""The demo school, a full and an empty lesson today, and a school of two studios beside it:
`python -m tests.browser.world` fills it."""

import json
import sys
from datetime import timedelta
from io import StringIO
from uuid import uuid4

from tests.browser import two_studios

PASSWORD = "seven quiet herons wade"  # noqa: S105, of a school that lasts as long as one test run
EMAILS = {
    "Marit O.": "marit@orrowmere.example",
    "Tendai R.": "tendai@orrowmere.example",
    "Aroha T.": "aroha@orrowmere.example",
}
HEAD, TEACHER, ASSISTANT = EMAILS
SKILL = "kneeling_on_a_table"


class Api:
    """What a member asks over HTTP, without a server."""

    def __init__(self, token):
        from django.test import Client

        self._client = Client(headers={"Authorization": f"Token {token}"})

    def ask(self, method, path, said=None, **headers):
        body = {} if said is None else {"data": json.dumps(said)}
        answer = getattr(self._client, method)(
            f"/api/v1/{path}", content_type="application/json", headers=headers, **body
        )
        assert answer.status_code < 300, (path, answer.content[:2000])
        return answer.json()


def fill() -> dict:
    """What the tests need to know of it."""
    from django.core.management import call_command
    from django.utils import timezone

    from accounts import sign_in
    from accounts.scope import scope_of
    from accounts.tokens import issue
    from demo import files

    now = timezone.now()
    call_command("demo", stdout=StringIO())
    members, tokens = {}, {}
    for name, email in EMAILS.items():
        scope = scope_of(school=files.SCHOOL, member=name, on=now.date())
        members[name] = str(scope.member_id)
        sign_in.give(scope, member_id=scope.member_id, email=email, password=PASSWORD, at=now)
        tokens[name] = issue(scope, member_id=scope.member_id, at=now)
    two_studios.fill(now, PASSWORD)
    emails = EMAILS | {two_studios.HEAD: two_studios.EMAIL}
    said = {"members": members, "password": PASSWORD, "emails": emails, "school": files.SCHOOL}
    apis = {name: Api(token) for name, token in tokens.items()}
    lessons = _lessons(apis, members, today=timezone.localdate(now))
    edition = apis[HEAD].ask("get", "editions")["rows"][0]["number"]
    draft = apis[HEAD].ask("post", f"editions/{edition}/draft")["id"]
    return said | {"tokens": tokens, "edition": str(edition), "draft": draft} | lessons


def _lessons(apis, members, *, today):
    head, teacher = apis[HEAD], apis[TEACHER]
    klass = next(
        one for one in teacher.ask("get", "classes")["rows"] if one["name"] == "Tuesday beginners"
    )
    empty = head.ask(
        "post",
        "classes",
        {"name": "Nobody yet", "studio": klass["studio"], "weekday": "Sunday", "starts": "09:00"},
    )
    on = today.isoformat()
    full, bare = (
        teacher.ask("post", "lessons", {"class": one["id"], "on": on}) for one in (klass, empty)
    )
    teacher.ask("patch", f"lessons/{full['id']}", {"spotters": [members[ASSISTANT]], "mats": 3})
    days = f"first={today + timedelta(days=1)}&last={today + timedelta(days=8)}"
    coming = teacher.ask("get", f"lessons?{days}&class={klass['id']}")["rows"]
    teacher.ask("post", f"lessons/{full['id']}/groups/{SKILL}/regroup", **{"If-Match": '"v0"'})
    sheet = teacher.ask("get", f"lessons/{full['id']}/sheet")
    child = sheet["children"][0]
    _tries(teacher, klass["id"], on, child["id"], sheet["cards"])
    return {
        "class": klass["id"],
        "klass": klass["id"],
        "colleague": members[ASSISTANT],
        "skill": SKILL,
        "lesson": full["id"],
        "empty": bare["id"],
        "next": coming[0]["id"],
        "on": on,
        "student": child["id"],
        "children": {one["name"]: one["id"] for one in sheet["children"]},
    }


def _tries(teacher, class_id, on, student, cards):
    card = next(one for one in cards if one["skill"] == "front_plank")
    row = {
        "revision": 1,
        "student": student,
        "skill_id": card["skill_id"],
        "role": "solo",
        "spot": "none",
        "outcome": "clean",
        "weight": "own",
        "class": class_id,
        "local_date": on,
        "happened_at": f"{on}T00:00:00Z",
        "clock_offset_ms": 0,
    }
    ids = [str(uuid4()) for _ in range(2)]
    rows = [row | {"id": one, "attempt": one, "try_id": one} for one in ids]
    teacher.ask("post", "attempts/batch", {"rows": rows})
    fall = {"student": student, "skill_id": card["skill_id"], "role": "solo", "kind": "near_miss"}
    fall |= {"id": str(uuid4()), "phase": "hold", "class": class_id, "on": on}
    teacher.ask("post", "falls/batch", {"rows": [fall]})


if __name__ == "__main__":
    import django

    django.setup()
    sys.stdout.write(json.dumps(fill()))
