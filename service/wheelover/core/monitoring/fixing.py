"""How often her position is fixed: so that she cannot reach a danger between two fixes.

The plan says how and how often [A893]_, and gives no number. The rule is common practice of the
trade [FixInterval]_: had she left the track right after a fix, straight for the nearest danger, the
next fix would still show it in time.
"""

import math
from collections.abc import Mapping, Sequence

from wheelover.core.clearance.passing import LEAST_SEARCH_M
from wheelover.core.types.clearance import Clearances, Piece, SideNearest
from wheelover.core.types.coast import Land, LandRow
from wheelover.core.types.monitoring import LegFixing, Reachable
from wheelover.core.types.sweep import SweptLeg
from wheelover.core.types.times import PieceTime
from wheelover.core.types.track import PlannedLeg, PlannedTurn, Side
from wheelover.core.types.watch import FixMethod
from wheelover.core.units import kn_from_m_per_s, m_from_nm, nm_from_m

_SAME_M_PER_S = 0.005

HANGS_ON: dict[FixMethod, frozenset[str]] = {
    "gnss": frozenset({"satellites"}),
    "radar_ranges": frozenset({"radar"}),
    "radar_bearings": frozenset({"radar", "compass"}),
    "radar_range_and_bearing": frozenset({"radar", "compass"}),
    "parallel_index": frozenset({"radar", "compass"}),
    "visual_bearings": frozenset({"eyes", "compass"}),
    "visual_transits": frozenset({"eyes"}),
    "horizontal_angles": frozenset({"eyes"}),
    "visual_bearing_and_radar_range": frozenset({"eyes", "compass", "radar"}),
    "soundings": frozenset({"echo sounder"}),
    "celestial": frozenset({"sky"}),
    "terrestrial_radio": frozenset({"shore stations"}),
}
"""What each method hangs on: two that share one of these fail together."""


def shared(primary: FixMethod, secondary: FixMethod) -> tuple[str, ...]:
    """Return what two methods both hang on; empty where they are independent of each other.

    Examples
    --------
    >>> shared("gnss", "radar_ranges"), shared("visual_bearings", "radar_bearings")
    ((), ('compass',))
    """
    return tuple(sorted(HANGS_ON[primary] & HANGS_ON[secondary]))


def leg_fixings(
    legs: Sequence[PlannedLeg],
    turns: Sequence[PlannedTurn],
    clearances: Clearances,
    times: Mapping[Piece, PieceTime],
    toward_m_per_s: Mapping[int, float],
    swept: Sequence[SweptLeg] = (),
    land: Land | None = None,
    *,
    half_beam_m: float = 0.0,
    loaded: bool,
) -> tuple[LegFixing, ...]:
    """Return how often each leg wants a fix.

    Parameters
    ----------
    legs, turns : sequences
        The planned track; a leg answers for the turns at both its ends.
    clearances : Clearances
        How near the track comes to dangers, to each side.
    times : mapping
        The speed over the ground on each piece.
    toward_m_per_s : mapping
        How fast she can come nearer to something beside a leg, by its index.
    swept : sequence of SweptLeg
        How wide the hull sweeps.
    land : Land or None
        How near the coastline comes.
    half_beam_m : float
        What the hull takes to one side where it is not known what it sweeps.
    loaded : bool
        Whether any dangers are loaded.

    Notes
    -----
    The time is what is left to the danger, beside the cross-track limit to its side and half of
    what the hull sweeps, over the fastest that she can come nearer to it. Without a limit it counts
    from the track.
    The error of the fix itself is not taken off.
    """
    sides: dict[Piece, list[SideNearest]] = {}
    for one in clearances.sides:
        sides.setdefault(one.piece, []).append(one)
    by_waypoint = {turn.waypoint_index: turn.index for turn in turns}
    widths = {one.leg_index: one.half_width_m for one in swept}
    shores = {} if land is None else {one.piece: one for one in land.rows}
    return tuple(
        _of_leg(
            leg,
            times.get(Piece(kind="leg", index=leg.index)),
            _reachable(
                leg, _pieces(leg, by_waypoint), sides, shores, widths.get(leg.index) or half_beam_m
            ),
            toward_m_per_s.get(leg.index),
            loaded=loaded or land is not None,
        )
        for leg in legs
    )


def _pieces(leg: PlannedLeg, by_waypoint: Mapping[int, int]) -> list[Piece]:
    """Return the leg and the turns at both its ends."""
    at = [by_waypoint[i] for i in (leg.from_index, leg.from_index + 1) if i in by_waypoint]
    return [Piece(kind="leg", index=leg.index), *(Piece(kind="turn", index=i) for i in at)]


def _reachable(
    leg: PlannedLeg,
    pieces: Sequence[Piece],
    sides: Mapping[Piece, list[SideNearest]],
    shores: Mapping[Piece, LandRow],
    half_width_m: float,
) -> list[Reachable]:
    """Return everything that is nearest to some side of a leg or of a turn at its end."""
    found: list[tuple[Piece, Side | None, int | None, float]] = []
    for piece in pieces:
        for one in sides.get(piece, ()):
            side: Side | None = one.side if one.side in ("port", "starboard") else None
            found.append((piece, side, one.hazard_index, one.clearance_m))
        row = shores.get(piece)
        if row is not None and row.nearest is not None:
            found.append((piece, None, None, row.nearest.distance_m))
    return [_one(leg, *one, half_width_m) for one in found]


