"""The demo school, loaded as a user loads it: its sheet to the byte, and the stories in its data.

The golden files are the same on SQLite and PostgreSQL. After a change that is meant, write them
anew with GOLDEN=write in the environment and read the difference.
"""

import io
import os
import re
import tempfile
from datetime import UTC, date, datetime
from pathlib import Path

import time_machine
from django.apps import apps
from django.core.management import call_command
from django.test import TestCase, override_settings

from accounts.scope import scope_of
from classes.models import Attempt, Attendance, Enrolment, Fall, Lesson, Measurement
from curriculum import adoptions, editions
from demo import files
from demo.term import TUESDAY_CLASS, lesson_day
from planning.comparison import comparison
from tests.planning.read_aloud import assert_fit_to_read_aloud

GOLDEN = Path(__file__).parent / "golden"
TODAY = datetime(2026, 11, 24, 9, 0, tzinfo=UTC)
TONIGHT = date(2026, 11, 24)
NIGHT = {"school": files.SCHOOL, "member": files.TEACHER, "date": TONIGHT, "mats": 3}
HERE = {"absent": ["Rangi", "Sunniva"], "spotters": ["Aroha T."]}


def run(command, *args, **options):
    out = io.StringIO()
    call_command(command, *args, stdout=out, **options)
    return out.getvalue()


def counts():
    return {
        model._meta.db_table: model.objects.count()
        for model in apps.get_models()
        if model._meta.app_label in ("accounts", "curriculum", "classes", "planning")
    }


def golden(name, text):
    path = GOLDEN / name
    if os.environ.get("GOLDEN") == "write":
        path.write_text(text, encoding="utf-8")
    return path.read_text(encoding="utf-8")


