"""What would change at a studio, over HTTP."""

from tests.api.test_drafts import send
from tests.curriculum.build import LATER


def test_a_draft_and_an_edition_tell_what_they_change_at_a_studio(world, as_head):
    asked = {"studio": world.own.studio}
    draft = send(as_head, "POST", "", LATER).json()["id"]
    response = as_head.get(f"/api/v1/drafts/{draft}/impact", asked)
    assert response.status_code == 200
    said = response.json()
    assert said.keys() == {
        "number",
        "name",
        "faults",
        "studio",
        "in_use",
        "as_of",
        "known",
        "says",
        "children",
        "yeses",
        "lessons",
        "caution",
    }
    assert (said["number"], said["in_use"]["number"], said["faults"]) == (None, 1, [])
    assert said["studio"] == {"id": world.own.studio, "name": "Quayside Hall"}
    number = send(as_head, "POST", f"/{draft}/publish", version=1).json()["number"]
    later = as_head.get(f"/api/v1/editions/{number}/impact", asked).json()
    assert later == said | {"number": number}


def test_a_studio_has_to_be_named_and_known(world, as_head):
    url = "/api/v1/editions/1/impact"
    response = as_head.get(url)
    assert response.status_code == 400
    assert response.json()["errors"][0]["parameter"] == "studio"
    assert as_head.get(url, {"studio": world.foreign.studio}).status_code == 404