def _one(
    leg: PlannedLeg,
    piece: Piece,
    side: Side | None,
    hazard_index: int | None,
    clearance_m: float,
    half_width_m: float,
) -> Reachable:
    """Return one thing with what is left to it; nothing where the cross-track limit reaches it."""
    xtd_nm = _limit_nm(leg, side)
    edge_m = 0.0 if xtd_nm is None else m_from_nm(xtd_nm)
    return Reachable(
        what="coastline" if hazard_index is None else "danger",
        piece=piece,
        side=side,
        hazard_index=hazard_index,
        clearance_m=clearance_m,
        xtd_nm=xtd_nm,
        half_width_m=half_width_m,
        left_m=max(clearance_m - edge_m - half_width_m, 0.0),
    )


def _limit_nm(leg: PlannedLeg, side: str | None) -> float | None:
    """Return the cross-track limit to a side; to neither, or to one without, the wider one."""
    own = {"port": leg.xtd_port_nm, "starboard": leg.xtd_starboard_nm}.get(side or "")
    if own is not None:
        return own
    return max((x for x in (leg.xtd_port_nm, leg.xtd_starboard_nm) if x is not None), default=None)


def _of_leg(
    leg: PlannedLeg,
    time: PieceTime | None,
    near: list[Reachable],
    toward_m_per_s: float | None,
    *,
    loaded: bool,
) -> LegFixing:
    """Return how often one leg wants a fix."""
    speed = None if time is None else time.speed_m_per_s
    first = min(near, key=lambda one: (one.left_m, one.clearance_m), default=None)
    reason = None
    if leg.path is None:
        reason = "the leg has no length"
    elif not loaded:
        reason = "no dangers are loaded"
    elif speed is None or speed <= 0.0 or toward_m_per_s is None:
        reason = (time and time.reason) or "no speed over the ground is known"
    if reason is not None or speed is None or toward_m_per_s is None:
        return LegFixing(leg_index=leg.index, speed_m_per_s=speed, reached=first, reason=reason)
    if first is None:
        return _nothing_near(leg, speed, toward_m_per_s)
    longest_s = first.left_m / toward_m_per_s
    from_track_m = max(first.clearance_m - first.half_width_m, 0.0)
    edge = "" if first.xtd_nm is None else f" - {m_from_nm(first.xtd_nm):.1f} m limit"
    hull = "" if not first.half_width_m else f" - {first.half_width_m:.1f} m hull"
    return LegFixing(
        leg_index=leg.index,
        speed_m_per_s=speed,
        toward_m_per_s=toward_m_per_s,
        reached=first,
        longest_s=longest_s,
        from_track_s=from_track_m / toward_m_per_s,
        notes=_notes(time, first, speed, toward_m_per_s),
        working=(
            f"left = {first.clearance_m:.1f} m{edge}{hull} = {first.left_m:.1f} m",
            f"time = {first.left_m:.1f} m / {toward_m_per_s:.2f} m/s = {math.floor(longest_s)} s",
        ),
    )


def _notes(
    time: PieceTime | None, first: Reachable, speed_m_per_s: float, toward_m_per_s: float
) -> tuple[str, ...]:
    """Return what is assumed of how often a leg wants a fix."""
    notes = [] if time is None or time.note is None else [time.note]
    if first.xtd_nm is None:
        notes.append("no cross-track limit is given: counted from the track")
    if toward_m_per_s > speed_m_per_s + _SAME_M_PER_S:
        notes.append(
            f"off the track she may close it at {_ceil_kn(toward_m_per_s):.1f} kn over the ground, "
            "with the stream behind her: that speed counts"
        )
    return tuple(notes)


def _ceil_kn(speed_m_per_s: float) -> float:
    """Return a speed in knots to the tenth, upwards."""
    return math.ceil(kn_from_m_per_s(speed_m_per_s) * 10.0 - 1e-6) / 10.0


def _nothing_near(leg: PlannedLeg, speed_m_per_s: float, toward_m_per_s: float) -> LegFixing:
    """Return what is known of a leg beside which nothing lies as far as was looked."""
    left_m = max(LEAST_SEARCH_M - m_from_nm(_limit_nm(leg, None) or 0.0), 0.0)
    return LegFixing(
        leg_index=leg.index,
        speed_m_per_s=speed_m_per_s,
        toward_m_per_s=toward_m_per_s,
        searched_m=LEAST_SEARCH_M,
        longest_s=left_m / toward_m_per_s,
        from_track_s=LEAST_SEARCH_M / toward_m_per_s,
        notes=(
            f"nothing loaded lies within {nm_from_m(LEAST_SEARCH_M):g} NM; beyond that nothing was "
            "measured",
        ),
    )