@time_machine.travel(TODAY, tick=False)
class DemoTests(TestCase):
    @classmethod
    def setUpClass(cls):
        cls.folder = Path(cls.enterClassContext(tempfile.TemporaryDirectory()))
        cls.enterClassContext(override_settings(VAR_DIR=cls.folder))
        super().setUpClass()

    @classmethod
    def setUpTestData(cls):
        with time_machine.travel(TODAY, tick=False):
            cls.first = run("demo")
            cls.text, cls.page = cls.sheet()

    @classmethod
    def sheet(cls, **options):
        page = cls.folder / "sheet.html"
        text = run("tonight", TUESDAY_CLASS, html=page, **{**NIGHT, **HERE, **options})
        return text.replace(str(page), "PAGE"), page.read_text(encoding="utf-8")

    def test_the_sheet_is_equal_to_the_byte_everywhere(self):
        assert self.text == golden("tuesday.txt", self.text)
        assert self.page == golden("tuesday.html", self.page)

    def test_the_first_run_shows_that_sheet(self):
        assert self.text.split("The same as a page")[0] in self.first

    def test_the_evening_is_prepared_as_that_sheet_says(self):
        lesson = Lesson.objects.get(group_class__name=TUESDAY_CLASS, on=TONIGHT)
        assert lesson.mats == NIGHT["mats"]
        names = lesson.spotters.values_list("member__name", flat=True)
        assert list(names) == HERE["spotters"]

    def test_a_second_run_changes_nothing(self):
        before = counts()
        again = run("demo")
        assert counts() == before
        assert "Loading" not in again

    def test_all_of_it_is_fit_to_be_read_aloud(self):
        assert_fit_to_read_aloud(self.text)
        for options in ({"absent": []}, {"not_today": ["Mireille"]}, {"spotters": []}):
            assert_fit_to_read_aloud(self.sheet(**options)[0])

    def test_every_class_of_the_school_gets_a_sheet(self):
        for name, weekday in (("Saturday seniors", 28), ("Friday mixed", 27)):
            member = "Tendai R." if name.startswith("Sat") else "Iolana K."
            text = run(
                "tonight",
                name,
                school=files.SCHOOL,
                member=member,
                date=date(2026, 11, weekday),
                html=self.folder / "other.html",
            )
            assert_fit_to_read_aloud(text)
            assert name in text

    def test_size_of_the_term(self):
        rows = Attempt.objects.count()
        assert 2_700 <= rows <= 3_300
        whole_class = Attempt.objects.filter(weight="summary").count()
        whole_class += Attempt.objects.filter(measure__isnull=False).count()
        assert 0.5 <= whole_class / rows <= 0.6

    def test_no_mass_in_the_demo_class_and_four_in_the_second_year(self):
        masses = Measurement.objects.filter(kind="mass_kg")
        assert masses.count() == 4
        classes = Enrolment.objects.filter(student__in=masses.values("student"))
        assert set(classes.values_list("group_class__name", flat=True)) == {"Thursday second year"}

    def tries(self, child, **filters):
        return Attempt.objects.filter(
            student__identity__given_name=child,
            lesson__group_class__name=TUESDAY_CLASS,
            **filters,
        )

    def day(self, week):
        return lesson_day(TONIGHT, TUESDAY_CLASS, week)

    def test_a_spot_left_on_by_mistake_is_corrected(self):
        rows = self.tries("Clíodhna", skill__key="step_off_land_soft", local_date=self.day(3))
        wrong, right = rows.order_by("revision")
        assert (wrong.revision, wrong.spot) == (1, "none")
        assert (right.revision, right.spot) == (2, "hands_on")
        assert wrong.attempt == right.attempt

    def test_a_trial_child_stays_and_joins_the_line(self):
        places = Enrolment.objects.filter(student__identity__given_name="Nguyệt")
        assert places.filter(from_date=self.day(6)).exists()
        assert not places.filter(until__isnull=True, trial=True).exists()
        assert not self.tries("Nguyệt", local_date__lt=self.day(6)).exists()

    def test_the_fall_is_looked_at_and_the_skill_open_again(self):
        fall = Fall.objects.get()
        assert (fall.student.identity.given_name, fall.skill.key) == (
            "Tariq",
            "kneeling_on_a_table",
        )
        assert (fall.on, fall.looked_at_on) == (self.day(5), self.day(6))

    def test_who_was_away_and_who_was_not_up_for_it(self):
        away = Attendance.objects.filter(state="away")
        assert {row.student.identity.given_name for row in away} == {"Rangi"}
        assert away.count() == 3
        not_today = Attendance.objects.filter(state="not_today")
        assert [row.student.identity.given_name for row in not_today] == ["Mireille", "Mireille"]

    def test_one_child_was_there_and_overlooked(self):
        assert not self.tries("Þóra", local_date__gte=self.day(12)).exists()
        here = Attendance.objects.filter(
            student__identity__given_name="Þóra", lesson__on__gte=self.day(12), state="here"
        )
        assert here.count() == 2

    def test_demba_is_always_base_at_first(self):
        roles = self.tries("Demba", local_date__lte=self.day(4)).values_list("role", flat=True)
        assert "flyer" not in set(roles)
        later = self.tries("Demba", local_date__gt=self.day(4)).values_list("role", flat=True)
        assert {"base", "flyer"} <= set(later)

    def test_a_line_comes_down_together_and_then_holds(self):
        rows = Attempt.objects.filter(skill__key="long_walking_plank_line")
        assert rows.filter(weight="together", outcome="not_there").count() == 8
        assert rows.filter(weight="own", outcome="clean").count() == 4
        assert rows.values("try_id").distinct().count() == 3

    def test_amara_is_carried_for_once(self):
        rows = self.tries("Amara", skill__key="seat_carry_two_bases")
        assert set(rows.values_list("role", flat=True)) == {"flyer"}

    def test_sunniva_has_grown(self):
        heights = Measurement.objects.filter(
            student__identity__given_name="Sunniva", kind="height_cm"
        ).order_by("on")
        assert [row.value for row in heights] == [118, 121]

    def test_a_half_kept_log_is_refused_and_a_strict_one_explained(self):
        head = scope_of(school=files.SCHOOL, member=files.HEAD, on=TONIGHT)
        found = comparison(head, at=TODAY)
        half, strict, fair = found.studios
        assert [one.name for one in found.studios] == [
            "Brackfold Mill",
            "Far Orrow Hall",
            "Sellane Harbour",
        ]
        assert half.logging.sentences[0].startswith("About half of the lessons have entries:")
        assert half.reached.share is None
        assert half.strictness.says == "fewer"
        assert strict.strictness.says == "more"
        assert strict.strictness.sentence.startswith("Far Orrow Hall logs more “shaky”")
        assert strict.reached.sentence.startswith("It logs more tries as not clean")
        assert (fair.logging.enough, fair.strictness.says) == (True, None)

    def test_a_second_edition_is_held_back_at_one_studio(self):
        head = scope_of(school=files.SCHOOL, member=files.HEAD, on=TONIGHT)
        newest, first = editions.editions(head, at=TODAY)
        week_11 = date(2026, 11, 2)  # three weeks before tonight's
        assert first.published_at.date() < lesson_day(TONIGHT, "Monday beginners", 1)
        assert newest.published_at.date() == week_11
        studios = {id_: name for name, id_ in editions.studios(head).items()}
        assert {studios[one.studio_id]: one.from_date for one in newest.in_use} == {
            "Brackfold Mill": week_11,
            "Far Orrow Hall": date(2026, 11, 6),
        }
        assert [studios[one.studio_id] for one in first.in_use] == ["Sellane Harbour"]
        [held] = adoptions.held_back(head)
        assert (studios[held.studio_id], held.number) == ("Sellane Harbour", 2)
        assert held.from_date == week_11
        assert "recital" in held.reason

    def test_each_studio_logs_by_its_own_edition(self):
        rows = Attempt.objects.filter(local_date__gte=date(2026, 11, 2))
        rows = rows.values_list("lesson__group_class__studio__name", "edition__number")
        assert set(rows) == {("Brackfold Mill", 2), ("Far Orrow Hall", 2), ("Sellane Harbour", 1)}
        heirs = Attempt.objects.filter(skill__key__in=("step_off_forward", "step_off_backward"))
        logged_in = heirs.values_list("lesson__group_class__name", flat=True)
        assert set(logged_in) == {"Monday beginners", "Wednesday mixed", "Friday mixed"}

    def test_one_correction_changes_a_group_and_why_says_it(self):
        said = r"Groups: (.+)\n[^#]*?Group 1[^:]*: base (\S+); flyer (\S+)\n"
        group = re.search(said, self.text)
        skill, _, flyer = group.groups()
        path = self.folder / "correction.csv"
        path.write_text(
            "date,student,skill,role,spot,outcome\n"
            + f"2026-11-23,{flyer},{skill},flyer,hands on,not there\n" * 9,
            encoding="utf-8",
        )
        run(
            "load_attempts",
            str(path),
            school=files.SCHOOL,
            member=files.TEACHER,
            class_name=TUESDAY_CLASS,
        )
        changed, _ = self.sheet()
        assert self.text != changed
        why = run("tonight", TUESDAY_CLASS, why=[flyer, skill], **NIGHT, **HERE)
        assert "not there (hands on, 23 November)" in why
