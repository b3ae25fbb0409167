"""Legs and turns along which no track is known, and why."""

from wheelover.core.types.track import PlannedLeg, PlannedTurn


def leg_untracked(leg: PlannedLeg) -> str | None:
    """Return why the track along a leg is not known, None where it is.

    Parameters
    ----------
    leg : PlannedLeg
        One leg of the planned track.
    """
    if leg.path is None:
        return "the leg has no length"
    if not leg.room:
        return "the turns at its ends overlap, so no track exists along it"
    return None


def turn_untracked(turn: PlannedTurn) -> str | None:
    """Return why the path of a turn is not known, None where it is.

    Parameters
    ----------
    turn : PlannedTurn
        One turn of the planned track.
    """
    if turn.arc is None:
        return f"{turn.reason}; the path around the corner is not known"
    if not turn.fits:
        return "the turn does not fit, so the ship cannot follow its arc"
    return None
