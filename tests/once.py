"""What a module builds in the database once, and each of its tests finds untouched."""

from copy import deepcopy

import pytest
from django.db import transaction


def once(build):
    """Two fixtures, for a module to call `built` and by what its tests ask for.

    `built` is what `build` makes, for the whole module; the other is the same for one test, whose
    changes are rolled back.
    """

    @pytest.fixture(scope="module")
    def built(django_db_setup, django_db_blocker):
        with django_db_blocker.unblock(), transaction.atomic():
            yield build()
            transaction.set_rollback(True)

    @pytest.fixture
    def untouched(built, db):
        return deepcopy(built)

    return built, untouched
