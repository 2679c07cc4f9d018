"""A class list is read where the class is; a teacher brings one."""

from tests.api.rights.table import Right


def one(place):
    return {"klass": place.klass}


RIGHTS = [
    Right("GET", "class-roster", "200 200 404", "200 404 404", "200 404 404", url=one),
    Right(
        "POST",
        "class-roster",
        "200 200 404",
        "200 404 404",
        "403 404 404",
        url=one,
        body=lambda place: b"given_name,birth\nOddny,2016-05\n",
        content="text/csv",
    ),
]
