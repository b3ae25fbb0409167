"""Reference geodesy for the vectors: slow, precise, and nothing shared with the service.

Geodesics: geographiclib (pure Python). Rhumb lines: 50-digit mpmath. Turn: a Newton search for
the centre whose least distance from both legs is the radius. Nearest point: dense sampling,
then a bracketed root of the slope of the distance.
"""

from __future__ import annotations

import itertools
import math
from collections import defaultdict
from dataclasses import dataclass
from typing import Protocol, TypeAlias

import numpy as np
from geographiclib.geodesic import Geodesic
from mpmath import mp, mpf
from scipy.optimize import brentq

mp.dps = 50
NM_M = 1852.0
A_M, F = mpf(6378137), 1 / mpf("298.257223563")
E2 = F * (2 - F)
GEOD = Geodesic.WGS84
MASK = Geodesic.DISTANCE | Geodesic.AZIMUTH | Geodesic.LATITUDE | Geodesic.LONGITUDE
MEASURED: dict[str, float] = defaultdict(float)  # the largest value seen of each check
Point: TypeAlias = tuple[float, float]  # latitude and longitude, degrees


def note(check: str, value: float) -> None:
    MEASURED[check] = max(MEASURED[check], abs(float(value)))


def wrap_deg(angle_deg: float) -> float:
    return (angle_deg + 180.0) % 360.0 - 180.0


def inverse(p: Point, q: Point) -> tuple[float, float, float]:
    """Distance in metres, azimuth at p, azimuth at q (both in the direction of travel)."""
    g = GEOD.Inverse(*p, *q, MASK)
    return g["s12"], g["azi1"], g["azi2"]


def direct(p: Point, azimuth_deg: float, distance_m: float) -> tuple[float, float, float]:
    g = GEOD.Direct(*p, azimuth_deg, distance_m, MASK)
    return g["lat2"], g["lon2"], g["azi2"]


# ---------------------------------------------------------------- rhumb lines in 50 digits


def isometric(phi: mpf) -> mpf:
    e, s = mp.sqrt(E2), mp.sin(phi)
    return mp.atanh(s) - e * mp.atanh(e * s)


def meridian_radius_m(phi: mpf) -> mpf:
    return A_M * (1 - E2) / (1 - E2 * mp.sin(phi) ** 2) ** 1.5


def parallel_radius_m(phi: mpf) -> mpf:
    return A_M * mp.cos(phi) / mp.sqrt(1 - E2 * mp.sin(phi) ** 2)


def meridian_m(phi: mpf) -> mpf:
    """Meridian arc from the equator by the incomplete elliptic integral."""
    s, c = mp.sin(phi), mp.cos(phi)
    return A_M * (mp.ellipe(phi, E2) - E2 * s * c / mp.sqrt(1 - E2 * s * s))


def latitude_of_meridian(arc_m: mpf) -> mpf:
    phi = arc_m / (A_M * (1 - F / 2))
    for _ in range(6):
        step = (arc_m - meridian_m(phi)) / meridian_radius_m(phi)
        phi += step
        if abs(step) < mpf(10) ** -25:  # quadratic: the next step would be below 1e-45
            break
    return phi


def rhumb_inverse(p: Point, q: Point, quadrature: bool = False) -> tuple[mpf, mpf]:
    """Course in radians (-pi, pi] and length in metres, the shorter way in longitude."""
    phi1, phi2 = mp.radians(mpf(p[0])), mp.radians(mpf(q[0]))
    dlon_deg = mp.fmod(mpf(q[1]) - mpf(p[1]) + 540, 360) - 180
    dlon = mp.radians(dlon_deg)
    if phi1 == phi2:
        return mp.sign(dlon) * mp.pi / 2, abs(dlon) * parallel_radius_m(phi1)
    dpsi = isometric(phi2) - isometric(phi1)
    arc_m = (
        mp.quad(meridian_radius_m, mp.linspace(phi1, phi2, 5))
        if quadrature
        else meridian_m(phi2) - meridian_m(phi1)
    )
    return mp.atan2(dlon, dpsi), arc_m / dpsi * mp.hypot(dpsi, dlon)


def rhumb_offset_deg(p: Point, course: mpf, distance_m: mpf) -> tuple[mpf, mpf]:
    """Change of latitude and longitude in degrees after a distance on a course (radians)."""
    phi1 = mp.radians(mpf(p[0]))
    if abs(mp.cos(course)) < mpf(10) ** -25:
        return mpf(0), mp.degrees(distance_m * mp.sin(course) / parallel_radius_m(phi1))
    phi2 = latitude_of_meridian(meridian_m(phi1) + distance_m * mp.cos(course))
    dlon = mp.tan(course) * (isometric(phi2) - isometric(phi1))
    return mp.degrees(phi2 - phi1), mp.degrees(dlon)


