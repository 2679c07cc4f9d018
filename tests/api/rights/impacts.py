"""What a draft or an edition would change for children is for head teachers, who decide on it."""

from tests.api.rights.drafts import NEVER
from tests.api.rights.drafts import one as draft
from tests.api.rights.editions import one as edition
from tests.api.rights.table import Right


def at(place):
    return {"studio": place.studio}


RIGHTS = [
    Right("GET", "draft-impact", "200 200 404", **NEVER, url=draft, query=at),
    Right("GET", "edition-impact", "200 200 404", **NEVER, url=edition, query=at),
]
