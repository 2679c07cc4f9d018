"""Every route is asked by everybody about every place; a route without a row fails."""

import importlib
import json
import pkgutil

import pytest
from django.db import transaction
from django.urls import URLResolver, get_resolver, reverse

from tests import factories
from tests.api import cast, rights
from tests.api.rights.table import PLACES

ROWS = [
    right
    for module in sorted(pkgutil.iter_modules(rights.__path__), key=lambda one: one.name)
    if module.name != "table"
    for right in importlib.import_module(f"{rights.__name__}.{module.name}").RIGHTS
]
CALLERS = ("head", "teacher", "assistant")
# What counts requests and tells of readings changes with every call.
MAY_CHANGE = {"accounts.Rate", "accounts.Event", "accounts.Token"}


def routes():
    """Each method of each route of the service, by name."""
    found = set()
    pending = [(get_resolver().url_patterns, "")]
    while pending:
        patterns, space = pending.pop()
        for pattern in patterns:
            if isinstance(pattern, URLResolver):
                inner = f"{space}{pattern.namespace}:" if pattern.namespace else space
                pending.append((pattern.url_patterns, inner))
                continue
            assert pattern.name, f"a route without a name: {pattern.pattern}"
            view = getattr(pattern.callback, "cls", None) or pattern.callback.view_class
            found |= {
                (method.upper(), space + pattern.name)
                for method in view.http_method_names
                if hasattr(view, method) and method not in ("options", "head")
            }
    return found


def test_every_route_stands_in_the_table_and_no_other():
    assert {(row.method, f"api:{row.route}") for row in ROWS} == routes()


def call(world, client, right, place):
    url = reverse(f"api:{right.route}", kwargs=right.url(place))
    said = {"headers": right.headers(place)}
    if right.query(place):
        said["query_params"] = right.query(place)
    if right.body is not None:
        body = right.body(place)
        raw = isinstance(body, bytes)
        said |= {"data": body if raw else json.dumps(body), "content_type": right.content}
    return client.generic(right.method, url, **said)


def told(response):
    """Everything that an answer says: its body and its headers."""
    body = b"".join(response.streaming_content) if response.streaming else response.content
    headers = " ".join(f"{name}: {value}" for name, value in response.headers.items())
    return body.decode("utf-8", "replace") + headers


def canaries(world, visible):
    """Names and ids of all places but those that may be seen."""
    for where in set(PLACES) - visible:
        place = world.places[where]
        yield from place.names
        yield from (place.studio, place.klass, *place.ids.values())


def rows_of(school):
    kept = factories.every_row()
    return {
        label: [row for row in rows if school in row]
        for label, rows in kept.items()
        if label not in MAY_CHANGE
    }


@pytest.mark.parametrize("right", ROWS, ids=lambda right: right.label)
def test_rights(world, right):
    clients = {who: world.client(who) for who in CALLERS}
    for who in CALLERS:
        sees = {"own", "sister"} if who == "head" else {"own"}
        for where, status in right.statuses(who).items():
            place = world.places[where]
            elsewhere = [p.school for w, p in world.places.items() if w == "foreign"]
            before = rows_of(f"UUID('{elsewhere[0]}')")
            with transaction.atomic():
                response = call(world, clients[who], right, place)
                said = told(response)
                after = rows_of(f"UUID('{elsewhere[0]}')")
                transaction.set_rollback(True)
            about = f"{right.label} as {who} about {where}: {said[:400]}"
            assert response.status_code == status, about
            assert after == before, about
            sent = {*right.url(place).values(), *map(str, right.query(place).values())}
            if right.body and status != 201:
                sent.add(json.dumps(right.body(place), default=str))
            for canary in canaries(world, sees):
                if not any(canary in str(one) for one in sent):
                    assert canary not in said, f"{canary} leaks in {about}"
            for mass in cast.MASSES.values():
                assert str(mass) not in said or (who == "head" and "mass" in right.route), about


@pytest.mark.parametrize("right", ROWS, ids=lambda right: right.label)
def test_without_a_token(world, right):
    response = call(world, world.client(None), right, world.own)
    assert response.status_code == right.nobody
