"""What is said of navigational warnings that are not in force when she passes.

Their dangers count all the same, until somebody takes them out: a cancellation may not have come.
"""

from collections.abc import Iterator

from wheelover.core.checks.workings import Workings
from wheelover.core.times.in_force import on_piece_s
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
    count = len(set(_near(workings)))
    if count == 0 or workings.conditions.departure_s is not None:
        return None
    return (
        f"no departure is given, so whether {count} warnings with a time of their own are in force "
        "when she passes is not known"
    )


def _near(workings: Workings) -> dict[int, Piece]:
    """Return the dangers of warnings with times that the track comes near, and where."""
    timed = {one.hazard for one in workings.chart.hazards.warnings}
    if not timed:
        return {}
    return {
        one.hazard_index: one.piece for one in workings.clearances.rows if one.hazard_index in timed
    }


def _found(workings: Workings, departure_s: float) -> Iterator[Finding]:
    """Yield the notes, in the order of the dangers."""
    near = _near(workings)
    times = workings.times
    ends = {one.piece: one for one in workings.track.pieces}
    for warning in workings.chart.hazards.warnings:
        piece = near.get(warning.hazard)
        if piece is None:
            continue
        end = ends[piece]
        from_s, to_s = on_piece_s(times.get(piece), departure_s, end.to_m, end.arc)
        yield from _of_warning(workings, warning, (departure_s, from_s, to_s))


def _of_warning(
    workings: Workings, warning: WarningTimes, passing: tuple[float, float | None, float | None]
) -> Iterator[Finding]:
    """Yield what is to be said of one warning."""
    departure_s, from_s, to_s = passing
    cancel_s, issued_s = warning.cancel_s, warning.issued_s
    if cancel_s is not None and cancel_s <= departure_s:
        words = f"is cancelled at {utc_from_seconds(cancel_s)}, before the departure"
        yield _note(workings, warning, "warning_cancelled", words)
    elif cancel_s is not None and from_s is not None and cancel_s <= from_s:
        words = (
            f"is cancelled at {utc_from_seconds(cancel_s)}, before she comes there at "
            f"{utc_from_seconds(from_s)} by the plan"
        )
        yield _note(workings, warning, "warning_cancelled", words)
    if issued_s is not None and to_s is not None and issued_s > to_s:
        words = (
            f"counts from {utc_from_seconds(issued_s)}, after she leaves it behind at "
            f"{utc_from_seconds(to_s)} by the plan"
        )
        yield _note(workings, warning, "warning_later", words)


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
