"""One row of the table of rights: who is answered what about which place."""

from collections.abc import Callable
from dataclasses import dataclass, field

PLACES = ("own", "sister", "foreign")
CALLERS = ("head", "teacher", "assistant")


@dataclass(frozen=True)
class Right:
    """A method of a route. `head`, `teacher`, `assistant` are three statuses each: about her own
    studio, another studio of her school, another school.

    `url`, `query` and `body` make of a place what the address, the query and the body say of it.
    `nobody` is what somebody without a token is answered. A body as bytes is a file of `content`.
    """

    method: str
    route: str
    head: str
    teacher: str
    assistant: str
    url: Callable = field(default=lambda place: {})
    query: Callable = field(default=lambda place: {})
    body: Callable | None = None
    headers: Callable = field(default=lambda place: {})
    content: str = "application/json"
    nobody: int = 401
    api: bool = True  # whether the contract tells of it; pages and probes of health are none

    def statuses(self, who: str) -> dict[str, int]:
        return dict(zip(PLACES, map(int, getattr(self, who).split()), strict=True))

    @property
    def label(self) -> str:
        return f"{self.method} {self.route}"


def as_markdown(rows: list[Right]) -> str:
    """The table as a page, one line for each method of a route."""
    lines = [
        "# Rights",
        "",
        "What each route answers: to a head teacher, a teacher and an assistant, each about her",
        "own studio, another studio of her school, and another school; and to whoever has no",
        "token. A browser that is signed in is answered as a token of its member is. A test asks",
        "all of it, and fails for a route that is not here.",
        "",
        "| method | route | head teacher | teacher | assistant | nobody |",
        "|---|---|---|---|---|---|",
    ]
    for row in rows:
        cells = [row.method, row.route, row.head, row.teacher, row.assistant, str(row.nobody)]
        lines.append(f"| {' | '.join(cells)} |")
    asked = len(rows) * len(CALLERS) * len(PLACES) + len(rows)
    lines += ["", f"{len(rows)} methods, {asked} cases.", ""]
    return "\n".join(lines)
