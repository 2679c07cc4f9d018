import copy

import pytest
from django.db import transaction

from tests.planning import term as terms


@pytest.fixture(scope="module")
def built_term(django_db_setup, django_db_blocker):
    """The class half through its term, built once for a module."""
    with django_db_blocker.unblock(), transaction.atomic():
        yield terms.build()
        transaction.set_rollback(True)


@pytest.fixture
def term(built_term, db):
    """The same: what a test changes is rolled back to it."""
    return copy.deepcopy(built_term)
