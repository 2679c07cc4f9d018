"""What happened to the Tuesday beginners, lesson by lesson, beside what chance does."""

APART = ("Ikaika", "Tariq")
JOINED_IN_WEEK = {"Nguyệt": 6}
AWAY = {("Rangi", 8), ("Rangi", 9), ("Rangi", 10)}
NOT_TODAY = {("Mireille", 4), ("Mireille", 10)}
OVERLOOKED = {("Þóra", 12), ("Þóra", 13)}
ALWAYS_BASE_UNTIL = 4  # Demba
LINE = ("Amara", "Demba", "Tariq", "Þóra")
CHANGED_LINE = ("Amara", "Þóra", "Demba", "Ikaika")


def here(child: str, week: int) -> bool:
    """Whether a child took part in a lesson, as far as the stories decide it."""
    if week < JOINED_IN_WEEK.get(child, 1):
        return False
    return (child, week) not in AWAY | NOT_TODAY


def overlooked(child: str, week: int) -> bool:
    """Whether she was there and nobody wrote anything down."""
    return (child, week) in OVERLOOKED


def comes_first(child: str, week: int) -> int:
    """Who is chosen first as base: Demba always, in the first weeks."""
    return 0 if child == "Demba" and week <= ALWAYS_BASE_UNTIL else 1


def tell(log, week: int, pupils) -> None:
    """Add the rows of a lesson's story."""
    if week == 3:
        _unequal_lean(log)
        _wrong_spot(log)
    elif week == 4:
        _wrong_spot_corrected(log)
    elif week == 5:
        _slip(log)
    elif week == 8:
        _carried_for_once(log)
    elif week == 9:
        _up_at_last(log)
    elif week == 10:
        _line_comes_down(log)
    elif week == 11:
        _thigh_stands(log)
        _back_with_hands_on(log)


def _together(log, skill, roles, **values):
    go = log.go()
    for role, names in roles.items():
        for name in names:
            log.add(go, name, skill, role, **values)


def _unequal_lean(log):
    """Demba and Bao, 26 cm apart: that is fine in a lean."""
    for outcome in ("shaky", "clean"):
        _together(
            log, "facing_lean_squat", {"partner": ("Demba", "Bao")}, spot="none", outcome=outcome
        )


def _wrong_spot(log):
    """Clíodhna was held, and “no spot” was left standing on the screen."""
    log.add(
        log.go(),
        "Clíodhna",
        "step_off_land_soft",
        "solo",
        spot="none",
        outcome="clean",
        attempt="Clíodhna, step off, lesson 3",
    )
    log.wrong = log.rows[-1]


def _wrong_spot_corrected(log):
    log.rows.append({**log.wrong, "spot": "hands_on", "revision": 2})


def _slip(log):
    """Tariq slips on the way down from the table."""
    _together(
        log,
        "kneeling_on_a_table",
        {"base": ("Demba",), "flyer": ("Tariq",)},
        spot="hands_near",
        outcome="not_there",
    )


def _carried_for_once(log):
    """Amara, who always lifts, is carried."""
    for outcome in ("shaky", "clean"):
        _together(
            log,
            "seat_carry_two_bases",
            {"base": ("Demba", "Ikaika"), "flyer": ("Amara",)},
            spot="hands_on",
            outcome=outcome,
        )


def _up_at_last(log):
    for spot in ("hands_on", "hands_near"):
        _together(
            log,
            "seat_on_a_table",
            {"base": ("Amara",), "flyer": ("Mireille",)},
            spot=spot,
            outcome="clean",
        )


def _line_comes_down(log):
    """All four come down, twice, and nobody is named for it; another order holds."""
    for names, outcome, weight in (
        (LINE, "not_there", "together"),
        (LINE, "not_there", "together"),
        (CHANGED_LINE, "clean", "own"),
    ):
        front, *middle, back = names
        _together(
            log,
            "long_walking_plank_line",
            {"front": (front,), "middle": middle, "back": (back,)},
            spot="hands_near",
            outcome=outcome,
            weight=weight,
        )


def _thigh_stands(log):
    for base, flyer, outcome in (
        ("Demba", "Bao", "shaky"),
        ("Amara", "Hana", "clean"),
        ("Ikaika", "Sunniva", "clean"),
    ):
        _together(
            log,
            "thigh_stand_facing_base",
            {"base": (base,), "flyer": (flyer,)},
            spot="hands_on",
            outcome=outcome,
        )


def _back_with_hands_on(log):
    for outcome in ("shaky", "clean"):
        log.add(log.go(), "Rangi", "step_off_land_soft", "solo", spot="hands_on", outcome=outcome)
