"""What holds for all tests."""

from pathlib import Path

HERE = Path(__file__).parent
# Begun first, so that no worker is left with a long file when the other has nothing to do.
LONG = ("processes/test_jobs.py", "processes/test_batches.py", "api/test_bad_inputs.py")
LONG += ("api/test_rights.py",)


def pytest_collection_modifyitems(items):
    place = {HERE / name: number for number, name in enumerate(LONG)}
    items.sort(key=lambda item: place.get(item.path, len(place)))
