"""One evening without a database: what children have tried goes through the engine's own chain."""

from collections.abc import Iterator
from dataclasses import dataclass, fields, replace
from datetime import UTC, date, datetime, time, timedelta
from uuid import UUID

from accounts.models import School
from accounts.policy import Policy
from accounts.staff import Colleague
from classes import lessons
from classes.classes import ClassView
from classes.models.children import BEGIN
from classes.restrictions import Restricted
from classes.tries import Try, past_pairs, turns
from curriculum.cards import views
from curriculum.editions import EditionInUse
from engine.readiness import chain, evidence
from engine.readiness.judge import judge
from engine.readiness.parameters import DEFAULTS, WEIGHTS
from engine.readiness.readings import Needs, Readings
from engine.readiness.register import Row
from planning.evening import DAYS_LOOKED_BACK, SPOTTER, Child, Evening

ON = date(2026, 3, 10)  # a Tuesday
STARTS = datetime(2026, 3, 10, 17, 0, tzinfo=UTC)  # Lisbon keeps UTC until the end of March
AGREED = frozenset({"hands_on", "lifting"})
HANDS_ON = frozenset({"hands_on"})

SAID = {
    "count": "“3, 2, 1, lean”",
    "first": "right hand first",
    "steps": 4,
    "way_out": "pull up together",
}
DOCUMENTS = {
    "stop_word": {
        "name": "The stop word",
        "family": "habits",
        "habit": True,
        "criterion": "everybody comes down the taught way",
        "roles": {"partner": {"min": 2, "max": 2}},
    },
    "tight": {
        "name": "Standing tight",
        "family": "hold",
        "criterion": "10 s, does not fold when tipped",
        "faults": [{"see": "the knees give", "say": "One long pole"}],
        "at_home": "against a wall, ten counts aloud",
        "roles": {"solo": {}},
    },
    "table": {
        "name": "Hands-and-knees table",
        "family": "hold",
        "criterion": "30 s, flat back",
        "at_home": "with a book on the back",
        "roles": {"solo": {"loads": ["wrists", "knees"]}},
    },
    "bridge": {
        "name": "Bridge",
        "family": "bends",
        "criterion": "5 s, straight arms",
        "spot": {"stands": "beside the back"},
        "roles": {
            "solo": {
                "loads": ["wrists", "back_bend"],
                "needs": {"skill": "table", "help": "no_spot"},
            }
        },
    },
    "lean": {
        "name": "Facing lean",
        "family": "leans",
        "criterion": "3 of 3, feet do not slide",
        "agreed_before": SAID,
        "ways_in": [{"key": "toes", "name": "toes to toes"}],
        "ways_out": [
            {"key": "pull_up", "name": "pull up together"},
            {
                "key": "turn_out",
                "name": "turn out",
                "needs": {"partner": {"skill": "bridge", "role": "solo", "help": "hands_near"}},
            },
        ],
        "roles": {
            "partner": {
                "min": 2,
                "max": 2,
                "needs": {
                    "all_of": [
                        {"skill": "stop_word", "help": "no_spot"},
                        {"skill": "tight", "help": "hands_near"},
                    ]
                },
            }
        },
    },
    "straight_lean": {
        "name": "Facing lean held straight",
        "family": "leans",
        "criterion": "3 s, straight from heel to head",
        "spot": {"stands": "behind the newer one"},
        "caution": "this one falls backward",
        "roles": {
            "partner": {"min": 2, "max": 2, "needs": {"skill": "lean", "help": "no_spot"}},
        },
    },
    "chest_rest": {
        "name": "Chest rest",
        "family": "props",
        "criterion": "3 s, arms long",
        "spot": {"stands": "at the shoulders"},
        "carried_share": 0.5,
        "roles": {
            "base": {
                "loads": ["wrists", "knees"],
                "needs": {"skill": "table", "role": "solo", "help": "no_spot"},
            },
            "flyer": {
                "loads": ["back_bend"],
                "needs": {"skill": "tight", "role": "solo", "help": "no_spot"},
            },
        },
    },
    "seat": {
        "name": "Seat on a table",
        "family": "lifts",
        "tier": "low",
        "lifted": True,
        "youngest_age": 7,
        "criterion": "5 s, feet off the floor",
        "keep_partners": True,
        "max_height_difference_cm": 30,
        "spot": {"stands": "in front"},
        "way_down": "feet to the floor first",
        "caution": "this one tips backward: a hand stays behind the hips",
        "pose": {
            "figures": [
                {"role": "base", "hip": [90, 80], "knee": 90},
                {"role": "flyer", "faces": "left", "hip": 90, "on": {"hips": "base.shoulders"}},
            ],
            "box": {"x": 1, "width": 0.5, "height": 0.2},
        },
        "roles": {
            "spotter": {},
            "flyer": {"needs": {"skill": "tight", "role": "solo", "help": "no_spot"}},
            "base": {
                "loads": ["wrists", "knees"],
                "needs": {"skill": "table", "role": "solo", "help": "no_spot"},
            },
        },
    },
    "line": {
        "name": "Plank line",
        "family": "lines",
        "criterion": "5 s, nobody sags",
        "learning_size": 3,
        "roles": {
            name: {
                "min": low,
                "max": high,
                "loads": ["wrists"],
                "needs": {"skill": "table", "role": "solo", "help": "hands_near"},
            }
            for name, low, high in (("front", 1, 1), ("middle", 0, 6), ("back", 1, 1))
        },
    },
}
CARDS = views(DOCUMENTS)
FAMILIES = {card.skill.family: card.skill.family.capitalize() for card in CARDS.values()}
POLICY = Policy(**{one.name: School._meta.get_field(one.name).default for one in fields(Policy)})
KLASS = ClassView(
    id=UUID(int=1),
    name="Tuesday beginners",
    studio_id=UUID(int=2),
    studio_name="Sellane Harbour",
    zone="Europe/Lisbon",
    mats=8,
    weekday=1,
    starts_at=time(17, 0),
    minutes=45,
)
AROHA, ZEYNEP = (
    Colleague(
        id=UUID(int=place),
        name=name,
        role="assistant",
        adult=True,
        may_spot=frozenset({"all"}),
        studio_ids=frozenset({KLASS.studio_id}),
    )
    for place, name in enumerate(("Aroha T.", "Zeynep A."), 900)
)


