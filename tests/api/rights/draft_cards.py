"""The parts of a draft are for head teachers alone, as the draft is."""

from curriculum.parts import outline_of, tag_of
from tests.api.cast import DRAFT
from tests.api.rights.drafts import NEVER
from tests.api.rights.table import Right

CARD = DRAFT["skills"]["flat_table"]
OUTLINE = {
    "name": "spring",
    "note": "",
    "families": [{"key": "tight", "name": "Holding tight"}, {"key": "lift", "name": "Low lifts"}],
    "skills": ["seat", "lean", "flat_table"],
    "successions": [{"from_key": "table", "to_key": "flat_table"}],
}


def one(place):
    return {"draft": place.draft}


def card(place):
    return one(place) | {"skill": "flat_table"}


def lean(place):
    return one(place) | {"skill": "lean"}


def read(part):
    tag = tag_of(part) if isinstance(part, dict) else part
    return {"headers": lambda place: {"If-Match": f'"{tag}"'}}


READ = read(CARD)
LEAN = read(DRAFT["skills"]["lean"])
SAID = {"body": lambda place: CARD | {"criterion": "40 s"}}
HEIRS = [{"key": "facing_lean", "name": "Facing lean"}, {"key": "side_lean", "name": "Side lean"}]

RIGHTS = [
    Right("GET", "draft-card", "200 200 404", **NEVER, url=card),
    Right("PUT", "draft-card", "200 200 404", **NEVER, url=card, **SAID, **READ),
    Right("DELETE", "draft-card", "204 204 404", **NEVER, url=card, **READ),
    Right("POST", "draft-card-checks", "200 200 404", **NEVER, url=card, **SAID),
    Right(
        "POST",
        "draft-card-rename",
        "200 200 404",
        **NEVER,
        url=lean,
        **LEAN,
        body=lambda place: {"to": "facing_lean"},
    ),
    Right(
        "POST",
        "draft-card-split",
        "200 200 404",
        **NEVER,
        url=lean,
        **LEAN,
        body=lambda place: {"into": HEIRS},
    ),
    Right(
        "POST",
        "draft-card-merge",
        "200 200 404",
        **NEVER,
        url=lean,
        **LEAN,
        body=lambda place: {"into": "flat_table"},
    ),
    Right("GET", "draft-outline", "200 200 404", **NEVER, url=one),
    Right(
        "PUT",
        "draft-outline",
        "200 200 404",
        **NEVER,
        url=one,
        **read(outline_of(DRAFT).tag),
        body=lambda place: OUTLINE,
    ),
]
