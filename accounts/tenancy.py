"""The wall between schools, held by the database itself.

Every tenant table carries `school`. A plain foreign key would let a row of one school point at a
row of another; `SameSchool` adds the composite key (school, x) -> (school, id) that forbids it.
The model keeps an ordinary `ForeignKey(db_constraint=False)` beside it, so joins and deletion
rules work as usual.
"""

import uuid6
from django.db import models
from django.db.models.constraints import BaseConstraint


class SameSchool(BaseConstraint):
    """Foreign key (school_id, `field`_id) to (school_id, id) of the table that `field` names."""

    def __init__(self, *, field, name):
        super().__init__(name=name)
        self.field = field

    def _clause(self, model, editor):
        source = model._meta.get_field(self.field)
        quote = editor.quote_name
        return (
            f"CONSTRAINT {quote(self.name)} FOREIGN KEY"
            f" ({quote('school_id')}, {quote(source.column)})"
            f" REFERENCES {quote(source.related_model._meta.db_table)}"
            f" ({quote('school_id')}, {quote('id')}) DEFERRABLE INITIALLY DEFERRED"
        )

    def _add(self, model, editor):
        table = editor.quote_name(model._meta.db_table)
        return f"ALTER TABLE {table} ADD {self._clause(model, editor)}"

    def constraint_sql(self, model, schema_editor):
        if schema_editor.connection.vendor == "sqlite":
            return self._clause(model, schema_editor)
        # The key it refers to may be created later in the same migration.
        schema_editor.deferred_sql.append(self._add(model, schema_editor))
        return None

    def create_sql(self, model, schema_editor):
        return self._add(model, schema_editor)

    def remove_sql(self, model, schema_editor):
        quote = schema_editor.quote_name
        return f"ALTER TABLE {quote(model._meta.db_table)} DROP CONSTRAINT {quote(self.name)}"

    def validate(self, model, instance, exclude=None, using=None):
        """Left to the database: it alone sees rows that bulk inserts bring."""

    def deconstruct(self):
        path, args, kwargs = super().deconstruct()
        return path, args, {**kwargs, "field": self.field}

    def __eq__(self, other):
        if not isinstance(other, SameSchool):
            return NotImplemented
        return (self.name, self.field) == (other.name, other.field)

    def __hash__(self):
        return hash((self.name, self.field))


class OfSchool(models.Model):
    """A row of one school, with an id that is unique by itself and the target of `SameSchool`."""

    id = models.UUIDField(primary_key=True, default=uuid6.uuid7, editable=False)
    school = models.ForeignKey("accounts.School", models.PROTECT, related_name="+")

    class Meta:
        abstract = True


def of_school(*fields):
    """The constraints of an `OfSchool` model: its own key and a `SameSchool` for each field."""
    return [
        models.UniqueConstraint(fields=["school", "id"], name="%(class)s_school_id"),
        *same_school(*fields),
    ]


def same_school(*fields):
    """A `SameSchool` for each named foreign key."""
    return [SameSchool(field=field, name=f"%(class)s_{field}_same_school") for field in fields]


def to(model, on_delete=models.PROTECT, **options):
    """A foreign key inside one school; list its name in `of_school` or `same_school`."""
    return models.ForeignKey(
        model,
        on_delete,
        db_constraint=False,
        related_name=options.pop("related_name", "+"),
        **options,
    )


def one_of(field, values, **kwargs):
    """A check that a column holds one of a closed list."""
    return models.CheckConstraint(
        condition=models.Q(**{f"{field}__in": list(values)}),
        name=f"%(class)s_{field}_known",
        **kwargs,
    )


def within(field, low, high):
    """A check that a number column lies in [low, high] (or is null)."""
    return models.CheckConstraint(
        condition=models.Q(**{f"{field}__gte": low, f"{field}__lte": high}),
        name=f"%(class)s_{field}_range",
    )


def once(*fields, nullable=None):
    """Unique per school over `fields`; a null in `nullable` counts as a value of its own."""
    if nullable is None:
        return [models.UniqueConstraint(fields=["school", *fields], name="%(class)s_once")]
    return [
        models.UniqueConstraint(fields=["school", *fields, nullable], name="%(class)s_once"),
        models.UniqueConstraint(
            fields=["school", *fields],
            condition=models.Q(**{f"{nullable}__isnull": True}),
            name=f"%(class)s_once_without_{nullable}",
        ),
    ]
