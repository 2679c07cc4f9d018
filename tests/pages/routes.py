"""What the client asks at the desk, with the addresses of one school."""

from datetime import timedelta

from tests.pages.made import Made

IN_USE, NOT_YET = 2, 3  # editions


def routes(made: Made) -> dict[str, str]:
    """The address of each page's question by its name."""
    draft, studio = f"drafts/{made.draft}", f"studios/{made.studio}"
    klass, student = f"classes/{made.klass}", f"students/{made.student}"
    days = f"first={made.on}&last={made.on + timedelta(weeks=5)}"
    said = {
        "drafts": "drafts",
        "draft": draft,
        "draft outline": f"{draft}/outline",
        "draft card": f"{draft}/cards/{made.skill}",
        "draft checks": f"{draft}/checks",
        "draft difference": f"{draft}/difference",
        "draft impact": f"{draft}/impact?studio={made.studio}",
        "draft map": f"{draft}/map?number={IN_USE}",
        "editions": "editions",
        "edition": f"editions/{IN_USE}",
        "edition difference": f"editions/{IN_USE}/difference",
        "edition impact": f"editions/{NOT_YET}/impact?studio={made.studio}",
        "edition map": f"editions/{IN_USE}/map",
        "staff": "staff",
        "member": f"staff/{made.member}",
        "studios": "studios",
        "adoptions": f"{studio}/adoptions",
        "classes": "classes",
        "class": klass,
        "lessons": f"lessons?{days}&class={made.klass}",
        "roster": f"{klass}/roster?on={made.on}",
        "class progress": f"{klass}/progress",
        "class map": f"{klass}/map",
        "terms": "terms",
        "closures": "closures",
        "policy": "policy",
        "students": "students?limit=500",
        "student": student,
        "agreements": f"{student}/agreements",
        "restrictions": f"{student}/restrictions",
        "wishes": f"wishes?student={made.student}&limit=500",
        "path": f"{student}/path",
        "student map": f"{student}/map",
        "letter": f"{student}/letter",
        "comparison": "comparison",
    }
    return {name: f"/api/v1/{path}" for name, path in said.items()}
