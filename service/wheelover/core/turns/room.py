"""Whether the turns leave room for each other on the legs between them."""

from dataclasses import dataclass, replace

from wheelover.core.types.track import PlannedTurn

LEAST_SPARE_M = 1.0
"""Turns that meet within a metre leave no leg to steady on."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LegRoom:
    """What the turns at both ends take of one leg, in metres.

    ``tangents_m`` is the sum of both tangent lengths; ``helm_m`` is that sum with the next turn's
    planned wheel-over in place of its tangent length, where that is longer. ``unknown`` says what
    of it is not known: then a leg without shortage has not been found long enough.
    """

    length_m: float
    tangents_m: float
    helm_m: float
    unknown: str | None

    @property
    def overlap_m(self) -> float | None:
        """Return by how much the turns overlap, or None when they do not."""
        return _shortage_m(self.tangents_m, self.length_m)

    @property
    def missing_m(self) -> float | None:
        """Return how much longer the leg would have to be, or None when it is long enough."""
        return _shortage_m(self.helm_m, self.length_m)


def _shortage_m(needed_m: float, length_m: float) -> float | None:
    """Return what is missing, or None. A turn that takes nothing cannot be short of room."""
    if needed_m == 0.0 or length_m - needed_m >= LEAST_SPARE_M:
        return None
    return max(needed_m - length_m, 0.0)


def leg_room(
    length_m: float, turn_before: PlannedTurn | None, turn_after: PlannedTurn | None
) -> LegRoom:
    """Return what the turns at the start and the end of a leg take of it.

    Parameters
    ----------
    length_m : float
        Length of the leg from waypoint to waypoint.
    turn_before, turn_after : PlannedTurn or None
        The turns at its start and end, None where the track begins or ends.
    """
    out_m = in_m = helm_m = 0.0
    unknown = None
    if turn_before is not None and turn_before.arc is not None:
        out_m = turn_before.arc.tangent_out_m
    elif turn_before is not None:
        unknown = f"what the turn at {turn_before.waypoint_id} takes of the leg is not known"
    if turn_after is not None:
        in_m = turn_after.arc.tangent_in_m if turn_after.arc is not None else 0.0
        helm_m = max(in_m, turn_after.planned.distance_m or 0.0)
        if turn_after.arc is None or turn_after.planned.distance_m is None:
            unknown = f"where the turn at {turn_after.waypoint_id} takes the helm is not known"
    return LegRoom(
        length_m=length_m,
        tangents_m=out_m + in_m,
        helm_m=out_m + helm_m,
        unknown=unknown,
    )


def with_room(turn: PlannedTurn, before: LegRoom | None, after: LegRoom | None) -> PlannedTurn:
    """Return a turn that knows whether the legs on both sides leave room for it.

    Parameters
    ----------
    turn : PlannedTurn
        The turn as computed by itself.
    before, after : LegRoom or None
        The room on the legs that lead to it and away from it.
    """
    shortages = [
        room.missing_m
        for room in (before, after)
        if room is not None and room.missing_m is not None
    ]
    if not shortages:
        return turn
    return replace(turn, fits=False, missing_m=max(shortages))
