"""The wall between schools, tried on the running database for every foreign key behind it."""

from datetime import date, time
from itertools import count
from uuid import uuid4

import pytest
from django.apps import apps
from django.db import IntegrityError, connection, models, transaction

from accounts.models import Account, Member, School
from accounts.tenancy import SameSchool
from classes.models import Wish
from tests.factories import AT, SchoolFactory, StudentFactory

TENANTS = [
    model
    for model in apps.get_models()
    if any(field.name == "school" for field in model._meta.concrete_fields)
]
KEYS = [
    (model, field.name)
    for model in TENANTS
    for field in model._meta.concrete_fields
    if field.is_relation and field.related_model in TENANTS
]
NUMBERS = count(1)


def key_name(key):
    model, field = key
    return f"{model.__name__}.{field}"


def checks(model):
    """What the check constraints on single columns ask of each column."""
    asked = {}
    for constraint in model._meta.constraints:
        if isinstance(constraint, models.CheckConstraint):
            for child in constraint.condition.children:
                if isinstance(child, tuple):
                    asked.setdefault(child[0], child[1])
    return asked


def value_of(field, asked):
    """A value that the database takes for a column that has no default and may not be null."""
    if f"{field.name}__in" in asked:
        return asked[f"{field.name}__in"][0]
    if f"{field.name}__gte" in asked and not hasattr(asked[f"{field.name}__gte"], "name"):
        return asked[f"{field.name}__gte"]
    kinds = {
        models.UUIDField: uuid4,
        models.CharField: lambda: f"{field.name} {next(NUMBERS)}",
        models.BooleanField: lambda: True,
        models.DateTimeField: lambda: AT,
        models.DateField: lambda: date(2026, 3, 10),
        models.TimeField: lambda: time(17),
        models.JSONField: dict,
        models.FloatField: lambda: 1.0,
        models.IntegerField: lambda: next(NUMBERS),
    }
    return next(make() for kind, make in kinds.items() if isinstance(field, kind))


def build(model, school, *, across=None, other=None):
    """An unsaved row; all that it points at is stored in its school, `across` in the other one."""
    asked, values = checks(model), {"school": school}
    for field in model._meta.concrete_fields:
        if field.is_relation and field.related_model in TENANTS:
            target = build(field.related_model, other if field.name == across else school)
            target.save(force_insert=True)
            values[field.name] = target
        elif field.related_model is Account and not field.null:
            values[field.name] = Account.objects.create_user()
        elif not (field.name == "school" or field.has_default() or field.null):
            values[field.name] = value_of(field, asked)
    return model(**values)


def create(row):
    row.save(force_insert=True)


def bulk_create(row):
    type(row).objects.bulk_create([row], ignore_conflicts=True)


def is_refused(model, field, store, schools):
    """Whether the database refuses a row for this key alone."""
    home, other = schools
    with transaction.atomic():
        store(build(model, home))  # the same row within one school is welcome
    try:
        with transaction.atomic():
            store(build(model, home, across=field, other=other))
    except IntegrityError as error:
        name = f"{model.__name__.lower()}_{field}_same_school"
        said = str(error)
        return name in said if connection.vendor == "postgresql" else "FOREIGN KEY" in said
    return False


def test_there_are_tenants_of_all_apps():
    assert {model._meta.app_label for model in TENANTS} == {
        "accounts",
        "curriculum",
        "classes",
        "planning",
    }
    assert len(KEYS) > 50


@pytest.mark.parametrize("key", KEYS, ids=key_name)
def test_every_key_has_its_twin(key):
    model, name = key
    twins = [
        constraint.field
        for constraint in model._meta.constraints
        if isinstance(constraint, SameSchool)
    ]
    assert twins.count(name) == 1
    target = model._meta.get_field(name).related_model
    assert any(
        constraint.fields == ("school", "id") and constraint.condition is None
        for constraint in target._meta.constraints
        if isinstance(constraint, models.UniqueConstraint)
    )


@pytest.mark.parametrize("model", TENANTS, ids=lambda model: model.__name__)
def test_every_row_belongs_to_a_school_that_exists(model):
    field = model._meta.get_field("school")
    assert (field.null, field.db_constraint, field.related_model) == (False, True, School)


@pytest.mark.django_db(transaction=True)
@pytest.mark.parametrize("store", [create, bulk_create])
def test_no_row_points_into_another_school(store):
    schools = SchoolFactory(), SchoolFactory()
    passed = [key_name(key) for key in KEYS if not is_refused(*key, store, schools)]
    assert passed == []


@pytest.mark.django_db(transaction=True)
def test_no_row_moves_into_another_school():
    home, other = SchoolFactory(), SchoolFactory()
    student = StudentFactory(school=home)
    with pytest.raises(IntegrityError), transaction.atomic():
        type(student).objects.filter(id=student.id).update(school=other)


@pytest.mark.django_db(transaction=True)
def test_the_wall_outlasts_a_change_of_the_table():
    schools = SchoolFactory(), SchoolFactory()
    old = Wish._meta.get_field("kind")
    new = models.CharField(max_length=9)
    new.set_attributes_from_name("kind")
    new.model = Wish
    with connection.schema_editor() as editor:
        editor.alter_field(Wish, old, new)
    try:
        assert is_refused(Wish, "a", create, schools)
        assert is_refused(Wish, "b", bulk_create, schools)
    finally:
        with connection.schema_editor() as editor:
            editor.alter_field(Wish, new, old)


def test_a_constraint_says_what_it_is_made_of():
    constraint = SameSchool(field="studio", name="class_studio_same_school")
    path, args, kwargs = constraint.deconstruct()
    assert (path, args) == ("accounts.tenancy.SameSchool", ())
    assert SameSchool(**kwargs) == constraint
    assert SameSchool(field="member", name="class_studio_same_school") != constraint
    assert constraint != models.UniqueConstraint(fields=["name"], name="class_studio_same_school")
    assert len({constraint, SameSchool(**kwargs)}) == 1


@pytest.mark.django_db
def test_a_teacher_is_an_adult():
    for role, adult, welcome in (
        ("teacher", False, False),
        ("head_teacher", False, False),
        ("assistant", False, True),
        ("teacher", True, True),
        ("owner", True, False),
    ):
        row = Member(school=SchoolFactory(), name="Bram V.", role=role, adult=adult)
        try:
            with transaction.atomic():
                row.save()
        except IntegrityError:
            assert not welcome
        else:
            assert welcome
