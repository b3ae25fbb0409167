"""What is said of navigational warnings that are not in force when she passes.

Their dangers count all the same, until somebody takes them out: a cancellation may not have come.
"""

from collections.abc import Iterator, Sequence

from wheelover.core.checks.workings import Workings
from wheelover.core.times.in_force import on_piece_s, pieces_passing, state_then
from wheelover.core.types.chart import WarningTimes
from wheelover.core.types.clearance import Piece
from wheelover.core.types.plan import Finding, Subject
from wheelover.core.utc import utc_from_seconds


def warning_findings(workings: Workings) -> tuple[Finding, ...]:
    """Return a note on each warning near the track that is not in force when she passes it.

    Parameters
    ----------
    workings : Workings
        With the times of warnings among the dangers, and the departure.
    """
    departure_s = workings.conditions.departure_s
    if departure_s is None or not workings.chart.hazards.warnings:
        return ()
    return tuple(_found(workings, departure_s))


def warnings_open(workings: Workings) -> str | None:
    """Return that nobody knows which warnings are in force when she passes, None where it is known.

    Parameters
    ----------
    workings : Workings
        As above.
    """
    count = len(_near(workings))
    if count == 0 or workings.conditions.departure_s is not None:
        return None
    return (
        f"no departure is given, so whether {count} warnings with a time of their own are in force "
        "when she passes is not known"
    )


def _near(workings: Workings) -> dict[int, tuple[Piece, ...]]:
    """Return the dangers of warnings with times that the track comes near, and where."""
    timed = {one.hazard for one in workings.chart.hazards.warnings}
    return pieces_passing(workings.clearances, timed) if timed else {}


def _found(workings: Workings, departure_s: float) -> Iterator[Finding]:
    """Yield the notes, in the order of the dangers."""
    near = _near(workings)
    times = workings.times
    ends = {one.piece: one for one in workings.track.pieces}
    for warning in workings.chart.hazards.warnings:
        spans = [
            on_piece_s(times.get(piece), departure_s, ends[piece].to_m, ends[piece].arc)
            for piece in near.get(warning.hazard, ())
        ]
        states = [state_then(warning, departure_s, *span) for span in spans]
        if "in_force" in states or "not_known" in states:
            continue
        passings = list(zip(states, spans, strict=True))
        comes = [from_s for state, (from_s, _) in passings if state == "cancelled"]
        leaves = [to_s for state, (_, to_s) in passings if state == "later"]
        if comes:
            yield _cancelled(workings, warning, departure_s, comes)
        if leaves:
            yield _later(workings, warning, leaves)


def _cancelled(
    workings: Workings, warning: WarningTimes, departure_s: float, comes: Sequence[float | None]
) -> Finding:
    """Return the note on a warning that is cancelled before she first comes there."""
    cancel = utc_from_seconds(warning.cancel_s or 0.0)
    known = [one for one in comes if one is not None]
    if (warning.cancel_s or 0.0) <= departure_s or not known:
        words = f"is cancelled at {cancel}, before the departure"
    else:
        words = (
            f"is cancelled at {cancel}, before she comes there at "
            f"{utc_from_seconds(min(known))} by the plan"
        )
    return _note(workings, warning, "warning_cancelled", words)


def _later(workings: Workings, warning: WarningTimes, leaves: Sequence[float | None]) -> Finding:
    """Return the note on a warning that counts only after she last leaves it behind."""
    last_s = max(one for one in leaves if one is not None)
    words = (
        f"counts from {utc_from_seconds(warning.issued_s or 0.0)}, after she leaves it behind at "
        f"{utc_from_seconds(last_s)} by the plan"
    )
    return _note(workings, warning, "warning_later", words)


def _note(workings: Workings, warning: WarningTimes, code: str, words: str) -> Finding:
    """Return one note."""
    hazards = workings.chart.hazards
    one = hazards.ids[warning.hazard]
    named = warning.number or hazards.names[warning.hazard] or one
    return Finding(
        code=code,
        grade="note",
        subject=Subject(kind="hazard", index=warning.hazard, id=one),
        about=one,
        message=f"The warning {named} {words}. Its danger counts until somebody takes it out.",
    )
