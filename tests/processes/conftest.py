import json

import pytest
from django.db import connection

from tests.processes import machine as machines
from tests.processes.machine import Machine


def pytest_collection_modifyitems(items):
    """They start servers of their own, so they run with the suite on PostgreSQL alone."""
    reason = machines.missing()
    if connection.vendor != "postgresql":
        reason = "real processes: with PostgreSQL and Redis, not with SQLite"
    for item in items:
        if reason and item.path.is_relative_to(machines.ROOT / "tests" / "processes"):
            item.add_marker(pytest.mark.skip(reason=reason))


@pytest.fixture(scope="module")
def machine():
    """PostgreSQL with our tables; what else is needed the test starts itself."""
    one = Machine()
    try:
        one.start_postgres()
        one.run("manage.py", "migrate", "--verbosity", "0")
        yield one
    finally:
        one.close()


@pytest.fixture(scope="module")
def fill(machine):
    """`fill(children, tries)` puts a school into the machine's database, and tells of it."""

    def filled(children, tries):
        return json.loads(machine.run("-m", "tests.processes.world", str(children), str(tries)))

    return filled
