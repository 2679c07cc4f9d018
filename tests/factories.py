"""Rows for tests: a school with its studios, staff, classes and children, all invented."""

from datetime import UTC, date, datetime, time

import factory
from django.apps import apps
from django.db import connection
from factory import RelatedFactory, SelfAttribute, Sequence, SubFactory
from factory.django import DjangoModelFactory

from accounts.models import HEAD_TEACHER, Member, MemberStudio, School, Studio
from accounts.scope import Scope, scope_of
from classes.models import Class, Enrolment, Identity, Student

AT = datetime(2026, 3, 11, 12, 0, tzinfo=UTC)  # a Wednesday
TODAY = AT.date()
JOINED = date(2025, 9, 2)


class SchoolFactory(DjangoModelFactory):
    class Meta:
        model = School

    name = Sequence(lambda n: f"School {n}")
    created_at = AT


class StudioFactory(DjangoModelFactory):
    class Meta:
        model = Studio

    school = SubFactory(SchoolFactory)
    name = Sequence(lambda n: f"Studio {n}")
    zone = "Europe/Lisbon"
    mats = 8


class MemberFactory(DjangoModelFactory):
    """A head teacher; `studios` are those that another role holds for."""

    class Meta:
        model = Member
        skip_postgeneration_save = True

    school = SubFactory(SchoolFactory)
    name = Sequence(lambda n: f"Member {n}")
    adult = True
    role = HEAD_TEACHER

    @factory.post_generation
    def studios(member, create, studios):  # noqa: N805
        for studio in studios or ():
            MemberStudio.objects.create(school=member.school, member=member, studio=studio)


class ClassFactory(DjangoModelFactory):
    """A class on Tuesdays at 17:00; `school` is its studio's."""

    class Meta:
        model = Class

    studio = SubFactory(StudioFactory)
    school = SelfAttribute("studio.school")
    name = Sequence(lambda n: f"Class {n}")
    weekday = 1
    starts_at = time(17, 0)
    minutes = 45


class IdentityFactory(DjangoModelFactory):
    class Meta:
        model = Identity

    school = SelfAttribute("student.school")
    given_name = Sequence(lambda n: f"Child {n}")


class StudentFactory(DjangoModelFactory):
    """A child with her name (`identity__given_name`), and a place in each of `classes`."""

    class Meta:
        model = Student
        skip_postgeneration_save = True

    school = SubFactory(SchoolFactory)
    birth_year = 2017
    birth_month = 5
    joined_on = JOINED
    identity = RelatedFactory(IdentityFactory, "student")

    @factory.post_generation
    def classes(student, create, classes):  # noqa: N805
        for group_class in classes or ():
            Enrolment.objects.create(
                school=student.school,
                student=student,
                group_class=group_class,
                from_date=student.joined_on,
            )


def scope(member: Member) -> Scope:
    """The scope of a member, as known now."""
    return scope_of(school=member.school.name, member=member.name, on=TODAY)


def every_row() -> dict[str, list[str]]:
    """All rows of all tables, to see that nothing changed."""
    models = {
        model._meta.label: model
        for model in apps.get_models()
        if model._meta.app_label != "contenttypes"
    }
    quote = connection.ops.quote_name
    with connection.cursor() as cursor:
        # Most tables are empty in most tests, and to ask each for nothing takes long.
        cursor.execute(
            " UNION ALL ".join(
                f"SELECT '{label}' WHERE EXISTS (SELECT 1 FROM {quote(model._meta.db_table)})"  # noqa: S608
                for label, model in models.items()
            )
        )
        filled = {label for (label,) in cursor.fetchall()}
    return {
        label: sorted(map(str, model.objects.values_list())) if label in filled else []
        for label, model in models.items()
    }
