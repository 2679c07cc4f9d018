"""A grouping/1 document in, a grouping/1 document out."""

from __future__ import annotations

import json

from engine.grouping.document import read_problem, write_answer
from engine.grouping.solve import solve


def run(text: bytes | str, effort: float | None = None) -> str:
    """The answer to a problem as JSON text; `effort` as in `solve`.

    Raises `engine.files.BadFile`, whose text is one line that points at the field.
    """
    answer = solve(read_problem(text), effort)
    return json.dumps(write_answer(answer), ensure_ascii=False, indent=2)
