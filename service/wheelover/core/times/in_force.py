"""Whether a navigational warning counts as she comes by, as far as it says so itself.

Its danger counts all the same, until somebody takes it out: a cancellation may not have come.
"""

from collections.abc import Collection, Iterable

from wheelover.core.types.chart import WarningTimes
from wheelover.core.types.clearance import Clearances, Piece
from wheelover.core.types.departures import WarningState
from wheelover.core.types.times import PieceTime
from wheelover.core.types.track import Arc

_DECIDES: tuple[WarningState, ...] = ("in_force", "not_known")
"""What counts where a warning is passed more than once, first these."""


def pieces_passing(
    clearances: Clearances, hazards: Collection[int]
) -> dict[int, tuple[Piece, ...]]:
    """Return for each danger that the track comes near the pieces that pass it, the nearest first.

    Beside the nearest those count on which the danger is not outside its limit, and where no limit
    is given those to which it matters.

    Parameters
    ----------
    clearances : Clearances
        How near the track comes.
    hazards : collection of int
        The dangers asked for.
    """
    found: dict[int, dict[Piece, None]] = {}
    for row in clearances.rows:
        if row.hazard_index in hazards:
            found[row.hazard_index] = {row.piece: None}
    for one in clearances.infringements:
        if one.hazard_index in found:
            found[one.hazard_index][one.piece] = None
    for near in clearances.near:
        if near.hazard_index in found and (near.limit_m is None or near.met is False):
            found[near.hazard_index][near.piece] = None
    return {hazard: tuple(pieces) for hazard, pieces in found.items()}


def deciding(states: Iterable[WarningState]) -> int:
    """Return which of the times that she passes a warning decides whether it counts.

    Parameters
    ----------
    states : iterable of WarningState
        Whether it is in force each time, the nearest first.

    Examples
    --------
    >>> deciding(["cancelled", "not_known", "in_force"]), deciding(["cancelled", "later"])
    (2, 0)
    """
    listed = list(states)
    first = next((state for state in _DECIDES if state in listed), listed[0])
    return listed.index(first)


def state_then(
    warning: WarningTimes, departure_s: float, from_s: float | None, to_s: float | None
) -> WarningState:
    """Return whether a warning is in force while she is on the piece of track that passes it.

    Parameters
    ----------
    warning : WarningTimes
        With the times that it gives.
    departure_s : float
        When she departs, seconds since 1970 UTC.
    from_s, to_s : float or None
        When she comes onto that piece and when she leaves it; None where that is not known.

    Examples
    --------
    >>> one = WarningTimes(hazard=0, cancel_s=1000.0)
    >>> state_then(one, 0.0, 1200.0, 1300.0), state_then(one, 0.0, 900.0, 1100.0)
    ('cancelled', 'in_force')
    """
    cancel_s, issued_s = warning.cancel_s, warning.issued_s
    if cancel_s is not None and cancel_s <= departure_s:
        return "cancelled"
    if cancel_s is not None and from_s is not None and cancel_s <= from_s:
        return "cancelled"
    if issued_s is not None and to_s is not None and issued_s > to_s:
        return "later"
    if (cancel_s is not None and from_s is None) or (issued_s is not None and to_s is None):
        return "not_known"
    return "in_force"


def on_piece_s(
    time: PieceTime | None, departure_s: float, to_m: float, arc: Arc | None
) -> tuple[float | None, float | None]:
    """Return when she comes onto a piece of the track and when she leaves it.

    Parameters
    ----------
    time : PieceTime or None
        Her time on it.
    departure_s : float
        When she departs, seconds since 1970 UTC.
    to_m : float
        Where the track leaves a leg, along it.
    arc : Arc or None
        The arc of a turn.
    """
    if time is None or time.start_s is None:
        return None, None
    end_m = to_m if arc is None else time.from_m + arc.arc_m
    on_s = time.at_s(end_m)
    return departure_s + time.start_s, None if on_s is None else departure_s + on_s
