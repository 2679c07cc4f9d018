from accounts.models import Member

STAFF = "/api/v1/staff"


def errors(answer):
    assert answer.status_code == 400, answer.content
    return {error["pointer"]: error["detail"] for error in answer.json()["errors"]}


def test_somebody_is_taken_on_and_changed(world, as_head):
    said = {
        "name": "Aroha T.",
        "role": "assistant",
        "adult": True,
        "studios": [world.own.studio],
        "may_spot": ["leans", "tables"],
        "until": "2026-06-30",
    }
    made = as_head.post(STAFF, said, format="json")
    assert made.status_code == 201
    member = made.json()
    assert member == {**said, "id": member["id"], "from_date": None, "revoked_at": None}
    one = f"{STAFF}/{member['id']}"
    changed = {"role": "teacher", "studios": [world.sister.studio], "until": None}
    answer = as_head.patch(one, changed, format="json")
    assert answer.json() == as_head.get(one).json() == {**member, **changed}


def test_each_sees_whom_she_works_with(world, as_head, as_teacher):
    names = [row["name"] for row in as_teacher.get(STAFF).json()["rows"]]
    assert names == [
        "Assistant at Quayside Hall",
        "assistant of Quayside Hall",
        "Head Ours",
        "teacher of Quayside Hall",
    ]
    assert "Assistant at Windmill Yard" not in names
    everybody = [row["name"] for row in as_head.get(STAFF).json()["rows"]]
    assert {"Assistant at Windmill Yard", *names} < set(everybody)
    assert "Head Theirs" not in everybody


def test_pointers_are_the_bodys_own(world, as_head):
    said = {
        "name": "head OURS",
        "role": "teacher",
        "adult": False,
        "studios": [world.own.studio, world.foreign.studio],
        "from_date": "2026-04-01",
        "until": "2026-03-31",
    }
    assert errors(as_head.post(STAFF, said, format="json")) == {
        "/name": "another of the staff is called so",
        "/studios/1": "unknown",
        "/adult": "a teacher should be an adult",
        "/until": "2026-03-31 is before 2026-04-01",
    }
    answer = as_head.patch(
        f"{STAFF}/{world.own.member}",
        {"name": "Other", "role": "owner", "may_spot": ["Low Lifts"], "revoked_at": None},
        format="json",
    )
    assert errors(answer).keys() == {"/name", "/role", "/may_spot/0", "/revoked_at"}


def test_access_that_is_taken_away_ends_with_the_next_request(world, as_head, as_teacher):
    member = world.members["teacher"]
    assert as_teacher.get("/api/v1/me").status_code == 200
    answer = as_head.post(f"{STAFF}/{member.id}/revoke")
    assert answer.status_code == 200
    assert answer.json()["revoked_at"] == "2026-03-10T17:05:00Z"
    assert as_teacher.get("/api/v1/me").status_code == 401
    assert as_head.post(f"{STAFF}/{member.id}/revoke").json() == answer.json()
    assert as_head.patch(f"{STAFF}/{member.id}", {"adult": True}, format="json").status_code == 409


def test_a_studio_that_is_taken_away_is_gone_with_the_next_request(world, as_head, as_teacher):
    own = f"/api/v1/classes/{world.own.klass}"
    assert as_teacher.get(own).status_code == 200
    member = f"{STAFF}/{world.members['teacher'].id}"
    as_head.patch(member, {"studios": [world.sister.studio]}, format="json")
    assert as_teacher.get(own).status_code == 404
    assert as_teacher.get(f"/api/v1/classes/{world.sister.klass}").status_code == 200


def test_the_last_head_teacher_stays(world, as_head):
    me = f"{STAFF}/{world.members['head'].id}"
    for answer in (
        as_head.post(f"{me}/revoke"),
        as_head.patch(me, {"until": "2026-06-30"}, format="json"),
        as_head.patch(me, {"role": "teacher", "studios": [world.own.studio]}, format="json"),
    ):
        assert answer.status_code == 409
        assert answer.json()["detail"] == "would leave the school without a head teacher"
    assert as_head.get("/api/v1/me").json()["role"] == "head_teacher"


def test_a_file_is_loaded_once(world, as_head):
    content = b"name,role,adult,studios\nAroha T.,assistant,yes,Quayside Hall\n"

    def bring(**query):
        return as_head.post(
            f"{STAFF}/file", content, content_type="text/csv", query_params=query
        ).json()

    said = bring(dry_run="true")
    assert said["mapping"] == "name, role, adult, studios"
    assert (said["new"], said["changed"], said["standing"]) == (["Aroha T."], [], 0)
    assert "Head Ours" in said["absent"]
    assert not Member.objects.filter(name="Aroha T.").exists()
    assert bring() == said
    assert bring() == {**said, "new": [], "standing": 1}


def test_faults_of_a_file_stand_in_its_rows(world, as_head):
    answer = as_head.post(
        f"{STAFF}/file", b"name,role,adult\nAroha T.,boss,yes\n", content_type="text/csv"
    )
    assert answer.status_code == 400
    assert answer.json()["errors"] == [
        {
            "pointer": "",
            "code": "invalid",
            "detail": "row 2, column “role”: “boss” should be one of head_teacher, teacher,"
            " assistant",
        }
    ]
