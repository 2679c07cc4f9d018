"""No request opens a connection to the broker: each route is asked with the doors trapped."""

import socket

import kombu
import pytest
import redis
from celery import Celery, Task
from django.db import transaction
from rest_framework.test import APIClient

from classes.tasks import refresh
from tests.api.test_rights import ROWS, call

# PostgreSQL's library opens its sockets below Python and is not caught.
DOORS = (
    (socket.socket, "connect"),
    (socket.socket, "connect_ex"),
    (kombu.Connection, "__init__"),
    (redis.connection.AbstractConnection, "connect"),
    (Celery, "send_task"),
    (Task, "apply_async"),
)


@pytest.fixture
def knocked(monkeypatch):
    """Which doors were tried."""
    found = []

    def trap(name):
        def caught(*args, **kwargs):
            found.append(name)
            raise ConnectionError("nobody answers requests with the broker")

        return caught

    for owner, name in DOORS:
        monkeypatch.setattr(owner, name, trap(f"{owner.__name__}.{name}"))
    return found


def test_the_trap_springs(knocked):
    with pytest.raises(ConnectionError):
        refresh.apply_async(kwargs={"school_id": "", "student_ids": []})
    with pytest.raises(ConnectionError):
        socket.create_connection(("127.0.0.1", 9))
    assert knocked == ["Task.apply_async", "socket.connect"]


def test_no_route_knocks(world, knocked, django_capture_on_commit_callbacks):
    client: APIClient = world.client("head")
    for right in ROWS:
        with transaction.atomic(), django_capture_on_commit_callbacks(execute=True):
            response = call(world, client, right, world.own)
            transaction.set_rollback(True)
        assert response.status_code == right.statuses("head")["own"], right.label
        assert knocked == [], right.label
