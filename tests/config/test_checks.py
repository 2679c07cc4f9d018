"""What the database server must promise, read from the server itself."""

import pytest
from django.core.checks import run_checks
from django.db import connection

from config.checks import server_settings

GOOD = {
    "synchronous_commit": "on",
    "log_error_verbosity": "terse",
    "log_min_error_statement": "panic",
}


def found(**settings):
    """Ids and texts of the check, the server's settings being these for now."""
    with connection.cursor() as cursor:
        for name, value in (GOOD | settings).items():
            cursor.execute("SELECT set_config(%s, %s, true)", [name, value])
    return [(one.id, one.msg) for one in server_settings(None, databases=["default"])]


@pytest.fixture
def server(db):
    if connection.vendor != "postgresql":
        pytest.skip("these are settings of PostgreSQL")


def test_a_server_that_keeps_and_hides_is_right(server):
    assert found() == []


def test_a_server_that_may_lose_what_was_acknowledged_is_an_error(server):
    assert found(synchronous_commit="off") == [
        ("config.E001", "PostgreSQL's synchronous_commit is off, not on")
    ]


def test_a_server_that_writes_rows_into_its_log_is_warned_of(server):
    assert found(log_error_verbosity="default", log_min_error_statement="error") == [
        ("config.W001", "PostgreSQL's log_error_verbosity is default, not terse"),
        ("config.W002", "PostgreSQL's log_min_error_statement is error, not panic"),
    ]


def test_what_we_ask_of_each_connection(server):
    with connection.cursor() as cursor:
        cursor.execute("SHOW synchronous_commit")
        assert cursor.fetchone() == ("on",)


def test_sqlite_is_not_asked_and_no_server_before_deploying(db):
    if connection.vendor == "sqlite":
        assert server_settings(None, databases=["default"]) == []
    assert not [one for one in run_checks(databases=["default"]) if one.id.startswith("config.")]
