"""The planned track as the clock runs along it: stretches on the legs, and bends between them.

It hangs on neither speed nor stream, so it is known before times are.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from wheelover.core.legs import leg_lines
from wheelover.core.track import DEFAULT_LINE, Track
from wheelover.core.turns.plan_turn import arcs_between, radius_of
from wheelover.core.turns.room import LegRoom
from wheelover.core.types.route import LegWishes, Position, Route, Waypoint
from wheelover.core.types.ship import ShipProfile
from wheelover.core.types.track import Arc, LegLine, PlannedLeg


@dataclass(frozen=True, slots=True, kw_only=True)
class Stretch:
    """A leg with the part of it that the track follows; ``path`` is None where it has no length."""

    index: int
    from_index: int
    path: LegLine | None
    from_m: float
    to_m: float
    room: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Bend:
    """A turn at a waypoint; without an arc the track has a corner there."""

    index: int
    arc: Arc | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Shape:
    """All of it: the stretches in sailing order, the bends by the index of their waypoint."""

    stretches: tuple[Stretch, ...]
    bends: dict[int, Bend]


def shape_of(track: Track) -> Shape:
    """Return the shape of a track that is laid."""
    return Shape(
        stretches=stretches_of(track.legs),
        bends={turn.waypoint_index: Bend(index=turn.index, arc=turn.arc) for turn in track.turns},
    )


def stretches_of(legs: Sequence[PlannedLeg]) -> tuple[Stretch, ...]:
    """Return the stretches of legs that are laid."""
    return tuple(
        Stretch(
            index=leg.index,
            from_index=leg.from_index,
            path=leg.path,
            from_m=leg.track_from_m,
            to_m=leg.track_to_m,
            room=leg.room,
        )
        for leg in legs
    )


def shape_before(route: Route, ship: ShipProfile | None) -> Shape:
    """Return the shape of the track that a route will have, from lines and radii alone.

    Parameters
    ----------
    route : Route
        Waypoints in sailing order.
    ship : ShipProfile or None
        Gives the radius where a waypoint gives none.
    """
    ends = [
        (index, start, end)
        for index, (start, end) in enumerate(pairwise(route.waypoints))
        if not end.gap_before
    ]
    paths = leg_lines(
        [((b.leg or LegWishes()).line or DEFAULT_LINE, _place(a), _place(b)) for _, a, b in ends]
    )
    at = {index: path for (index, _, _), path in zip(ends, paths, strict=True)}
    bends = _bends(route.waypoints, at, ship)
    return Shape(
        stretches=tuple(
            _stretch(row, index, path, bends) for row, (index, path) in enumerate(at.items())
        ),
        bends=bends,
    )


def _place(waypoint: Waypoint) -> Position:
    """Return where a waypoint is."""
    return Position(lat_deg=waypoint.lat_deg, lon_deg=waypoint.lon_deg)


def _bends(
    waypoints: Sequence[Waypoint], at: dict[int, LegLine | None], ship: ShipProfile | None
) -> dict[int, Bend]:
    """Return the bends between neighbouring legs."""
    corners = [index for index in at if index - 1 in at]
    pairs, radii_m = [], []
    for index in corners:
        before, after = at[index - 1], at[index]
        if before is not None and after is not None:
            pairs.append((before, after))
            radii_m.append(radius_of(waypoints[index], ship)[0])
    arcs = iter(arcs_between(pairs, radii_m))
    return {
        index: Bend(
            index=row,
            arc=next(arcs) if at[index - 1] is not None and at[index] is not None else None,
        )
        for row, index in enumerate(corners)
    }


def _stretch(row: int, index: int, path: LegLine | None, bends: dict[int, Bend]) -> Stretch:
    """Return a leg with what the arcs at its ends leave of it."""
    before, after = _arc(bends.get(index)), _arc(bends.get(index + 1))
    out_m = 0.0 if before is None else before.tangent_out_m
    in_m = 0.0 if after is None else after.tangent_in_m
    length_m = 0.0 if path is None else path.length_m
    taken_m = out_m + in_m
    room = LegRoom(length_m=length_m, tangents_m=taken_m, helm_m=taken_m, unknown=None)
    has_room = room.overlap_m is None
    return Stretch(
        index=row,
        from_index=index,
        path=path,
        from_m=out_m if has_room else 0.0,
        to_m=length_m - in_m if has_room else length_m,
        room=has_room,
    )


def _arc(bend: Bend | None) -> Arc | None:
    """Return the arc of a bend, if there is one."""
    return None if bend is None else bend.arc
