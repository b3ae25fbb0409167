"""Where a thread stands after its notes."""

from dataclasses import replace
from itertools import permutations

import pytest

from wheelover.core.threads import in_order, state_of
from wheelover.core.types.people import Person
from wheelover.core.types.thread import Note, NoteKind, Side

SHORE = ("E. Lund", "shore")
MATE = ("A. Berg", "ship")
MASTER = ("R. Holm", "ship")
NOBODY = (None, "ship")


def notes(*said: tuple[tuple[str | None, Side], NoteKind]) -> list[Note]:
    return [
        Note(
            id=str(index),
            thread_id="t",
            number=index,
            kind=kind,
            revision=1,
            newest_revision=1,
            at_utc="2026-11-26T04:00:00.000Z",
            person=Person(name=who[0], rank="x"),
            side=who[1],
            words="w",
            seen=tuple(str(one) for one in range(index)),
        )
        for index, (who, kind) in enumerate(said)
    ]


@pytest.mark.parametrize(
    ("said", "state"),
    [
        ([(SHORE, "note")], "open"),
        ([(SHORE, "note"), (SHORE, "note")], "open"),
        ([(SHORE, "note"), (MATE, "note")], "answered"),
        ([(SHORE, "note"), (MATE, "note"), (SHORE, "note")], "open"),
        ([(MATE, "note"), (MASTER, "note")], "answered"),
        ([(NOBODY, "note"), (NOBODY, "note")], "open"),
        ([(NOBODY, "note"), (MASTER, "note")], "open"),
        ([(SHORE, "note"), (SHORE, "resolved")], "resolved"),
        ([(SHORE, "note"), (SHORE, "resolved"), (MATE, "note")], "reopened"),
        ([(SHORE, "note"), (SHORE, "resolved"), (MATE, "reopened")], "reopened"),
        ([(SHORE, "note"), (SHORE, "resolved"), (MATE, "reopened"), (MATE, "note")], "reopened"),
        ([(SHORE, "note"), (SHORE, "resolved"), (MATE, "reopened"), (SHORE, "note")], "answered"),
        (
            [(SHORE, "note"), (SHORE, "resolved"), (MATE, "reopened"), (MATE, "resolved")],
            "resolved",
        ),
    ],
)
def test_the_state_is_folded_from_the_notes(
    said: list[tuple[tuple[str | None, Side], NoteKind]], state: str
) -> None:
    assert state_of(notes(*said)) == state


def written(index: str, who: tuple[str | None, Side], at: str, kind: NoteKind = "note",
            seen: tuple[str, ...] = ()) -> Note:  # fmt: skip
    (bare,) = notes((who, kind))
    return replace(bare, id=index, at_utc=f"2026-11-26T{at}:00.000Z", seen=seen)


def test_the_state_is_the_same_in_whatever_order_notes_came_in() -> None:
    """Ashore it was resolved while the mate's answer was on its way: nobody had seen it."""
    asked = written("a", SHORE, "04:00")
    answered = written("b", MATE, "05:00", seen=("a",))
    resolved = written("c", SHORE, "06:00", "resolved", seen=("a",))
    on_board, ashore = [asked, answered, resolved], [asked, resolved, answered]
    for order in permutations(on_board):
        assert state_of(order) == "answered"
    again = written("d", SHORE, "07:00", "resolved", seen=("a", "b", "c"))
    for order in permutations([*ashore, again]):
        assert state_of(order) == "resolved"


def test_no_note_stands_before_what_its_writer_had_seen() -> None:
    """The clock on board is an hour slow."""
    asked = written("a", SHORE, "04:00")
    answered = written("b", MATE, "03:10", seen=("a",))
    for order in permutations([asked, answered]):
        assert [one.id for one in in_order(order)] == ["a", "b"]
        assert state_of(order) == "answered"
