"""Differences over HTTP, in words."""

from tests.api.test_drafts import send
from tests.curriculum.build import LATER


def test_a_draft_and_an_edition_tell_what_they_change(world, as_head, as_assistant):
    path = f"/{world.own.draft}"
    send(as_head, "POST", f"{path}/publish", version=1)
    begun = as_head.post("/api/v1/editions/2/draft").json()["id"]
    document = send(as_head, "GET", f"/{begun}").json()["document"]
    document["skills"]["lean"] |= {"measure": {"unit": "s", "figure": 10}, "cues": ["Tall"]}
    send(as_head, "PUT", f"/{begun}", document, version=1)
    found = send(as_head, "GET", f"/{begun}/difference").json()
    assert found == {
        "number": 2,
        "outline": [],
        "cards": [
            {
                "skill": "lean",
                "name": "Lean",
                "what": "changed",
                "was": [],
                "changes": [
                    {
                        "kind": "measure",
                        "sentence": "new: measured: 10 s",
                        "before": None,
                        "after": None,
                    },
                    {
                        "kind": "text",
                        "sentence": "what is called out is new",
                        "before": None,
                        "after": "Tall",
                    },
                ],
            }
        ],
    }
    since = as_assistant.get("/api/v1/editions/2/difference").json()
    assert (since["number"], since["outline"][0]["kind"]) == (1, "name")
    assert as_assistant.get("/api/v1/editions/2/difference?number=9").status_code == 404
    assert send(as_head, "GET", f"/{begun}/difference?number=1").json()["number"] == 1


def test_a_sound_card_says_nothing(as_head):
    draft = send(as_head, "POST", "", LATER).json()["id"]
    number = send(as_head, "POST", f"/{draft}/publish", version=1).json()["number"]
    same = as_head.get(f"/api/v1/editions/{number}/difference?number={number}").json()
    assert same == {"number": number, "outline": [], "cards": []}
