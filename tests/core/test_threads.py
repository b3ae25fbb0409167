"""Where a thread stands after its notes."""

import pytest

from wheelover.core.threads import state_of
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
