"""A map is seen like what it draws; a class or a child on it is for teachers of her studio."""

from tests.api.rights.drafts import NEVER
from tests.api.rights.drafts import one as draft
from tests.api.rights.editions import one as edition
from tests.api.rights.table import Right

TEACHERS = ("200 200 404", "200 404 404", "403 403 403")


RIGHTS = [
    Right("GET", "edition-map", "200 200 200", "200 200 200", "200 200 200", url=edition),
    Right("GET", "draft-map", "200 200 404", **NEVER, url=draft),
    Right("GET", "student-map", *TEACHERS, url=lambda place: {"student": place.student}),
    Right("GET", "class-map", *TEACHERS, url=lambda place: {"klass": place.klass}),
]
