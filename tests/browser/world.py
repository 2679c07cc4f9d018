"""The demo school with sign-ins and a lesson today: `python -m tests.browser.world` fills it in."""

import json
import os
import sys
from datetime import timedelta
from zoneinfo import ZoneInfo

PASSWORD = "seven quiet herons wade"  # noqa: S105, of a school that lasts as long as one test run
EMAILS = {
    "Marit O.": "marit@orrowmere.example",
    "Tendai R.": "tendai@orrowmere.example",
    "Aroha T.": "aroha@orrowmere.example",
}


def fill() -> dict:
    """What the tests need to know of it."""
    from django.core.management import call_command
    from django.utils import timezone

    from accounts import sign_in
    from accounts.models import Member
    from accounts.scope import scope_of
    from classes import classes, lessons
    from demo import files
    from demo.term import TUESDAY_CLASS

    now = timezone.now()
    call_command("demo", stdout=open(os.devnull, "w"))  # noqa: SIM115, PTH123, ends with us
    said = {"members": {}, "password": PASSWORD, "emails": EMAILS}
    for name, email in EMAILS.items():
        scope = scope_of(school=files.SCHOOL, member=name, on=now.date())
        said["members"][name] = str(scope.member_id)
        sign_in.give(scope, member_id=scope.member_id, email=email, password=PASSWORD, at=now)
    teacher = scope_of(school=files.SCHOOL, member=files.TEACHER, on=now.date())
    found = [one for one in classes.classes(teacher) if one.name == TUESDAY_CLASS]
    today = timezone.localdate(now, timezone=ZoneInfo(found[0].zone))
    lesson = lessons.add(teacher, class_id=found[0].id, on=today, at=now)
    spotters = [Member.objects.get(school_id=teacher.school_id, name=files.ASSISTANT).id]
    lessons.change(teacher, lesson_id=lesson.id, said={"spotters": spotters, "mats": 3}, at=now)
    planned = lessons.between(
        teacher,
        first=today + timedelta(days=1),
        last=today + timedelta(days=8),
        class_id=found[0].id,
    )
    return said | {
        "school": files.SCHOOL,
        "class": str(found[0].id),
        "lesson": str(lesson.id),
        "on": today.isoformat(),
        "next": str(planned[0].id),
    }


if __name__ == "__main__":
    import django

    django.setup()
    sys.stdout.write(json.dumps(fill()))
