"""Where a thread stands: folded from its notes, so that it is the same wherever they are read."""

from collections.abc import Sequence

from wheelover.core.types.thread import Note, ThreadState

WAITING: tuple[ThreadState, ...] = ("open", "reopened")
"""States in which somebody waits for an answer."""


def in_order(notes: Sequence[Note]) -> list[Note]:
    """Return the notes of a thread in an order that is the same wherever they are read.

    By their times, but none before what its writer had seen: clocks on board and ashore differ,
    and a parcel may bring notes in any order.

    Parameters
    ----------
    notes : sequence of Note
        Those of the thread, in any order.
    """
    known = {one.id: one for one in notes}
    times: dict[str, str] = {}
    for note in sorted(notes, key=lambda one: (len(one.seen), one.id)):
        before = [times[one] for one in note.seen if one in times and one in known]
        times[note.id] = max([note.at_utc, *before])
    return sorted(notes, key=lambda one: (times[one.id], len(one.seen), one.id))


def state_of(notes: Sequence[Note]) -> ThreadState:
    """Return where a thread stands after its notes.

    It is open until somebody else than who asked says something: the other side, or another
    person of the same side. Whoever asked may ask again. What is said after it was resolved
    reopens it; and it is not resolved by somebody who had not seen all that was said by then.

    Parameters
    ----------
    notes : sequence of Note
        Those of the thread, in any order; at least one.
    """
    asker, *later = in_order(notes)
    waits: ThreadState = "open"
    found: ThreadState = waits
    said = [asker.id]
    for note in later:
        if note.kind == "resolved":
            found = "resolved" if set(said) <= {*note.seen} else found
            continue
        if note.kind == "reopened" or found == "resolved":
            asker, waits = note, "reopened"
            found = waits
        else:
            found = "answered" if _another(note, asker) else waits
        said.append(note.id)
    return found


def _another(note: Note, asker: Note) -> bool:
    """Return whether a note is by somebody else than who asked, as far as that is known."""
    if note.side != asker.side:
        return True
    keys = note.person.key, asker.person.key
    return None not in keys and keys[0] != keys[1]
