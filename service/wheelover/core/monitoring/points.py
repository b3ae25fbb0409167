"""Action points: where each stands on the track, when she is there, and when notice falls due."""

from collections.abc import Sequence

from wheelover.core.monitoring.along import Way
from wheelover.core.types.monitoring import OnTrack, PlacedPoint
from wheelover.core.types.route import Position
from wheelover.core.types.watch import ActionPoint
from wheelover.core.units import m_from_nm, nm_from_m

_SECONDS = 60.0


def placed_points(way: Way, points: Sequence[ActionPoint]) -> tuple[PlacedPoint, ...]:
    """Return where action points stand, in the order in which they were given.

    Parameters
    ----------
    way : Way
        The planned track.
    points : sequence of ActionPoint
        The points.
    """
    return tuple(_placed(way, one) for one in points)


def _placed(way: Way, point: ActionPoint) -> PlacedPoint:
    """Return where one point stands."""
    if point.lat_deg is not None and point.lon_deg is not None:
        return _beside(way, point, Position(lat_deg=point.lat_deg, lon_deg=point.lon_deg))
    leg = way.leg(point.leg_to_id or "")
    if leg is None:
        return _nowhere(point, f"no leg of this route leads to {point.leg_to_id}")
    if leg.path is None:
        return _nowhere(point, f"the leg to {leg.to_id} has no length")
    before_m = m_from_nm(point.before_nm or 0.0)
    if before_m > leg.length_m:
        return _nowhere(
            point,
            f"the leg to {leg.to_id} is {nm_from_m(leg.length_m):.2f} NM, and the point stands "
            f"{point.before_nm:g} NM before its end: name the leg it lies on",
        )
    place = way.on_leg(leg, leg.length_m - before_m)
    return _timed(way, point, place, place.position, None)


def _beside(way: Way, point: ActionPoint, position: Position) -> PlacedPoint:
    """Return a point that has a place of its own."""
    if point.leg_to_id is not None and way.leg(point.leg_to_id) is None:
        return _nowhere(point, f"no leg of this route leads to {point.leg_to_id}", position)
    found = way.nearest(position, point.leg_to_id)
    if found is None:
        return _nowhere(point, "no nearest place of the track was found", position)
    place, off_m = found
    return _timed(way, point, place, position, off_m)


def _nowhere(point: ActionPoint, reason: str, position: Position | None = None) -> PlacedPoint:
    """Return a point that stands nowhere on the track."""
    return PlacedPoint(point=point, position=position, reason=reason)


def _timed(
    way: Way, point: ActionPoint, place: OnTrack, position: Position, off_m: float | None
) -> PlacedPoint:
    """Return a placed point with its notice."""
    notice_at_s, notice, why = None, None, None
    if point.notice_min is not None and place.at_s is not None:
        notice_at_s = place.at_s - point.notice_min * _SECONDS
        notice = way.at_time(notice_at_s) if notice_at_s >= 0.0 else None
        if notice_at_s < 0.0:
            why = "the notice falls due before the departure"
    return PlacedPoint(
        point=point,
        place=place,
        position=position,
        off_track_m=off_m,
        notice_at_s=notice_at_s,
        notice=notice,
        time_reason=way.untimed(place) if place.at_s is None else why,
    )
