"""Where a thread stands: folded from its notes, so that it is the same wherever they are read."""

from collections.abc import Sequence

from wheelover.core.types.thread import Note, ThreadState

WAITING: tuple[ThreadState, ...] = ("open", "reopened")
"""States in which somebody waits for an answer."""


def state_of(notes: Sequence[Note]) -> ThreadState:
    """Return where a thread stands after its notes.

    It is open until somebody else than who asked says something: the other side, or another
    person of the same side. Whoever asked may ask again. What is said after it was resolved
    reopens it, so that a note that was long on its way is not overlooked.

    Parameters
    ----------
    notes : sequence of Note
        Those of the thread, in order; at least one.
    """
    asker, state = notes[0], "open"
    found: ThreadState = "open"
    for note in notes[1:]:
        if note.kind == "resolved":
            found = "resolved"
        elif note.kind == "reopened" or found == "resolved":
            asker, state, found = note, "reopened", "reopened"
        elif _another(note, asker):
            found = "answered"
        else:
            found = "reopened" if state == "reopened" else "open"
    return found


def _another(note: Note, asker: Note) -> bool:
    """Return whether a note is by somebody else than who asked, as far as that is known."""
    if note.side != asker.side:
        return True
    keys = note.person.key, asker.person.key
    return None not in keys and keys[0] != keys[1]
