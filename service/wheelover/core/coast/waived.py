"""Which stretch of land of the coastline a canal waiver answers for.

A canal is one stretch: a waiver for it answers for no other land of its leg.
"""

from collections.abc import Sequence

from wheelover.core.types.coast import Landfall, LandRow, LandStretch
from wheelover.core.types.track import PlannedLeg, PlannedTurn
from wheelover.core.units import NM_M

JOINED_M = 0.1 * NM_M
"""Stretches on land so near to one another are one: a basin or lock between them is no way out."""

_END_M = 1.0


def waived_on(leg: PlannedLeg, row: LandRow) -> LandStretch | None:
    """Return the stretch of a leg that its canal waiver answers for, None for none.

    With bounds it is what they bound. Without, it is that of the longest connected stretch on land,
    with what lies in the same known canal.

    Parameters
    ----------
    leg : PlannedLeg
        The leg.
    row : LandRow
        What the coastline says of it.
    """
    waiver = leg.canal
    if waiver is None:
        return None
    if waiver.from_nm is not None and waiver.to_nm is not None:
        return LandStretch(from_m=waiver.from_nm * NM_M, to_m=waiver.to_nm * NM_M)
    connected = _connected(row.on_land)
    if not connected:
        return None
    longest = max(connected, key=lambda one: sum(part.length_m for part in one))
    canals = {name for part in longest for name in part.canals}
    taken = [*longest, *(one for one in row.on_land if canals.intersection(one.canals))]
    return LandStretch(from_m=min(one.from_m for one in taken), to_m=max(one.to_m for one in taken))


def _connected(on_land: Sequence[Landfall]) -> list[list[Landfall]]:
    """Return stretches on land, those that are near one another together."""
    found: list[list[Landfall]] = []
    for one in sorted(on_land, key=lambda part: part.from_m):
        if found and one.from_m - found[-1][-1].to_m <= JOINED_M:
            found[-1].append(one)
        else:
            found.append([one])
    return found


def within(stretch: LandStretch | None, one: LandStretch) -> bool:
    """Return whether a stretch on land is answered for.

    Parameters
    ----------
    stretch : LandStretch or None
        What the waiver answers for.
    one : LandStretch
        A stretch on land.
    """
    if stretch is None:
        return False
    return stretch.from_m - _END_M <= one.from_m and one.to_m <= stretch.to_m + _END_M


def waiver_of_turn(
    turn: PlannedTurn, legs: Sequence[PlannedLeg], rows: Sequence[LandRow], row: LandRow
) -> PlannedLeg | None:
    """Return the leg whose canal waiver answers for land in a turn as well, None without one.

    It does where the stretch that it answers for reaches the end of the leg at the turn, and where
    all land of the turn lies in the known canal in which that stretch lies.

    Parameters
    ----------
    turn : PlannedTurn
        The turn.
    legs : sequence of PlannedLeg
        The legs.
    rows, row : LandRow
        What the coastline says of all pieces, and of the turn.
    """
    of_legs = {one.piece.index: one for one in rows if one.piece.kind == "leg"}
    for leg in legs:
        near = of_legs.get(leg.index)
        if leg.canal is None or near is None:
            continue
        stretch = near.waived
        if stretch is None:
            continue
        into = leg.from_index + 1 == turn.waypoint_index
        out_of = leg.from_index == turn.waypoint_index
        reaches = (into and stretch.to_m >= leg.track_to_m - _END_M) or (
            out_of and stretch.from_m <= leg.track_from_m + _END_M
        )
        canals = {name for one in near.on_land if within(stretch, one) for name in one.canals}
        known = bool(row.on_land) and all(canals.intersection(one.canals) for one in row.on_land)
        if (into or out_of) and (reaches or known):
            return leg
    return None