# ---------------------------------------------------------------- curves: legs and arcs


class Curve(Protocol):
    """A path with a parameter 0..end_m (metres, for an arc: radius times azimuth)."""

    @property
    def end_m(self) -> float: ...

    def at(self, u_m: float) -> tuple[float, float, float]: ...  # lat, lon, course (deg)


class GeodesicLeg:
    def __init__(self, p: Point, q: Point) -> None:
        self.line = GEOD.InverseLine(*p, *q)
        self.end_m = self.line.s13

    def at(self, u_m: float) -> tuple[float, float, float]:
        g = self.line.Position(u_m, MASK)
        return g["lat2"], g["lon2"], g["azi2"]


class RhumbLeg:
    """Chebyshev series through 50-digit positions, checked against such positions in between."""

    def __init__(self, p: Point, q: Point) -> None:
        course, length_m = rhumb_inverse(p, q)
        self.start, self.course_deg, self.end_m = p, float(mp.degrees(course)), float(length_m)
        n = 24 if self.end_m < 150 * NM_M else 90
        angles = [mp.pi * (2 * k + 1) / (2 * n) for k in range(n)]
        offsets = [rhumb_offset_deg(p, course, length_m * (1 + mp.cos(a)) / 2) for a in angles]
        rows = []
        for j in range(n):  # the cosine sums in 50 digits, or long legs lose 0.1 micrometre
            weights = [mp.cos(j * a) * (2 if j else 1) / n for a in angles]
            rows.append(
                tuple(float(mp.fdot(weights, column)) for column in zip(*offsets, strict=True))
            )
        last = max(j for j in range(n) if max(map(abs, rows[j])) > 1e-17)
        self.coefficients = rows[: last + 1]
        for fraction in (mpf("0.0371"), mpf("0.613"), mpf("0.9917")):
            true = rhumb_offset_deg(p, course, length_m * fraction)
            lat, lon, _ = self.at(float(length_m * fraction))
            note(
                "rhumb_interpolation_m",
                111e3
                * math.hypot(
                    lat - p[0] - float(true[0]),
                    math.cos(math.radians(lat)) * (lon - p[1] - float(true[1])),
                ),
            )

    def at(self, u_m: float) -> tuple[float, float, float]:
        x2 = 2 * (2 * u_m / self.end_m - 1)
        a1 = a2 = b1 = b2 = 0.0
        for lat, lon in self.coefficients[:0:-1]:  # Clenshaw's recurrence
            a1, a2 = x2 * a1 - a2 + lat, a1
            b1, b2 = x2 * b1 - b2 + lon, b1
        lat0, lon0 = self.coefficients[0]
        return (
            self.start[0] + (lat0 + x2 / 2 * a1 - a2),
            self.start[1] + (lon0 + x2 / 2 * b1 - b2),
            self.course_deg,
        )


def make_leg(line: str, p: Point, q: Point) -> Curve:
    leg = RhumbLeg(p, q) if line == "rhumb" else GeodesicLeg(p, q)
    note("leg_end_minus_waypoint_m", inverse(leg.at(leg.end_m)[:2], q)[0])
    return leg


@dataclass
class Trimmed:
    """Part of a leg, from begin_m to begin_m + end_m."""

    leg: Curve
    begin_m: float
    end_m: float

    def at(self, u_m: float) -> tuple[float, float, float]:
        return self.leg.at(self.begin_m + u_m)


@dataclass
class Turn:
    centre: Point
    radius_m: float
    side: int  # +1 starboard, -1 port
    start_m: float  # where it starts, along the inbound leg
    finish_m: float  # where it ends, along the outbound leg
    azimuth0_deg: float  # from the centre to the start
    sweep_deg: float  # change of that azimuth to the end, positive

    @property
    def end_m(self) -> float:
        return self.radius_m * math.radians(self.sweep_deg)

    def at(self, u_m: float) -> tuple[float, float, float]:
        azimuth = self.azimuth0_deg + self.side * math.degrees(u_m / self.radius_m)
        lat, lon, outward_deg = direct(self.centre, azimuth, self.radius_m)
        return lat, lon, outward_deg + self.side * 90.0


