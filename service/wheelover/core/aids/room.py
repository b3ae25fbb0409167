"""How much room a stretch of a leg has to either side before something is too near."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from wheelover.core.arrays import Floats, Ints, tied_m
from wheelover.core.clearance.corridors import passing_beside, with_corridor
from wheelover.core.clearance.passing import LEAST_SEARCH_M, NO_PASSING, Passing, TrackPiece
from wheelover.core.margins import Margins, margins_of
from wheelover.core.types.aid_lines import SideRoom
from wheelover.core.types.chart import Chart, Hazards
from wheelover.core.types.charted import ChartedTrack
from wheelover.core.types.circumstances import Limits
from wheelover.core.types.clearance import SIDES, Piece
from wheelover.core.types.coast import Land, LandRow
from wheelover.core.types.dangers import DANGER_CLASSES
from wheelover.core.types.limits import LegAsked
from wheelover.core.types.track import PlannedLeg, Side
from wheelover.core.units import m_from_nm

BOTH: tuple[Side, Side] = ("port", "starboard")

_TYPED_ONLY = "only the loaded dangers count; what water they cover is not stated"
_NOTHING_NEAR = (
    "no cross-track limit is given and no loaded danger is near; what water the loaded dangers "
    "cover is not stated"
)


@dataclass(frozen=True, slots=True, kw_only=True)
class LegStretch:
    """A stretch of a leg, metres from its first waypoint."""

    leg: PlannedLeg
    from_m: float
    to_m: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Waters:
    """What the room is measured in: dangers, charts, coastline and what is asked of all."""

    chart: Chart
    on_chart: ChartedTrack | None
    land: Land | None
    limits: Limits


def rooms_of(stretches: Sequence[LegStretch], waters: Waters) -> list[tuple[SideRoom, SideRoom]]:
    """Return the room to port and to starboard of stretches of legs.

    On each side it ends at the cross-track limit, or where a line parallel to the leg would not
    keep the margin from a danger or the coast, whichever is nearer. Where dangers were not loaded,
    or loaded charts do not cover the stretch, it is not known.

    Parameters
    ----------
    stretches : sequence of LegStretch
        Stretches of legs that have a line.
    waters : Waters
        What was loaded, and what is asked of it.

    Notes
    -----
    A danger at a clearance c from the track stays at c - x at least from a line x beside it: what
    is left of c over the margin is taken, which is exact abeam and careful elsewhere.
    """
    if not stretches:
        return []
    why = [_unknown(one, waters) for one in stretches]
    asked = [(one.leg.asked,) for one in stretches]
    hazards = waters.chart.hazards
    margins = margins_of(asked, waters.limits)
    legs = [with_corridor(one.leg, waters.limits) for one in stretches]
    passing, lost = _passing(stretches, legs, hazards, margins)
    rooms = []
    for number, (one, leg) in enumerate(zip(stretches, legs, strict=True)):
        reason = why[number]
        if number in lost:
            reason = "the leg curves too sharply beside the pole to be measured"
        if reason is not None:
            rooms.append(_both_unknown(reason))
            continue
        rows = np.arange(*np.searchsorted(passing.piece, [number, number + 1]))
        near = _Near.of(passing.rows(rows), number, hazards, margins)
        port, starboard = (
            _side(side, given_nm, near, one, waters)
            for side, given_nm in zip(BOTH, (leg.xtd_port_nm, leg.xtd_starboard_nm), strict=True)
        )
        rooms.append((port, starboard))
    return rooms


def _passing(
    stretches: Sequence[LegStretch], legs: Sequence[PlannedLeg], hazards: Hazards, margins: Margins
) -> tuple[Passing, frozenset[int]]:
    """Return what lies beside the stretches, as far off as any room may reach and its margin."""
    pieces = tuple(
        TrackPiece(
            piece=_piece(one),
            leg=one.leg.path,
            from_m=one.from_m,
            to_m=one.to_m,
        )
        for one in stretches
    )
    if hazards.count == 0:
        return NO_PASSING, frozenset()
    widest_m = max(
        LEAST_SEARCH_M if given_nm is None else m_from_nm(given_nm)
        for leg in legs
        for given_nm in (leg.xtd_port_nm, leg.xtd_starboard_nm)
    )
    asked_m = np.max(np.nan_to_num(margins.limit_m), axis=0)[margins.columns_of(hazards)]
    own_m = hazards.min_clearance_m
    margin_m = np.where(np.isnan(own_m), asked_m, own_m)
    return passing_beside(pieces, hazards, widest_m + hazards.position_uncertainty_m + margin_m)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Near:
    """The dangers beside one stretch: what is left of each distance, and the margin asked of it."""

    hazard: Ints
    side: Ints
    clearance_m: Floats
    margin_m: Floats

    @staticmethod
    def of(passing: Passing, number: int, hazards: Hazards, margins: Margins) -> "_Near":
        """Return them from what passes the stretch of a number."""
        own_m = hazards.min_clearance_m[passing.hazard]
        asked_m = margins.limit_m[number, margins.columns_of(hazards)[passing.hazard]]
        return _Near(
            hazard=passing.hazard,
            side=passing.side,
            clearance_m=passing.distance_m - hazards.position_uncertainty_m[passing.hazard],
            margin_m=np.where(np.isnan(own_m), asked_m, own_m),
        )


def _unknown(stretch: LegStretch, waters: Waters) -> str | None:
    """Return why the room beside a stretch is not known at all, None where it may be."""
    if not waters.chart.loaded:
        return "no dangers are loaded"
    row = None if waters.land is None else waters.land.of(_piece(stretch))
    if row is not None and row.unmeasured is not None:
        return f"the coastline beside it is not measured: {row.unmeasured}"
    if waters.on_chart is None:
        return None
    found = {one.piece: one for one in waters.on_chart.covered}.get(_piece(stretch))
    if found is None or not found.cells:
        return "no loaded chart covers the leg"
    if any(one.from_m < stretch.to_m and one.to_m > stretch.from_m for one in found.uncovered):
        return "a part of the stretch lies outside the loaded charts"
    return None


def _piece(stretch: LegStretch) -> Piece:
    """Return the piece of the track that a stretch lies on."""
    return Piece(kind="leg", index=stretch.leg.index)


def _both_unknown(reason: str) -> tuple[SideRoom, SideRoom]:
    """Return rooms that are not known."""
    return (
        SideRoom(side="port", room_m=None, reason=reason),
        SideRoom(side="starboard", room_m=None, reason=reason),
    )


def _side(
    side: Side, given_nm: float | None, near: _Near, stretch: LegStretch, waters: Waters
) -> SideRoom:
    """Return the room on one side of a stretch."""
    other = SIDES.index(BOTH[1 - BOTH.index(side)])
    here = np.flatnonzero(near.side != other)
    coast_m = _coast_off_m(side, stretch, waters)
    margin_m = coast_margin_m(stretch.leg.asked, waters.limits)
    bounds = [
        _of_limit(side, given_nm),
        _of_danger(side, here, near, waters.chart.hazards.ids),
        _of_coast(side, coast_m, margin_m),
    ]
    known = [one for one in bounds if one is not None]
    best = min(known, key=lambda one: one.room_m or 0.0, default=None)
    bare = [_without_margin(here, near, waters.chart.hazards)]
    if coast_m is not None and margin_m is None:
        bare.append((f"no margin is asked of the coast, {max(coast_m, 0.0):.0f} m off", coast_m))
    nearest = min((one for one in bare if one is not None), key=lambda one: one[1], default=None)
    if nearest is not None and (best is None or nearest[1] < (best.room_m or 0.0)):
        return SideRoom(side=side, room_m=None, reason=nearest[0])
    if waters.on_chart is not None:
        return best or _searched(side, stretch, waters)
    if best is not None:
        return replace(best, not_checked=_TYPED_ONLY)
    return SideRoom(side=side, room_m=None, reason=_NOTHING_NEAR)


def _of_limit(side: Side, given_nm: float | None) -> SideRoom | None:
    """Return the room up to the cross-track limit."""
    if given_nm is None:
        return None
    return SideRoom(side=side, room_m=m_from_nm(given_nm), source="cross_track")


def _of_danger(side: Side, here: Ints, near: _Near, ids: Sequence[str]) -> SideRoom | None:
    """Return the room up to the margin of the danger that leaves the least, the first by id."""
    asked = here[~np.isnan(near.margin_m[here])]
    if asked.size == 0:
        return None
    room_m = near.clearance_m[asked] - near.margin_m[asked]
    worst = _least(asked, room_m, near, ids)
    return SideRoom(
        side=side,
        room_m=float(near.clearance_m[worst] - near.margin_m[worst]),
        source="danger",
        hazard_index=int(near.hazard[worst]),
        clearance_m=float(near.clearance_m[worst]),
        margin_m=float(near.margin_m[worst]),
    )


def _least(rows: Ints, left_m: Floats, near: _Near, ids: Sequence[str]) -> int:
    """Return the row of which the least is left, of several the first by the id of its danger."""
    compared_m = tied_m(left_m)
    as_near: list[int] = rows[compared_m == np.min(compared_m)].tolist()
    return min(as_near, key=lambda row: ids[int(near.hazard[row])])


def _without_margin(here: Ints, near: _Near, hazards: Hazards) -> tuple[str, float] | None:
    """Return the nearest danger of which no margin is asked, in words, and how far off it is."""
    bare = here[np.isnan(near.margin_m[here])]
    if bare.size == 0:
        return None
    nearest = _least(bare, near.clearance_m[bare], near, hazards.ids)
    which = int(near.hazard[nearest])
    name = hazards.names[which] or hazards.ids[which]
    distance_m = float(near.clearance_m[nearest])
    return f"no margin is asked of {name}, {max(distance_m, 0.0):.0f} m off", distance_m


def _of_coast(side: Side, off_m: float | None, margin_m: float | None) -> SideRoom | None:
    """Return the room up to the margin of the coastline."""
    if off_m is None or margin_m is None:
        return None
    return SideRoom(
        side=side, room_m=off_m - margin_m, source="coast", clearance_m=off_m, margin_m=margin_m
    )


def _coast_off_m(side: Side, stretch: LegStretch, waters: Waters) -> float | None:
    """Return how far off the coastline is on one side at least; None where none is near.

    Only its nearest place is known, on whichever side, but where the corridor of this side holds
    one of its own: that counts here.
    """
    row = None if waters.land is None else waters.land.of(_piece(stretch))
    if row is None:
        return None
    return _off_coast_m(row, side)


def _off_coast_m(row: LandRow, side: Side) -> float | None:
    """Return how far off the coastline of one row is on one side at least."""
    if row.on_land:
        return 0.0
    inside = [one.distance_m for one in row.corridor if one.side == side]
    if inside:
        return min(inside)
    return None if row.nearest is None else row.nearest.distance_m


def coast_margin_m(asked: LegAsked, limits: Limits) -> float | None:
    """Return what is asked of land, None where nothing is."""
    margins = margins_of([(asked,)], limits)
    column = DANGER_CLASSES.index("land") if margins.by_class else 0
    limit_m = float(margins.limit_m[0, column])
    return None if np.isnan(limit_m) else limit_m


def _searched(side: Side, stretch: LegStretch, waters: Waters) -> SideRoom:
    """Return the room in charted water where nothing is near: as far as it was looked at."""
    covered = () if waters.on_chart is None else waters.on_chart.covered
    half_m = next((one.half_width_m for one in covered if one.piece == _piece(stretch)), 0.0)
    return SideRoom(side=side, room_m=min(half_m, LEAST_SEARCH_M), source="searched")
