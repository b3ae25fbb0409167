"""The corner of a turn in a plane of its own: x along the inbound leg, y to starboard of it."""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from wheelover.core.arrays import Floats
from wheelover.core.errors import OutOfDomain
from wheelover.core.geo.plane import to_plane_m
from wheelover.core.legs import in_columns, points_along
from wheelover.core.types.route import Position
from wheelover.core.types.sweep import WhichLeg
from wheelover.core.types.track import LegLine, PlannedLeg, Side
from wheelover.core.units import m_from_nm

_LEAST_LOOK_M = 500.0
_OFF_LEG_M = 2.0
_LEAST_SINE = 1e-3


@dataclass(frozen=True, slots=True, kw_only=True)
class Corner:
    """Both legs of a turn as straight lines, in metres from the wheel-over.

    ``along_ratio`` is the unit vector (east, north) of the x-axis, ``out_ratio`` that of the
    outbound leg in x and y, ``waypoint_m`` where they meet.
    """

    along_ratio: Floats
    out_ratio: Floats
    waypoint_m: Floats

    @property
    def sine_ratio(self) -> float:
        """Return the sine of the change of course, starboard positive."""
        return float(self.out_ratio[1])

    def turned(self, plane_m: Floats) -> Floats:
        """Return places (..., 2), given east and north, in x and y."""
        east, north = self.along_ratio
        return np.asarray(plane_m @ np.array([[east, north], [north, -east]]))

    def off_track_m(self, place_m: Floats) -> float:
        """Return how far a place in x and y, shape (2,), is to starboard of the outbound leg."""
        x_m, y_m = place_m - self.waypoint_m
        return float(y_m * self.out_ratio[0] - x_m * self.out_ratio[1])


def corner_of(leg_in: LegLine, leg_out: LegLine, start: Position, steady_m: Floats) -> Corner:
    """Return the corner of a turn seen from a wheel-over on the inbound leg.

    Parameters
    ----------
    leg_in, leg_out : LegLine
        The legs.
    start : Position
        The wheel-over.
    steady_m : ndarray, shape (2,)
        Where the run ends, metres east and north of it.

    Raises
    ------
    OutOfDomain
        When the wheel-over is not on the inbound leg, or the legs lie along one line.

    Notes
    -----
    The legs are the chords from wheel-over to waypoint and from there to abeam of the steady
    position. A rhumb line leaves its chord of length s by at most s^2 tan(latitude) / (8 R): 0.1 m
    at 1 NM in 60 degrees.
    """
    middle_deg = (start.lat_deg, start.lon_deg)
    waypoint_m = to_plane_m(middle_deg, leg_out.start.lat_deg, leg_out.start.lon_deg)[0]
    back_m = max(float(np.hypot(*waypoint_m)), _LEAST_LOOK_M)
    on_m = max(float(np.hypot(*(steady_m - waypoint_m))), _LEAST_LOOK_M)
    looks = points_along(in_columns([leg_in, leg_out]), [leg_in.length_m - back_m, on_m])
    behind_m, ahead_m = to_plane_m(middle_deg, *looks[:2])
    along = (waypoint_m - behind_m) / np.hypot(*(waypoint_m - behind_m))
    out = (ahead_m - waypoint_m) / np.hypot(*(ahead_m - waypoint_m))
    corner = Corner(along_ratio=along, out_ratio=out, waypoint_m=waypoint_m)
    corner = Corner(
        along_ratio=along, out_ratio=corner.turned(out), waypoint_m=corner.turned(waypoint_m)
    )
    if abs(corner.waypoint_m[1]) > _OFF_LEG_M:
        raise OutOfDomain(
            f"the wheel-over is {abs(corner.waypoint_m[1]):.1f} m beside the inbound leg; it must "
            "be on it"
        )
    if abs(corner.sine_ratio) < _LEAST_SINE:
        raise OutOfDomain(
            "the legs lie along one line, to a twentieth of a degree: where the helm is given "
            "changes no track"
        )
    return corner


@dataclass(frozen=True, slots=True, kw_only=True)
class Outside:
    """What lies outside the cross-track limit of one side of a leg, as far as its end at the turn.

    It is the corner of the plane at ``apex_m`` between the directions ``edge_ratio``, (2, 2): back
    or on along the leg, and away from it along the line that halves the angle of the legs.
    """

    leg: WhichLeg
    side: Side
    limit_m: float
    apex_m: Floats
    edge_ratio: Floats

    def holds(self, place_m: Floats) -> bool:
        """Return whether a place in x and y, shape (2,), lies outside the limit."""
        shares = np.linalg.solve(self.edge_ratio.T, place_m - self.apex_m)
        return bool(np.all(shares >= 0.0))

    def edges_m(self, far_m: float) -> Floats:
        """Return both edges from the apex as far as wanted, shape (2, 2, 2)."""
        ends = self.apex_m + far_m * self.edge_ratio
        return np.stack([np.stack([self.apex_m, end]) for end in ends])


def outside_corridor(corner: Corner, leg_in: PlannedLeg, leg_out: PlannedLeg) -> Iterator[Outside]:
    """Yield what lies outside the cross-track limits of both legs, where they have any.

    The inbound leg's limits count up to the line through the waypoint that halves the angle between
    the legs, the outbound leg's from there: the two corridors are mitred. Their far ends are left
    open.
    """
    inward = corner.out_ratio - [1.0, 0.0]
    inward = inward / np.hypot(*inward) * np.sign(corner.sine_ratio)
    legs: tuple[tuple[WhichLeg, PlannedLeg, Floats], ...] = (
        ("inbound", leg_in, np.array([-1.0, 0.0])),
        ("outbound", leg_out, corner.out_ratio),
    )
    half_cosine = float(np.sqrt((1.0 + corner.out_ratio[0]) / 2.0))
    for which, leg, away in legs:
        sides: tuple[tuple[Side, float | None, float], ...] = (
            ("port", leg.xtd_port_nm, -1.0),
            ("starboard", leg.xtd_starboard_nm, 1.0),
        )
        for side, limit_nm, sign in sides:
            if limit_nm is not None:
                aside = sign * inward
                limit_m = m_from_nm(limit_nm)
                yield Outside(
                    leg=which,
                    side=side,
                    limit_m=limit_m,
                    apex_m=corner.waypoint_m + limit_m / half_cosine * aside,
                    edge_ratio=np.stack([away, aside]),
                )
