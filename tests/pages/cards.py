"""A curriculum of any number of cards, what it is now, and what it may become."""

import json

RENAMED = "skill_005"  # in the edition in use


def document(cards: int) -> dict:
    """A curriculum: three skills alone, one for two and one that is lifted, again and again, each
    of which needs those before it."""
    skills = {}
    for number in range(cards):
        kind, before = number % 5, number - number % 5
        skills[f"skill_{number:03}"] = {
            "name": f"Skill {number}",
            "family": f"family_{number * 8 // cards}",
            "criterion": "10 s",
            **_card(kind, before),
        }
    return {
        "format": "curriculum/1",
        "name": "last year",
        "families": {f"family_{number}": f"Family {number}" for number in range(8)},
        "skills": skills,
    }


def _card(kind, before):
    def leaf(number, role="solo"):
        return {"skill": f"skill_{number:03}", "role": role, "help": "no_spot"}

    if kind == 3:
        needs = leaf(before + 1)
        return {"roles": {"partner": {"min": 2, "max": 2, "needs": needs}}}
    if kind == 4:
        together = [leaf(before + 2), leaf(before + 3, "partner")]
        return {
            "lifted": True,
            "spot": {"stands": "in front"},
            "way_down": "feet first",
            "caution": "tips backward",
            "roles": {
                "base": {"needs": {"all_of": together}},
                "flyer": {"needs": {"any_of": together}},
            },
        }
    needs = {"needs": leaf(before - 5 + kind)} if before else {}
    return {"roles": {"solo": {"loads": ["wrists"]} | needs}}


def later(said: dict) -> dict:
    """The edition in use: one skill renamed, another criterion here and there."""
    text = json.dumps(said).replace(f'"{RENAMED}"', f'"{RENAMED}_again"')
    found = json.loads(text) | {"name": "this year"}
    for key in list(found["skills"])[::10]:
        found["skills"][key]["criterion"] = "15 s"
    return found | {"succession": [{"from": RENAMED, "to": f"{RENAMED}_again"}]}


def upcoming(said: dict, *, name: str, every: int) -> dict:
    """What is not in use yet: a prerequisite more and a name changed, here and there."""
    found = json.loads(json.dumps(said)) | {"name": name, "succession": []}
    for card in list(found["skills"].values())[2::every]:
        card["name"] += ", held"
        card["roles"]["solo"]["needs"] = {"skill": "skill_000", "help": "no_spot"}
    return found
