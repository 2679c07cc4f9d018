"""A file is a teacher's to load, but for who came and who fell."""

from tests.api.rights.table import Right

HEAD, TEACHER, NOBODY = "200 200 400", "200 400 400", "403 403 403"


def a_file(noun, assistant, *lines, **query):
    """One table about children of a place, which names them as its people know them."""

    def body(place):
        one, two, *_ = place.names
        return "\n".join(lines).format(one=one, two=two, on=place.on, before=place.before).encode()

    def asked(place):
        return {name: getattr(place, said) for name, said in query.items()}

    route = f"file-{noun}"
    return Right(
        "POST", route, HEAD, TEACHER, assistant, body=body, query=asked, content="text/csv"
    )


RIGHTS = [
    a_file("agreements", NOBODY, "student,kind,agreed_on", "{one},lifting,{on}"),
    a_file(
        "attempts",
        TEACHER,
        "date,student,skill,role,spot,outcome",
        "{before},{one},chest_rest,base,hands_on,clean",
        **{"class": "klass"},
    ),
    a_file("attendance", TEACHER, "date,student,state", "{on},{one},here", **{"class": "klass"}),
    a_file(
        "falls",
        TEACHER,
        "date,student,skill,role,kind,phase",
        "{on},{one},chest_rest,base,fall,hold",
    ),
    # A class that she cannot see is unknown before anything is asked of the file.
    a_file(
        "pair-checks",
        "403 400 400",
        "base,flyer,given_on,tonight",
        "{one},{two},{on},yes",
        **{"class": "klass"},
    ),
    a_file("restrictions", NOBODY, "student,blocks,from,until", "{one},neck,{on},{on}"),
    a_file(
        "seen-before",
        TEACHER,
        "student,chest_rest:base",
        "{one},hands on",
        **{"class": "klass", "on": "before"},
    ),
    a_file("wishes", NOBODY, "a,b,kind,from", "{one},{two},together,{on}"),
    a_file("yeses", NOBODY, "student,skill,role,kind,given_on", "{one},chest_rest,base,show,{on}"),
]
