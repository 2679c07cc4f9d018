from accounts.models import Member, School, Studio


def test_who_asks(world, as_teacher):
    member = world.members["teacher"]
    assert as_teacher.get("/api/v1/me").json() == {
        "school": world.own.school,
        "school_name": School.objects.get(id=world.own.school).name,
        "one_studio": False,
        "member": str(member.id),
        "name": member.name,
        "role": "teacher",
        "studios": [world.own.studio],
        "may_spot": ["all"],
        "until": None,
    }


def test_a_cover_teacher_reads_her_last_day(world, as_teacher):
    Member.objects.filter(id=world.members["teacher"].id).update(until="2026-03-10")
    assert as_teacher.get("/api/v1/me").json()["until"] == "2026-03-10"


def test_with_one_studio_nobody_meets_the_word(world, as_head, as_stranger):
    assert as_stranger.get("/api/v1/me").json()["one_studio"] is True
    answer = as_head.get("/api/v1/me").json()
    assert (answer["one_studio"], set(answer["studios"])) == (
        False,
        {world.own.studio, world.sister.studio},
    )
    Studio.objects.create(school_id=world.foreign.school, name="Second", zone="Europe/Lisbon")
    assert as_stranger.get("/api/v1/me").json()["one_studio"] is False