@dataclass(frozen=True)
class Tried:
    """One try, full weeks before tonight; those with the same `group` that day were one try."""

    skill: str
    role: str
    weeks: int
    spot: str = "none"
    outcome: str = "clean"
    group: str = ""
    surface: str = ""


def clean(*skills, role="solo", weeks=(3, 2, 1), **tried) -> tuple[Tried, ...]:
    """A clean try of each skill in each of these weeks; three with no spot make it steady."""
    return tuple(Tried(skill, role, week, **tried) for skill in skills for week in weeks)


KNOWS_STOP = clean("stop_word", role="partner")
LEANS = (*KNOWS_STOP, *clean("tight"))  # may begin the lean
PROPS = (*LEANS, *clean("table"))  # may begin the chest rest and the seat in either role
# All that a lift asks for but a teacher's yes.
LIFTED = {"tries": PROPS, "agreed": AGREED, "height_cm": 130.0, "height_on": ON}
FOUR = ("Amara", "Bao", "Hana", "Tariq")
SIX = ("Amara", "Bao", "Demba", "Hana", "Mireille", "Tariq")


@dataclass(frozen=True)
class Pupil:
    """A child as a test tells of her; `restricted` maps what rests to its last day."""

    name: str
    tries: tuple[Tried, ...] = ()
    age: int = 9
    trial: bool = False
    not_today: bool = False
    height_cm: float | None = None
    height_on: date | None = None
    mass_kg: float | None = None
    agreed: frozenset[str] = HANDS_ON
    withdrawn: frozenset[str] = frozenset()
    restricted: tuple[tuple[str, date], ...] = ()
    last_here: date | None = ON - timedelta(weeks=1)


def pupils(*names: str, **same) -> tuple[Pupil, ...]:
    """Children of whom the same is known."""
    return tuple(Pupil(name, **same) for name in names)


def with_card(key: str, **changes) -> dict:
    """The cards with one of them changed."""
    return DOCUMENTS | {key: DOCUMENTS[key] | changes}


def id_of(name: str) -> UUID:
    """The id of a child; the later in the alphabet the lower, so that no order rests on ids."""
    return UUID(int=2**64 - int.from_bytes(name.encode()[:7].ljust(7, b"\0")))


