"""The file format `readiness/1`: one chain's rows and parameters in, every step of it out."""

from __future__ import annotations

import json
import math
from collections.abc import Sequence
from datetime import UTC, datetime, timedelta

from engine.files import BadFile, Node, load_json
from engine.readiness.chain import ImpossibleRow, trace
from engine.readiness.forgetting import decay
from engine.readiness.parameters import OUTCOMES, SPOTS, BadParameters, Parameters
from engine.readiness.register import REMOVED, IdReused, Row, counted

FORMAT = "readiness/1"
DAY = timedelta(days=1)

_FILE_KEYS = frozenset({"format", "parameters", "rows", "now"})
_PARAMETER_KEYS = frozenset(
    {"states", "prior", "emission", "practice", "forgetting_per_day", "spot_given"}
)
_ROW_KEYS = frozenset(
    {"id", "attempt", "revision", "happened_at", "date", "spot", "outcome", "weight"}
)


def run_trace(text: str | bytes) -> str:
    """The answer to a `readiness/1` file, as JSON text. Raises `BadFile`."""
    document = load_json(text)
    document.mapping(allowed=_FILE_KEYS)
    format_node = document.get("format")
    if format_node is not None and format_node.value != FORMAT:
        format_node.fail(f'should be "{FORMAT}"')
    parameters = read_parameters(document["parameters"])
    rows = read_rows(document["rows"])
    now_node = document["now"]
    now = now_node.instant()
    try:
        standing = counted(rows)
    except IdReused as error:
        raise BadFile(f"/rows/{error.position}/id", str(error)) from None
    if standing and now < standing[-1].happened_at:
        now_node.fail(f"should not be before the last try, {standing[-1].happened_at.isoformat()}")
    try:
        answer = answer_to(standing, now, parameters)
    except ImpossibleRow as error:
        place = f"/{error.row.spot}" if error.field == "emission" else ""
        raise BadFile(f"/parameters/{error.field}{place}", str(error)) from None
    return json.dumps(answer, allow_nan=False)


def answer_to(standing: Sequence[Row], now: datetime, parameters: Parameters) -> dict[str, object]:
    """The answer for counted rows in order, read at `now`. Raises `ImpossibleRow`."""
    steps = trace(standing, parameters)
    belief = list(parameters.prior)
    if steps:
        days = (now - standing[-1].happened_at) / DAY
        belief = decay([steps[-1].after], [days], parameters)[0].tolist()
    return {
        "format": FORMAT,
        "steps": [
            {
                "attempt": step.row.attempt,
                "before": step.before,
                "posterior": step.posterior,
                "after": step.after,
                "log_likelihood": step.log_likelihood,
            }
            for step in steps
        ],
        "now": belief,
        "log_likelihood": math.fsum(step.log_likelihood for step in steps),
        "counted": len(steps),
        "expected_further_tries": {
            help_needed: expected_further_tries(belief, state, parameters)
            for state, help_needed in enumerate(parameters.help)
            if state > 0
        },
    }


def expected_further_tries(
    belief: Sequence[float], state: int, parameters: Parameters
) -> float | None:
    """Mean number of tries until the chain is at or above `state`, under practice alone.

    The absorbing chain goes up one state at a time, so from s it takes the sum of 1 / (chance of
    going up) over the states s to `state` - 1. None if a state of positive probability cannot
    reach it.
    """
    mean = tries_to_go = 0.0
    for below in range(state - 1, -1, -1):
        up = parameters.practice[below][below + 1]
        tries_to_go += 1 / up if up else math.inf
        if belief[below] > 0:
            mean += belief[below] * tries_to_go
    return mean if math.isfinite(mean) else None


def read_parameters(node: Node) -> Parameters:
    node.mapping(allowed=_PARAMETER_KEYS)
    emission = node["emission"]
    emission.mapping(allowed=frozenset(SPOTS))
    spot_given = node.get("spot_given")
    try:
        return Parameters(
            states=node["states"].integer(),
            prior=_numbers(node["prior"]),
            emission=tuple(_table(emission[spot]) for spot in SPOTS),
            practice=_table(node["practice"]),
            forgetting_per_day=_numbers(node["forgetting_per_day"]),
            spot_given=None if spot_given is None else _table(spot_given),
        )
    except BadParameters as error:
        path = "/".join(map(str, error.path))
        raise BadFile(f"{node.pointer}/{path}", error.message) from None


def _table(node: Node) -> tuple[tuple[float, ...], ...]:
    return tuple(_numbers(row) for row in node.items())


def _numbers(node: Node) -> tuple[float, ...]:
    return tuple(item.number() for item in node.items())


def read_rows(node: Node) -> list[Row]:
    return [_read_row(row) for row in node.items()]


def _read_row(node: Node) -> Row:
    node.mapping(allowed=_ROW_KEYS)
    happened_at = node["happened_at"].instant().astimezone(UTC)
    date_node, weight_node = node.get("date"), node.get("weight")
    return Row(
        id=node["id"].text(),
        attempt=node["attempt"].text(),
        revision=node["revision"].integer(low=1),
        happened_at=happened_at,
        date=happened_at.date() if date_node is None else date_node.day(),
        spot=node["spot"].choice(SPOTS),
        outcome=node["outcome"].choice((*OUTCOMES, REMOVED)),
        weight=1.0 if weight_node is None else weight_node.number(above=0, high=1),
    )
