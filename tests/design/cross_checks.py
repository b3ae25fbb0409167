"""The reference numbers once more by other means; the largest differences are kept.

pygeodesy's exact rhumb and geodesic classes, chord sums, quadrature, plain minimisation.
"""

from __future__ import annotations

import itertools
import math
from typing import Any

import numpy as np
from mpmath import mpf
from pygeodesy.geodesicx import GeodesicExact
from pygeodesy.rhumb.aux_ import RhumbAux
from pygeodesy.rhumb.ekx import Rhumb
from reference_geodesy import (
    Curve,
    Point,
    Turn,
    arc_length_m,
    distance_at,
    inverse,
    note,
    rhumb_inverse,
    wrap_deg,
)
from scipy.optimize import minimize_scalar, root

EXACT, RHUMB_AUX, RHUMB_EKX = GeodesicExact(), RhumbAux(exact=True), Rhumb(exact=True)


def chord_sum_m(turn: Turn) -> float:
    """The same length from geodesic chords between points of the circle, extrapolated twice."""
    sums = []
    for n in (40, 80, 160):
        points = [turn.at(turn.end_m * k / n)[:2] for k in range(n + 1)]
        sums.append(sum(inverse(p, q)[0] for p, q in itertools.pairwise(points)))
    first = [(4 * b - a) / 3 for a, b in itertools.pairwise(sums)]
    return (16 * first[1] - first[0]) / 15


def pygeodesy_leg(line: str, waypoint: Point, other: Point) -> tuple[Any, float]:
    solver = RHUMB_AUX if line == "rhumb" else EXACT
    way = solver.Inverse(*waypoint, *other)
    return solver, way.azi12 if line == "rhumb" else way.azi1


def check_leg(line: str, p: Point, q: Point, leg: Curve) -> None:
    """Position at 0.4 of the leg against pygeodesy's own inverse and direct solutions."""
    solver, azimuth = pygeodesy_leg(line, p, q)
    other = solver.Direct(*p, azimuth, 0.4 * solver.Inverse(*p, *q).s12)
    note(
        f"{line}_leg_position_minus_pygeodesy_m",
        inverse(leg.at(0.4 * leg.end_m)[:2], (other.lat2, other.lon2))[0],
    )


def least_distance_m(leg: Curve, mark: Point, lo_m: float, hi_m: float) -> float:
    """Plain minimisation of the distance itself (the foot is found by its slope elsewhere)."""
    return minimize_scalar(
        lambda u: distance_at(leg, u, mark),
        bounds=(max(0.0, lo_m), min(leg.end_m, hi_m)),
        method="bounded",
        options={"xatol": 1e-4},
    ).fun


def check_turn(points: list[Point], lines: list[str], legs: list[Curve], turn: Turn) -> None:
    """Plain minimisation, and a second solution with other unknowns and other geodesics."""
    for leg, u in zip(legs, (turn.start_m, turn.finish_m), strict=True):
        least_m = least_distance_m(leg, turn.centre, u - turn.radius_m, u + turn.radius_m)
        note("turn_least_distance_minus_radius_m", least_m - turn.radius_m)
    ways = [
        pygeodesy_leg(lines[0], points[1], points[0]),
        pygeodesy_leg(lines[1], points[1], points[2]),
    ]
    scale = 111e3 * math.cos(math.radians(turn.centre[0]))

    def centres(tangents_m: np.ndarray) -> list[Point]:
        found = []
        for (solver, azimuth), t_m, turn_deg in zip(ways, tangents_m, (-90, 90), strict=True):
            foot = solver.Direct(*points[1], azimuth, t_m)
            along = azimuth if solver is RHUMB_AUX else foot.azi2
            c = EXACT.Direct(foot.lat2, foot.lon2, along + turn.side * turn_deg, turn.radius_m)
            found.append((c.lat2, c.lon2))
        return found

    def gap_m(tangents_m: np.ndarray) -> list[float]:
        a, b = centres(tangents_m)
        return [111e3 * (a[0] - b[0]), scale * wrap_deg(a[1] - b[1])]

    mine = np.array([legs[0].end_m - turn.start_m, turn.finish_m])
    other = root(gap_m, mine * 1.001, tol=1e-12).x
    note("turn_tangents_second_solution_m", np.abs(other - mine).max())
    note("turn_centre_second_solution_m", inverse(centres(other)[0], turn.centre)[0])
    note("turn_arc_24_minus_48_nodes_m", arc_length_m(turn, 24) - arc_length_m(turn, 48))
    note("turn_arc_minus_chord_sum_m", arc_length_m(turn, 48) - chord_sum_m(turn))


def check_nearest(curves: list[Curve], mark: Point, best: tuple[float, int, float]) -> None:
    """Plain minimisation around the foot, a pygeodesy inverse, and no denser sample nearer."""
    distance_m, index, u = best
    curve, reach_m = curves[index], 0.02 * distance_m
    if 0 < u < curve.end_m:
        note(
            "clearance_minus_plain_minimum_m",
            least_distance_m(curve, mark, u - reach_m, u + reach_m) - distance_m,
        )
    if isinstance(curve, Turn) and 0 < u < curve.end_m:
        note(
            "clearance_minus_centre_formula_m",
            abs(inverse(curve.centre, mark)[0] - curve.radius_m) - distance_m,
        )
    note(
        "clearance_minus_pygeodesy_exact_m", EXACT.Inverse(*curve.at(u)[:2], *mark).s12 - distance_m
    )
    for other in curves:
        for k in range(300):  # another grid
            nearer = distance_m - distance_at(other, other.end_m * (k + 0.37) / 300, mark)
            note("clearance_any_sample_nearer_m", max(0.0, nearer))


def check_rhumb(p: Point, q: Point, course_deg: mpf, length_m: mpf) -> None:
    """Meridian arc by quadrature, and two exact rhumb solvers of pygeodesy."""
    quadrature_m = rhumb_inverse(p, q, quadrature=True)[1]
    note("rhumb_length_minus_quadrature_m", quadrature_m - length_m)
    for name, solver in (("aux", RHUMB_AUX), ("ekx", RHUMB_EKX)):
        other = solver.Inverse(*p, *q)
        note(f"rhumb_length_minus_pygeodesy_{name}_m", mpf(other.s12) - length_m)
        step_deg = wrap_deg(other.azi12 - float(course_deg))
        note(f"rhumb_course_minus_pygeodesy_{name}_deg", step_deg)
