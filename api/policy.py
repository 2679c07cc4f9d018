"""The school's policy: bars, limits, ages, adults in the room."""

from django.urls import path

from accounts import policy
from api.base import View
from api.fields import Document, Figure, Flag, Whole
from api.schema import takes


def _within(kind, column):
    low, high = policy.BOUNDS[column]
    return kind(required=False, min_value=low, max_value=high)


class PolicyChange(Document):
    bar = _within(Figure, "bar")
    adults_in_room = _within(Whole, "adults_in_room")
    children_per_adult = _within(Whole, "children_per_adult")
    turns_under_one_spot = _within(Whole, "turns_under_one_spot")
    back_after_weeks = _within(Whole, "back_after_weeks")
    pair_check_days = _within(Whole, "pair_check_days")
    height_days = _within(Whole, "height_days")
    max_load_ratio = _within(Figure, "max_load_ratio")
    flyer_taller_by_at_most_cm = _within(Figure, "flyer_taller_by_at_most_cm")
    uses_mass = Flag(required=False)
    mass_from_age = _within(Whole, "mass_from_age")
    agreements_kept_elsewhere = Flag(required=False)
    confirmed = Flag(
        required=False,
        help_text="True from whoever has read what a refusal to switch on masses told her.",
    )


class Policy(Document):
    bar = Figure(help_text="From which probability on a child counts as ready.")
    adults_in_room = Whole(help_text="Adults without whom nothing is lifted.")
    children_per_adult = Whole()
    turns_under_one_spot = Whole()
    back_after_weeks = Whole()
    pair_check_days = Whole()
    height_days = Whole()
    max_load_ratio = Figure()
    flyer_taller_by_at_most_cm = Figure()
    uses_mass = Flag()
    mass_from_age = Whole()
    agreements_kept_elsewhere = Flag()


class ThePolicy(View):
    @takes(answers=Policy)
    def get(self, request):
        """The limits that hold at this school; they are its own and no published standard."""
        return self.answer(Policy, policy.policy(self.scope))

    @takes(body=PolicyChange, answers=Policy, also=[409])
    def patch(self, request):
        """Change what is sent, and leave the rest; each change is an event."""
        said = self.read(PolicyChange)
        confirmed = said.pop("confirmed", False)
        policy.change(self.scope, said=said, confirmed=confirmed, at=self.now)
        return self.answer(Policy, policy.policy(self.scope))


urls = [path("policy", ThePolicy.as_view(), name="policy")]