def ahead_m(curve: Curve, u_m: float, mark: Point) -> float:
    """Half the slope of distance squared: how far ahead along the curve the mark lies."""
    lat, lon, course = curve.at(u_m)
    d_m, azimuth, _ = inverse((lat, lon), mark)
    return d_m * math.cos(math.radians(azimuth - course))


def foot_m(curve: Curve, mark: Point, lo_m: float, hi_m: float) -> float:
    return brentq(lambda u: ahead_m(curve, u, mark), lo_m, hi_m, xtol=1e-10, rtol=1e-15)


def distance_at(curve: Curve, u_m: float, mark: Point) -> float:
    return inverse(curve.at(u_m)[:2], mark)[0]


# ---------------------------------------------------------------- turns and nearest points


def solve_turn(leg_in: Curve, leg_out: Curve, radius_m: float) -> Turn:
    """Newton on the position of the centre: its least distance from both legs is the radius."""
    change = wrap_deg(leg_out.at(0)[2] - leg_in.at(leg_in.end_m)[2])
    side = 1 if change > 0 else -1
    lat, lon, course = leg_in.at(leg_in.end_m - radius_m * math.tan(math.radians(abs(change) / 2)))
    centre = direct((lat, lon), course + side * 90, radius_m)[:2]
    for _ in range(20):
        feet = [foot_m(leg, centre, 0, leg.end_m) for leg in (leg_in, leg_out)]
        sights = [
            inverse(leg.at(u)[:2], centre) for leg, u in zip((leg_in, leg_out), feet, strict=True)
        ]
        gradient = [[math.sin(math.radians(s[2])), math.cos(math.radians(s[2]))] for s in sights]
        east, north = np.linalg.solve(gradient, [radius_m - s[0] for s in sights])
        if math.hypot(east, north) < 3e-9:
            break
        centre = direct(centre, math.degrees(math.atan2(east, north)), math.hypot(east, north))[:2]
    for leg, u, sight in zip((leg_in, leg_out), feet, sights, strict=True):
        assert abs(wrap_deg(sight[1] - leg.at(u)[2] - side * 90)) < 1e-3, "centre on the wrong side"
        note("turn_last_newton_step_m", math.hypot(east, north))
    azimuths = [
        inverse(centre, leg.at(u)[:2])[1] for leg, u in zip((leg_in, leg_out), feet, strict=True)
    ]
    return Turn(
        centre,
        radius_m,
        side,
        feet[0],
        feet[1],
        azimuths[0],
        side * (azimuths[1] - azimuths[0]) % 360,
    )


def arc_length_m(turn: Turn, nodes: int) -> float:
    """Integral of the reduced length over azimuth, Gauss-Legendre."""
    x, w = np.polynomial.legendre.leggauss(nodes)
    azimuths = turn.azimuth0_deg + turn.side * turn.sweep_deg * (x + 1) / 2
    reduced = [
        GEOD.Direct(*turn.centre, a, turn.radius_m, Geodesic.REDUCEDLENGTH)["m12"] for a in azimuths
    ]
    return float(w @ reduced) * math.radians(turn.sweep_deg) / 2


def stationary_points(curves: list[Curve], mark: Point) -> list[tuple[float, int, float]]:
    """All local minima of distance (distance, curve, parameter), and the ends of each curve."""
    found = []
    for index, curve in enumerate(curves):
        n = 400 if curve.end_m > 150 * NM_M else 64
        us = [curve.end_m * k / n for k in range(n + 1)]
        slopes = [ahead_m(curve, u, mark) for u in us]
        feet = [
            foot_m(curve, mark, us[k], us[k + 1])
            for k in range(n)
            if slopes[k] > 0 >= slopes[k + 1]
        ]
        found += [(distance_at(curve, u, mark), index, u) for u in (0.0, *feet, curve.end_m)]
    return sorted(found)


def track_of(legs: list[Curve], turns: list[Turn]) -> list[Curve]:
    """Legs trimmed at the tangent points and the arcs between, in order: leg, turn, leg ..."""
    begins = [0.0] + [t.finish_m for t in turns]
    ends = [t.start_m for t in turns] + [legs[-1].end_m]
    assert all(b < e for b, e in zip(begins, ends, strict=True)), "turns do not fit"
    curves: list[Curve] = []
    for k, leg in enumerate(legs):
        curves.append(Trimmed(leg, begins[k], ends[k] - begins[k]))
        curves += turns[k : k + 1]
    for a, b in itertools.pairwise(curves):
        before, after = a.at(a.end_m), b.at(0.0)
        note("track_joint_gap_m", inverse(before[:2], after[:2])[0])
        note("track_joint_course_step_deg", wrap_deg(before[2] - after[2]))
    return curves
