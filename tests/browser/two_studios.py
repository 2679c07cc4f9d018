"""A small school of its own: two studios, one edition, an evening today at each."""

from datetime import datetime, timedelta

from tests.browser.server import ROOT

SCHOOL, HEAD = "Cooper's Yard", "Inês V."
EMAIL = "ines@coopersyard.example"
CURRICULUM = ROOT / "docs" / "formats" / "examples" / "curriculum.yaml"
GOES_ON, STAYS = "Sellane Harbour", "Brackfold Mill"
SEEN = {
    GOES_ON: "Amara,yes,no spot,no spot\nBao,yes,hands near,hands near\nHana,no,,\n",
    STAYS: "Ebele,yes,no spot,no spot\nLupe,yes,no spot,hands near\n",
}
WITH_A_YES = "Hana"


def fill(now: datetime, password: str) -> None:
    """With what was seen of each child yesterday, and a yes of that day for one of them."""
    from django.utils import timezone

    from accounts import sign_in
    from accounts.schools import begin
    from accounts.scope import scope_of
    from classes import roster, seen_before, timetable, yeses
    from classes.classes import classes
    from curriculum import editions

    today = timezone.localdate(now)
    begin(name=SCHOOL, head=HEAD, at=now)
    scope = scope_of(school=SCHOOL, member=HEAD, on=today)
    sign_in.give(scope, member_id=scope.member_id, email=EMAIL, password=password, at=now)
    timetable.load(scope, content=_timetable(today), at=now, confirmed=True)
    scope = scope_of(school=SCHOOL, member=HEAD, on=today)
    curriculum = editions.read_curriculum(CURRICULUM.read_bytes())
    editions.publish(scope, curriculum=curriculum, at=now)
    editions.adopt_first(scope, at=now)
    day = {"at": now, "on": today - timedelta(days=1)}
    for klass in classes(scope):
        seen = SEEN[klass.studio_name]
        names = "".join(f"{line.split(',')[0]},2017-03\n" for line in seen.splitlines())
        roster.load(scope, content=f"name,birth\n{names}".encode(), at=now, klass=klass)
        grid = f"student,stop_word,standing_tight,facing_lean\n{seen}".encode()
        seen_before.load(scope, content=grid, klass=klass, **day)
    rows = f"student,skill,role,kind,given_on\n{WITH_A_YES},facing_lean,partner,begin,{day['on']}\n"
    yeses.load(scope, content=rows.encode(), at=now)


def _timetable(today):
    studios = "".join(f"  - {{name: {name}, zone: Etc/UTC}}\n" for name in SEEN)
    classes = "".join(
        f"  - {{name: Beginners at {name}, studio: {name}, weekday: {today:%A}, starts: '17:00'}}\n"
        for name in SEEN
    )
    days = timedelta(days=60)
    term = f"  - {{name: this term, first: {today - days}, last: {today + days}}}\n"
    return f"format: classes/1\nstudios:\n{studios}terms:\n{term}classes:\n{classes}".encode()
