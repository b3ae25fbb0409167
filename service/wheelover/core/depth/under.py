"""The least charted depth under each leg and turn, as the officer typed it and as it is charted."""

from collections.abc import Iterable, Sequence
from dataclasses import replace

from wheelover.core.charted.accuracy import ZONES, depth_allowance_m
from wheelover.core.types.clearance import Piece
from wheelover.core.types.depth import DepthUnder
from wheelover.core.types.route import LegWishes, Route
from wheelover.core.types.track import PlannedLeg, PlannedTurn

NO_CHART = "no loaded chart covers it"
OUTSIDE_CHARTS = "a part of it lies outside the loaded charts"
SAID_BETWEEN = "; "
"""Between the reasons why a depth does not speak for a whole piece."""

NO_DEPTH = "no charted depth is known: none is typed and no chart with depths covers it"


def wishes_for(route: Route, leg: PlannedLeg) -> LegWishes:
    """Return what is asked of a leg.

    Parameters
    ----------
    route : Route
        The route.
    leg : PlannedLeg
        One of its legs.
    """
    return route.waypoints[leg.from_index + 1].leg or LegWishes()


def typed_depths(
    route: Route, legs: Sequence[PlannedLeg], turns: Sequence[PlannedTurn]
) -> tuple[DepthUnder, ...]:
    """Return the depths that the officer typed for the legs.

    A turn has the lesser of the depths of the legs beside it and the worse of their zones of
    confidence.

    Parameters
    ----------
    route : Route
        With what is asked of each leg.
    legs, turns : sequences of PlannedLeg and PlannedTurn
        The planned track.
    """
    found = []
    by_start: dict[int, DepthUnder] = {}
    for leg in legs:
        wishes = wishes_for(route, leg)
        if wishes.charted_depth_m is None:
            continue
        one = DepthUnder(
            piece=Piece(kind="leg", index=leg.index),
            depth_m=wishes.charted_depth_m,
            source="you",
            catzoc=wishes.catzoc,
            what=f"typed for the leg to {leg.to_id}",
        )
        by_start[leg.from_index] = one
        found.append(one)
    for turn in turns:
        beside = [by_start.get(turn.waypoint_index - back) for back in (1, 0)]
        both = [one for one in beside if one is not None]
        if len(both) == 2:
            least = min(both, key=lambda one: one.depth_m or 0.0)
            worst = max(both, key=_rank)
            what = f"the lesser of the legs beside it: {least.what}"
            piece = Piece(kind="turn", index=turn.index)
            found.append(replace(least, piece=piece, what=what, catzoc=worst.catzoc))
    return tuple(found)


def _rank(one: DepthUnder) -> int:
    """Return the place of the zone of confidence of a depth, the best first and none last."""
    return len(ZONES) if one.catzoc is None else ZONES.index(one.catzoc)


def _sure_m(one: DepthUnder) -> float:
    """Return what is left of a known depth when its survey allowance is taken off."""
    depth_m = one.depth_m or 0.0
    return depth_m - float(depth_allowance_m(one.catzoc, depth_m)[0])


def merged(*sources: Iterable[DepthUnder]) -> dict[Piece, DepthUnder]:
    """Return one depth for each piece of which any is known: of several the least that is sure.

    That is the least with the survey allowance of its own zone of confidence taken off.

    Parameters
    ----------
    *sources : iterables of DepthUnder
        As charted, as typed. Where one of them covers the whole piece nothing of it is outside the
        charts; what charts leave open stays open.
    """
    found: dict[Piece, DepthUnder] = {}
    for one in (row for rows in sources for row in rows):
        held = found.get(one.piece)
        found[one.piece] = one if held is None else _lesser(held, one)
    return found


def _lesser(one: DepthUnder, other: DepthUnder) -> DepthUnder:
    """Return the lesser of two depths under one piece, with what neither of them speaks for.

    A depth for the whole piece answers that another lies outside the charts in part. What charts
    say of unknown depths, land and updates they lack it does not answer.
    """
    known = [row for row in (one, other) if row.depth_m is not None]
    if not known:
        return one
    least = min(known, key=_sure_m)
    whole = any(row.reason is None for row in known)
    said = [said for row in (one, other) if row.reason for said in row.reason.split(SAID_BETWEEN)]
    left = [row for row in dict.fromkeys(said) if not (whole and row in (NO_CHART, OUTSIDE_CHARTS))]
    return replace(least, reason=SAID_BETWEEN.join(left) or None)
