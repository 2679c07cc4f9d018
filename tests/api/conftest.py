import copy
import os

import pytest
import time_machine
from django.db import transaction

from tests.api import cast

# Thousands of made-up requests take minutes: they run where FUZZ says how many.
collect_ignore = [] if os.environ.get("FUZZ") else ["fuzz"]


@pytest.fixture(scope="session")
def page(tmp_path_factory):
    folder = tmp_path_factory.mktemp("built")
    (folder / "index.html").write_text("<!doctype html><title>Counterpoise</title>")
    return folder


@pytest.fixture(autouse=True)
def built_client(settings, page):
    """A page for the shell and nothing else, whether or not the client is built."""
    settings.WEB_BUILT, settings.WHITENOISE_ROOT = page, None


@pytest.fixture(scope="module")
def built(django_db_setup, django_db_blocker):
    """The cast, built once for a module: what a test changes is rolled back to it."""
    with django_db_blocker.unblock(), transaction.atomic():
        with time_machine.travel(cast.NOW, tick=False):
            world = cast.build()
        yield world
        transaction.set_rollback(True)


@pytest.fixture
def world(built, db):
    """The cast, while the clock stands five minutes into the lesson."""
    with time_machine.travel(cast.NOW, tick=False):
        yield copy.deepcopy(built)


@pytest.fixture
def as_head(world):
    return world.client("head")


@pytest.fixture
def as_teacher(world):
    return world.client("teacher")


@pytest.fixture
def as_assistant(world):
    return world.client("assistant")


@pytest.fixture
def as_stranger(world):
    """The head teacher of the other school."""
    return world.client("stranger")


@pytest.fixture
def as_nobody(world):
    return world.client(None)
