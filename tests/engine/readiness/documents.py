"""Documents in the format readiness/1, whole and broken."""

import json

from engine.readiness.parameters import DEFAULTS, SPOTS

GONE = object()


def parameters_document(parameters=DEFAULTS):
    document = {
        "states": parameters.states,
        "prior": parameters.prior,
        "emission": dict(zip(SPOTS, parameters.emission, strict=True)),
        "practice": parameters.practice,
        "forgetting_per_day": parameters.forgetting_per_day,
    }
    if parameters.spot_given is not None:
        document["spot_given"] = parameters.spot_given
    return document


def row_document(name, **changes):
    document = {
        "id": name,
        "attempt": f"try {name}",
        "revision": 1,
        "happened_at": "2026-03-02T17:05:00Z",
        "date": "2026-03-02",
        "spot": "none",
        "outcome": "clean",
        "weight": 1.0,
        **changes,
    }
    return {key: value for key, value in document.items() if value is not GONE}


def document(*rows, **changes):
    return {
        "format": "readiness/1",
        "parameters": parameters_document(),
        "rows": list(rows),
        "now": "2026-03-20T00:00:00Z",
        **changes,
    }


def changed(*path, to):
    content = document(
        row_document("a"),
        row_document("b", happened_at="2026-03-09T17:05:00Z", date="2026-03-09"),
        row_document("c", happened_at="2026-03-09T17:06:00Z", date="2026-03-09"),
    )
    content = json.loads(json.dumps(content))
    place = content
    for key in path[:-1]:
        place = place[key]
    if to is GONE:
        del place[path[-1]]
    else:
        place[path[-1]] = to
    return json.dumps(content)
