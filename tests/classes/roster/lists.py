"""Class lists of one school: loading them, and reading back what became of them."""

from pathlib import Path

import pytest

from accounts.faults import BadDocument
from classes import roster
from classes.classes import class_named
from classes.models import Enrolment, Identity, Measurement
from tests.factories import AT, every_row

EXAMPLE = Path(__file__).parents[3] / "docs" / "formats" / "examples" / "roster.csv"
BEGINNERS, SENIORS = "Tuesday beginners", "Saturday seniors"
HEADER = "given_name,initial,birth,height_cm,height_on,joined,until,trial,agreed_lifting,note"


def load(by, *lines, at=AT, name=BEGINNERS, **options):
    return roster.load(
        by,
        content="\n".join(lines).encode(),
        at=at,
        klass=class_named(by, name=name) if name else None,
        **options,
    )


def refused(by, content, name=BEGINNERS, **options):
    """The faults of a list, after making sure that it changed nothing."""
    before = every_row()
    with pytest.raises(BadDocument) as caught:
        roster.load(
            by,
            content=content if isinstance(content, bytes) else "\n".join(content).encode(),
            at=AT,
            klass=class_named(by, name=name) if name else None,
            **options,
        )
    assert every_row() == before
    return str(caught.value).splitlines()


def child(name):
    return Identity.objects.select_related("student").get(given_name=name).student


def heights(name):
    rows = Measurement.objects.filter(student=child(name), kind="height_cm").order_by("on")
    return list(rows.values_list("on", "value"))


def places(name):
    rows = Enrolment.objects.filter(student=child(name)).order_by("from_date")
    return list(rows.values_list("group_class__name", "from_date", "until", "trial"))
