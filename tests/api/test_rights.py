"""Every route is asked by everybody about every place; a route without a row fails."""

import json
import re
from contextlib import contextmanager
from pathlib import Path

import pytest
from django.apps import apps
from django.db import connection, transaction
from django.urls import URLResolver, get_resolver, reverse
from drf_spectacular.generators import SchemaGenerator

from tests import factories
from tests.api import cast
from tests.api.rights import ROWS
from tests.api.rights.table import CALLERS, PLACES, as_markdown

PAGE = Path(__file__).parents[2] / "docs" / "rights.md"
UUID = re.compile(r"[0-9a-f]{8}(-[0-9a-f]{4}){3}-[0-9a-f]{12}")
# What counts requests and tells of readings changes with every call.
NOBODY = "00000000-0000-4000-8000-000000000000"
# Of each one somebody has asked whether an assistant could read a mass out of the answers.
PARAMETERS = {
    *("about", "after", "class", "confirm", "confirmed", "cursor", "dry_run", "first", "last"),
    *("lesson", "limit", "member", "number", "on", "open", "role", "since", "skill", "student"),
    *("studio", "term", "what"),
}
SHARED = {"skill_id", "edition", "term"}
# What is of a token or of a browser alone.
TOKEN_OR_BROWSER = {"DELETE token-current": 401, "PUT session": 200}
OPEN = {row.route for row in ROWS if row.nobody != 401}
MAY_CHANGE = {"accounts.Rate", "accounts.Event", "accounts.Token"}
READS = re.compile(
    r"\s*(SELECT|SAVEPOINT|RELEASE|ROLLBACK|WITH(?!.*\b(INSERT|UPDATE|DELETE)\b))\b", re.DOTALL
)


def body_of(right):
    """The kind of a body, without a cast: bytes are a file."""
    return {} if right.body is not None and right.content == "application/json" else None


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
    rows = [(row.method, f"{'api:' if row.api else ''}{row.route}") for row in ROWS]
    assert set(rows) == routes()
    assert len(rows) == len(set(rows))


def address(right, place):
    return reverse(f"{'api:' if right.api else ''}{right.route}", kwargs=right.url(place))


def call(world, client, right, place):
    url = address(right, place)
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
    """Names and ids of all places but those that may be seen; a school's own are in several."""
    shared = {id_ for where in visible for id_ in world.places[where].ids.values()}
    for where in set(PLACES) - visible:
        place = world.places[where]
        yield from place.names
        yield from {place.studio, place.klass, *place.ids.values()} - shared


def rows_elsewhere(world, who):
    """The rows of the other school, and for whom the sister studio is hidden those of it too."""
    marks = [world.foreign.school]
    if who != "head":
        place = world.sister
        ids = (id_ for name, id_ in place.ids.items() if name not in SHARED)
        marks += [place.studio, place.klass, *ids]
    return {
        label: [row for row in rows if any(mark in row for mark in marks)]
        for label, rows in factories.every_row().items()
        if label not in MAY_CHANGE
    }


@pytest.fixture(scope="module")
def elsewhere(built):
    """The same for each who asks, as every test finds it."""
    return {who: rows_elsewhere(built, who) for who in CALLERS}


@contextmanager
def written():
    """Collects what is written meanwhile, but for what may change with every call."""
    may = [f'"{apps.get_model(label)._meta.db_table}"' for label in MAY_CHANGE]
    found = []

    def note(execute, sql, params, many, context):
        if not READS.match(sql) and not any(table in sql for table in may):
            found.append(sql)
        return execute(sql, params, many, context)

    with connection.execute_wrapper(note):
        yield found


def every_row_but_counts():
    rows = factories.every_row()
    return {label: rows[label] for label in rows if label != "accounts.Rate"}


def test_the_page_of_rights_is_this_table():
    # `make rights` writes it anew.
    assert PAGE.read_text(encoding="utf-8") == as_markdown(ROWS)


@pytest.mark.parametrize("right", ROWS, ids=lambda right: right.label)
def test_rights(world, elsewhere, caplog, right):
    clients = {who: world.client(who) for who in CALLERS}
    for who in CALLERS:
        sees = {"own", "sister"} if who == "head" else {"own"}
        before = elsewhere[who]
        for where, status in right.statuses(who).items():
            place = world.places[where]
            with transaction.atomic():
                with written() as changes:
                    response = call(world, clients[who], right, place)
                    said = told(response)
                after = rows_elsewhere(world, who) if changes else before
                transaction.set_rollback(True)
            about = f"{right.label} as {who} about {where}: {said[:400]}"
            assert response.status_code == status, about
            assert after == before, about
            assert right.method != "GET" or not changes, about
            sent = {*right.url(place).values(), *map(str, right.query(place).values())}
            if right.body and status != 201:
                sent.add(json.dumps(right.body(place), default=str))
            for canary in canaries(world, sees):
                if not any(canary in str(one) for one in sent):
                    assert canary not in said, f"{canary} leaks in {about}"
            for mass in cast.MASSES.values():
                assert str(mass) not in caplog.text, about
                assert str(mass) not in said or (who == "head" and "mass" in right.route), about

    for name in (name for place in world.places.values() for name in place.names):
        assert name not in caplog.text, f"{name} is in the log after {right.label}"


