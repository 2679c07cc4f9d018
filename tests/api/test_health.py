"""Whether the process answers, and whether it can do its work."""

import pytest
from django.db import OperationalError, connection
from django.db.migrations.recorder import MigrationRecorder
from django.test import Client

from api import health


@pytest.fixture
def client():
    return Client()


def test_a_process_that_answers_needs_no_database(client):
    response = client.get("/livez")
    assert (response.status_code, response.json()) == (200, {"alive": True})


NEWEST = ("planning", "0002_preparation")


@pytest.fixture
def applied(monkeypatch):
    """What the database says was applied, where the code has one migration; tests run without."""
    found = {NEWEST: None}
    monkeypatch.setattr(health, "_newest", lambda: frozenset({NEWEST}))
    monkeypatch.setattr(MigrationRecorder, "applied_migrations", lambda self: found)
    return found


def test_ready_with_the_database_there_and_migrated(client, db, applied):
    response = client.get("/readyz")
    assert (response.status_code, response.json()) == (200, {"ready": True})
    assert response.headers["Cache-Control"] == "no-store"


def test_not_ready_while_a_migration_is_missing(client, db, applied):
    applied.clear()
    response = client.get("/readyz")
    assert response.status_code == 503
    assert response.headers["Content-Type"] == "application/problem+json"
    assert response.headers["Retry-After"] == "5"
    assert response.json()["detail"] == "Migrations are missing: run `migrate`."


def test_not_ready_while_the_database_is_away(client, db, monkeypatch):
    def away(self):
        raise OperationalError("no route to 10.0.0.7")

    monkeypatch.setattr(MigrationRecorder, "applied_migrations", away)
    monkeypatch.setattr(connection, "close", lambda: None)
    response = client.get("/readyz")
    assert (response.status_code, response.json()["code"]) == (503, "unavailable")
    assert response.json()["detail"] == "The database cannot be reached."
    assert "10.0.0.7" not in response.content.decode()


@pytest.mark.parametrize("path", ["/livez", "/readyz"])
def test_they_are_asked_plainly_even_where_all_else_is_sent_on_to_https(client, db, path, settings):
    settings.SECURE_SSL_REDIRECT = True
    assert Client().get(path).status_code == 200
    assert Client().get("/api/v1/openapi").status_code == 301
