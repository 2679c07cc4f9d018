from dataclasses import dataclass
from uuid import UUID

from classes.batches import Answer, Refusal, judge, withheld

A, B, C = (UUID(int=number) for number in (1, 2, 3))


@dataclass(frozen=True)
class Said:
    id: UUID
    word: str


def judged(*rows, stored=(), refuse=lambda row: None, changed=()):
    known = {row.id: row for row in stored}
    return judge(rows, stored=known, refuse=refuse, changed=changed)


def test_rows_are_answered_in_order_and_stored_by_id():
    answers, new = judged(Said(B, "b"), Said(A, "a"), Said(C, "c"), stored=[Said(C, "c")])
    assert answers == (Answer(B, "stored"), Answer(A, "stored"), Answer(C, "already_stored"))
    assert new == (Said(A, "a"), Said(B, "b"))


def test_of_two_rows_with_one_id_the_first_stays():
    answers, new = judged(Said(A, "a"), Said(A, "a"), Said(A, "other"))
    assert answers == (
        Answer(A, "stored"),
        Answer(A, "already_stored"),
        Answer(A, "refused", "id_reused", "/id"),
    )
    assert new == (Said(A, "a"),)
    answers, new = judged(Said(A, "other"), stored=[Said(A, "a")])
    assert (answers, new) == ((Answer(A, "refused", "id_reused", "/id"),), ())


def test_a_row_that_is_refused_keeps_no_id_from_another():
    def refuse(row):
        return Refusal("invalid", "/word") if row.word == "bad" else None

    answers, new = judged(Said(A, "bad"), Said(A, "a"), refuse=refuse)
    assert answers == (Answer(A, "refused", "invalid", "/word"), Answer(A, "stored"))
    assert new == (Said(A, "a"),)


def test_what_stands_is_not_judged_again():
    answers, _ = judged(Said(A, "a"), stored=[Said(A, "a")], refuse=lambda row: Refusal("erased"))
    assert answers == (Answer(A, "already_stored"),)


def test_what_was_corrected_here_was_taken_whatever_the_phone_says():
    answers, new = judged(Said(A, "as sent"), stored=[Said(A, "corrected")], changed={A})
    assert (answers, new) == ((Answer(A, "already_stored"),), ())


def test_ids_that_stand_elsewhere_are_withheld():
    answers = (Answer(A, "stored"), Answer(B, "stored"), Answer(A, "already_stored"))
    assert withheld(answers, {A}) == (
        Answer(A, "refused", "id_reused", "/id"),
        Answer(B, "stored"),
        Answer(A, "refused", "id_reused", "/id"),
    )
