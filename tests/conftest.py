"""What holds for all tests."""

import gc
from pathlib import Path

import pytest
from hypothesis import HealthCheck, settings

from tests.depth import DEEP

HERE = Path(__file__).parent
# Begun first, so that no worker is left with a long file when the other has nothing to do.
LONG = ("processes/test_jobs.py", "processes/test_batches.py", "api/test_bad_inputs.py")
LONG += ("api/test_rights.py",)

# Folders of tests that compute on values wherever they ask no database.
PURE = ("engine", "regroup", "planning")

# No test fails for the machine being slow.
patient = settings(deadline=None, suppress_health_check=[HealthCheck.too_slow])
settings.register_profile("suite", patient, max_examples=25, derandomize=True)
settings.register_profile("deep", patient, max_examples=500, print_blob=True)
settings.load_profile("deep" if DEEP else "suite")


@pytest.fixture(autouse=True, scope="session")
def quickly_hashed():
    """How much work it is to guess a password is no matter of a test."""
    from django.contrib.auth.hashers import Argon2PasswordHasher

    with pytest.MonkeyPatch.context() as patched:
        for cost, least in (("time_cost", 1), ("memory_cost", 8), ("parallelism", 1)):
            patched.setattr(Argon2PasswordHasher, cost, least)
        yield


def pytest_configure(config):
    config.addinivalue_line("markers", "pure: asks no database, so one run is as good as two")


def pytest_collection_modifyitems(items):
    for item in items:
        asks = item.get_closest_marker("django_db") or "db" in item.fixturenames
        if item.path.relative_to(HERE).parts[0] in PURE and not asks:
            item.add_marker("pure")
    # What is there by now stays to the end: looking through it for waste again and again is a
    # tenth of all the work.
    gc.freeze()
    gc.set_threshold(50_000)
    place = {HERE / name: number for number, name in enumerate(LONG)}
    items.sort(key=lambda item: place.get(item.path, len(place)))
