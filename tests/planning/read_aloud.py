"""Whether a sheet may be read aloud before the children."""

import re

from planning.words import CAUTION

# What is never said at all; common practice, no published source.
NEVER = re.compile(
    r"""\b(
        mass | weigh\w* | heav(y|ier|iest|ily) | kg | kgs | kilo\w* | pounds? | lbs? | stones? | bmi
        | ratio | load(s|ed)? | measur\w*
        | best | worst | rank(s|ed|ing)? | fault\w* | fail\w*
        | safe(ly|r|st|ty)? | cleared | clearance | approv\w*
        | (light|small|tall|short|fat|thin|big|strong|weak)(er|est)?
        | fatter | fattest | thinner | thinnest | bigger | biggest
    )\b""",
    re.IGNORECASE | re.VERBOSE,
)
# Said of a movement, never of a child.
OF_A_MOVEMENT = re.compile(r"\b(small jump|small hop|short steps)\b", re.IGNORECASE)


def said_of_children(text: str) -> list[str]:
    """The words of a sheet's text that do not fit to be read aloud, in their order.

    The caution is taken out first: it alone may speak of a clearance, to say that it is none.
    """
    said = " ".join(text.split()).replace(CAUTION, "")
    return [found.group() for found in NEVER.finditer(OF_A_MOVEMENT.sub("", said))]


def assert_fit_to_read_aloud(text: str) -> None:
    """Fail with the words that do not fit."""
    assert said_of_children(text) == []
