"""Drafts are for head teachers alone; the others teach what is published."""

import json

from tests.api.rights.table import Right
from tests.curriculum.build import DOCUMENT

NEVER = {"teacher": "403 403 403", "assistant": "403 403 403"}
FILE = {"body": lambda place: json.dumps(DOCUMENT).encode(), "content": "application/yaml"}
READ = {"headers": lambda place: {"If-Match": '"v1"'}}


def one(place):
    return {"draft": place.draft}


RIGHTS = [
    # A number is a school's own: that of another school names one's own edition.
    Right(
        "POST",
        "edition-draft",
        "201 201 201",
        **NEVER,
        url=lambda place: {"number": place.number},
    ),
    Right("GET", "drafts", "200 200 200", **NEVER),
    Right("POST", "drafts", "201 201 201", **NEVER, **FILE),
    Right("GET", "draft", "200 200 404", **NEVER, url=one),
    Right("PUT", "draft", "200 200 404", **NEVER, url=one, **FILE, **READ),
    Right("DELETE", "draft", "204 204 404", **NEVER, url=one, **READ),
    Right("GET", "draft-checks", "200 200 404", **NEVER, url=one),
    Right("POST", "draft-publish", "201 201 404", **NEVER, url=one, **READ),
]
