"""Heights by a teacher; a mass by a head teacher alone, where the school records any."""

from django.urls import path

from api.base import View
from api.facts import EnteredRows, FactView, rows_of
from api.fields import Day, Document, Figure, Flag, Id, OneOf
from api.schema import takes
from classes import measurements


class NewMeasurement(Document):
    student = Id()
    kind = OneOf(measurements.MEASURES)
    on = Day(help_text="The day of measuring.")
    value = Figure(help_text="In the unit that the kind names; hundredths are kept.")
    confirmed = Flag(required=False, help_text="Looked at again, and as meant.")


class Mass(Document):
    mass_kg = Figure(allow_null=True, help_text="Null where none may be used.")


NewMeasurements = rows_of(NewMeasurement)


class Measurements(FactView):
    @takes(body=NewMeasurements, answers=EnteredRows, status=201, also=(409,))
    def post(self, request):
        """A figure that looks like a slip is asked about (409) until it is confirmed."""
        return self.enter(NewMeasurements, measurements.enter)


class StudentMass(View):
    @takes(answers=Mass)
    def get(self, request, student):
        """For a head teacher. That it was read is kept."""
        found = measurements.mass(self.scope, student_id=student, at=self.now)
        return self.answer(Mass, {"mass_kg": found})


urls = [
    path("measurements", Measurements.as_view(), name="measurements"),
    path("students/<uuid:student>/mass", StudentMass.as_view(), name="student-mass"),
]