@pytest.mark.parametrize("right", ROWS, ids=lambda right: right.label)
def test_without_a_token(world, right):
    response = call(world, world.client(None), right, world.own)
    assert response.status_code == right.nobody
    assert "default-src 'none'" in response["Content-Security-Policy"]
    if right.route not in OPEN:
        response = world.client(None).options(address(right, world.own))
        assert response.status_code == (401 if right.api else 405)


@pytest.mark.parametrize(
    "right", [row for row in ROWS if row.api and row.nobody == 401], ids=lambda right: right.label
)
def test_a_browser_may_what_a_token_may_and_changes_nothing_for_other_pages(world, right):
    for who in CALLERS:
        browser = world.browser(who)
        with transaction.atomic():
            response = call(world, browser, right, world.own)
            transaction.set_rollback(True)
        expected = TOKEN_OR_BROWSER.get(right.label, right.statuses(who)["own"])
        assert response.status_code == expected, f"{right.label} as {who}: {told(response)[:400]}"
    if right.method != "GET":
        browser.credentials(HTTP_X_MEMBER=str(world.members[who].id))
        before = every_row_but_counts()
        refused = call(world, browser, right, world.own)
        assert (refused.status_code, refused.json()["code"]) == (
            (401, "signed_out") if right.route == "token-current" else (403, "csrf_failed")
        )
        assert every_row_but_counts() == before


@pytest.mark.parametrize("right", [r for r in ROWS if r.method == "GET"], ids=lambda r: r.label)
def test_reading_the_head_alone_needs_the_same_right(world, right):
    for who in CALLERS:
        client = world.client(who)
        for where, status in right.statuses(who).items():
            place = world.places[where]
            said = {"headers": right.headers(place), "query_params": right.query(place)}
            response = client.head(address(right, place), **said)
            assert response.status_code == status, f"{right.label} as {who} about {where}"
            assert response.content == b""


@pytest.mark.parametrize("right", ROWS, ids=lambda right: right.label)
def test_what_may_be_asked_is_told_alike_of_what_is_there_and_what_is_not(world, right):
    for who in CALLERS:
        client, said = world.client(who), set()
        there = [address(right, place) for place in world.places.values()]
        for url in (*there, UUID.sub(NOBODY, there[0])):
            response = client.options(url)
            said.add((response.status_code, UUID.sub("id", response.content.decode())))
        assert len(said) == 1, f"{right.label} as {who}: {said}"


def test_nothing_is_found_or_sorted_by_what_it_weighs():
    # What is not in the contract is refused by the base of all views.
    contract = SchemaGenerator().get_schema(request=None, public=True)
    asked = {
        one["name"]
        for item in contract["paths"].values()
        for operation in item.values()
        for one in operation.get("parameters", ())
        if one["in"] == "query"
    }
    assert asked == PARAMETERS


@pytest.mark.parametrize(
    "right", [row for row in ROWS if isinstance(body_of(row), dict)], ids=lambda row: row.label
)
def test_a_related_id_of_elsewhere_is_answered_like_one_that_never_was(world, as_teacher, right):
    for at, known in related(right.body(world.own), world.own):
        answers = set()
        for id_ in (getattr(world.sister, known), getattr(world.foreign, known), NOBODY):
            body = right.body(world.own)
            put(body, at, id_)
            with transaction.atomic():
                response = as_teacher.generic(
                    right.method,
                    address(right, world.own),
                    json.dumps(body),
                    content_type=right.content,
                    headers=right.headers(world.own),
                    query_params=right.query(world.own),
                )
                transaction.set_rollback(True)
            said = UUID.sub("id", response.content.decode())
            answers.add((response.status_code, said))
        assert len(answers) == 1, f"{right.label} {at}: {answers}"
        status, said = answers.pop()
        assert status in (400, 403, 404) or "refused" in said or "unknown" in said, (
            f"{right.label} takes an unknown {at}: {status} {said[:300]}"
        )


def related(body, place, at=()):
    """Where in a body an id of the place stands, and what the place calls it."""
    if isinstance(body, dict):
        for name, value in body.items():
            yield from related(value, place, (*at, name))
    elif isinstance(body, list):
        for index, value in enumerate(body):
            yield from related(value, place, (*at, index))
    else:
        names = {value: name for name, value in place.ids.items()}
        names |= {place.studio: "studio", place.klass: "klass", place.skill_id: "skill_id"}
        # Both studios of a school teach the same skills; `id` is the row's own.
        if at[-1] != "id" and names.get(body, "skill_id") not in SHARED:
            yield at, names[body]


def put(body, at, value):
    for step in at[:-1]:
        body = body[step]
    body[at[-1]] = value