def evening(
    *children: Pupil,
    documents=DOCUMENTS,
    spotters=(AROHA,),
    adults_in_room=None,
    surface=None,
    yeses=(),
    pairs_ok=(),
    open_falls=(),
    apart=(),
    together=(),
    policy=None,
    away=(),
    **changes,
) -> Evening:
    """The evening of a class. Children are named in alphabetical order, those `away` apart and
    last; `yeses` are (name, skill, role), `pairs_ok`, `apart` and `together` pairs of names,
    `policy` what differs in it."""
    cards = views(documents)
    needs = Needs({key: card.skill for key, card in cards.items()})
    rules = replace(POLICY, **policy or {})
    gone = {one.name for one in away}
    children = (*children, *away)
    log = sorted((tried for one in children for tried in tries_of(one)), key=lambda t: t.at)
    tries = tuple(t for t in log if (ON - t.local_date).days <= DAYS_LOOKED_BACK)
    attended = {
        id_of(one.name): sorted({_day(tried.weeks) for tried in one.tries}, reverse=True)
        for one in children
    }

    listed = [_child(one, place, log, needs, rules) for place, one in enumerate(children, 1)]

    def pairs(names):
        return frozenset((id_of(a), id_of(b)) for a, b in names)

    evening = Evening(
        policy=rules,
        klass=KLASS,
        lesson=lessons.view(KLASS, ON),
        as_of=STARTS,
        closed=None,
        edition=EditionInUse(
            id=UUID(int=3),
            number=2,
            name="curriculum, spring 2026",
            families=FAMILIES,
            cards=cards,
            skill_ids={key: UUID(int=100 + card.position) for key, card in cards.items()},
            succession=frozenset(),
        ),
        here=tuple(one for one in listed if one.name not in gone),
        away=tuple(one for one in listed if one.name in gone),
        spotters=spotters,
        adults_in_room=len(spotters) + 1 if adults_in_room is None else adults_in_room,
        mats=8,
        minutes=45,
        surface=surface,
        yeses=frozenset((id_of(name), skill, role, BEGIN) for name, skill, role in yeses),
        pairs_ok=pairs(pairs_ok),
        open_falls=frozenset((id_of(name), skill, role) for name, skill, role in open_falls),
        apart=pairs(apart),
        together=pairs(together),
        tries=tries,
        turns=turns(tries, attended),
        past_pairs=past_pairs(tries),
    )
    return replace(evening, **changes)


def child(evening: Evening, name: str) -> Child:
    return next(one for one in evening.here if one.name == name)


def _day(weeks):
    return ON - timedelta(weeks=weeks)


def tries_of(pupil: Pupil) -> Iterator[Try]:
    """The tries of a child as they stand in the log."""
    for place, tried in enumerate(pupil.tries):
        shared = tried.group or f"{pupil.name} {place}"
        yield Try(
            attempt=UUID(int=id_of(pupil.name).int + place),
            student_id=id_of(pupil.name),
            skill_key=tried.skill,
            role=tried.role,
            spot=tried.spot,
            outcome=tried.outcome,
            weight="own",
            try_id=UUID(int=int.from_bytes(shared.encode()[:16])),
            lesson_id=lessons.lesson_id(KLASS.id, _day(tried.weeks)),
            local_date=_day(tried.weeks),
            at=STARTS - timedelta(weeks=tried.weeks) + timedelta(minutes=5, seconds=place),
            way_in="",
            way_out="",
            surface=tried.surface,
        )


def _child(pupil, place, log, needs, rules):
    rows = [
        Row(
            id=str(one.attempt),
            attempt=str(one.attempt),
            revision=1,
            happened_at=one.at,
            date=one.local_date,
            spot=one.spot,
            outcome=one.outcome,
            weight=WEIGHTS[one.weight],
            chain=(one.skill_key, one.role),
        )
        for one in log
        if one.student_id == id_of(pupil.name)
    ]
    beliefs = chain.replay(rows, DEFAULTS)
    seen = evidence.read(beliefs, as_of=STARTS, on=ON, parameters=DEFAULTS)
    readings = Readings(needs, seen, DEFAULTS)
    said = {one.name: getattr(pupil, one.name) for one in fields(Pupil) if one.name != "tries"}
    return Child(
        **said
        | {
            "id": id_of(pupil.name),
            "rank": f"{place:03d}",
            "restricted": tuple(Restricted(*block) for block in pupil.restricted),
            "readings": readings,
            "judged": {
                (key, role): judge(key, role, readings, rules.bar)
                for key, role in needs.slots
                if role != SPOTTER
            },
        }
    )
