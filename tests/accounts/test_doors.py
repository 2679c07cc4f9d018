"""Fetching is checking: whatever can reach rows is asked for somebody.

A module that holds a model, a transaction or a connection can reach rows. Every public function of
such a module takes a `Scope` first, and the rest by name.
"""

import importlib
import inspect
import pkgutil

import pytest
from django.db import connection, models, transaction

import accounts
import classes
import curriculum
import planning
from accounts.scope import Scope

LAYS_TABLES = {"models", "migrations", "tenancy", "management"}
# There is no scope yet: they begin a school, find the scope, keep a browser signed in, or count
# who knocks.
BEFORE_ANY_SCOPE = {
    "accounts.invitations.accept",
    "accounts.invitations.accept_sign_in",
    "accounts.rates.count",
    "accounts.rates.forget",
    "accounts.schools.begin",
    "accounts.schools.ids",
    "accounts.scope.scope_of",
    "accounts.scope.scope_now",
    "accounts.scope.scope_of_member",
    "accounts.scope.scope_of_school",
    "accounts.sessions.forget",
    "accounts.sessions.slide",
    "accounts.sessions.stay",
    "accounts.sign_in.beginnings",
    "accounts.sign_in.memberships",
    "accounts.sign_in.scope_of_account",
    "accounts.tokens.holder",
}
# Values in, values out, beside functions that reach rows.
NO_ROWS = {
    "accounts.sign_in.check",
    "accounts.staff_rows.check",
    "accounts.staff_rows.keeps_a_head",
    "accounts.staff_rows.read",
    "classes.attendance.attendance_id",
    "classes.classes.today",
    "classes.classes.view",
    "classes.fact_files.read_facts",
    "classes.history_rows.measured",
    "classes.history_rows.own_roles",
    "classes.lessons.lesson_id",
    "classes.lessons.moment",
    "classes.lessons.named",
    "classes.lessons.view",
    "classes.measurements.before",
    "classes.seen_before.is_grid",
    "classes.students.age_years",
    "classes.students.full_name",
    "classes.tries.past_pairs",
    "classes.tries.turns",
    "curriculum.editions.heirs",
    "curriculum.editions.read_curriculum",
    "curriculum.successions.carried_on",
}
# The evening is what they are asked about, and stands second.
EVENING_SECOND = {"planning.groups.keep"}


def reaches_rows(module):
    return any(
        value in (transaction, connection)
        or (inspect.isclass(value) and issubclass(value, models.Model))
        for value in vars(module).values()
        if inspect.ismodule(value) or inspect.isclass(value)
    )


def doors():
    """The public functions of all modules that can reach rows."""
    found = {}
    for package in (accounts, curriculum, classes, planning):
        for info in pkgutil.walk_packages(package.__path__, f"{package.__name__}."):
            if LAYS_TABLES & set(info.name.split(".")):
                continue
            module = importlib.import_module(info.name)
            for name, function in inspect.getmembers(module, inspect.isfunction):
                its_own = function.__module__ == module.__name__ and not name.startswith("_")
                if its_own and reaches_rows(module):
                    found[f"{module.__name__}.{name}"] = function
    return found


DOORS = doors()
ASKED = sorted(DOORS.keys() - BEFORE_ANY_SCOPE - NO_ROWS)


def test_the_doors_are_found():
    assert len(ASKED) > 40
    assert {"accounts.staff.staff", "classes.students.masses", "planning.groups.keep"} <= {*ASKED}


@pytest.mark.parametrize("name", ASKED)
def test_a_door_asks_first_for_whom(name):
    first, *rest = inspect.signature(DOORS[name]).parameters.values()
    assert (first.name, first.annotation, first.default) == ("scope", Scope, first.empty)
    placed = [parameter.name for parameter in rest if parameter.kind < parameter.KEYWORD_ONLY]
    assert placed == (["evening"] if name in EVENING_SECOND else [])


def test_no_exception_is_out_of_date():
    excepted = BEFORE_ANY_SCOPE | NO_ROWS
    assert excepted <= DOORS.keys()
    assert not [name for name in excepted if "scope" in inspect.signature(DOORS[name]).parameters]
    assert DOORS.keys() >= EVENING_SECOND


@pytest.mark.parametrize("name", sorted(NO_ROWS))
def test_what_takes_no_scope_reaches_no_rows(name):
    source = inspect.getsource(DOORS[name])
    assert not [word for word in (".objects", "transaction.", "connection.") if word in source]
