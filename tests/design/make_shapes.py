"""Reference vectors for lines and areas beside the planned track; edges straight in lat and lon.

Along every edge the distance to every piece of the track is taken at places close to one another,
and around each least of them closed in on by golden section. Whether a place of the track is
inside an area is said by its winding number.
"""

import itertools
import math
import random
from typing import Any

from make_vectors import draw_route, position, write
from reference_geodesy import (
    NM_M,
    Curve,
    Point,
    ahead_m,
    direct,
    distance_at,
    foot_m,
    inverse,
    make_leg,
    solve_turn,
    track_of,
    wrap_deg,
)

Record = dict[str, Any]
Ring = list[list[float]]

GRID = 32
FOOT = 16
ROUNDS = 60
CROSSED_M = 1e-4


def on_edge(a: list[float], b: list[float], t: float) -> Point:
    return a[1] + t * (b[1] - a[1]), a[0] + t * (b[0] - a[0])


def nearest_m(curve: Curve, spot: Point) -> tuple[float, float]:
    """Distance of a place from a piece by bracketed roots of the slope, and where on the piece."""
    us = [curve.end_m * k / FOOT for k in range(FOOT + 1)]
    slopes = [ahead_m(curve, u, spot) for u in us]
    feet = [
        foot_m(curve, spot, us[k], us[k + 1]) for k in range(FOOT) if slopes[k] > 0 >= slopes[k + 1]
    ]
    return min((distance_at(curve, u, spot), u) for u in (0.0, *feet, curve.end_m))


def least_m(curve: Curve, a: list[float], b: list[float], enough_m: float) -> tuple[float, float]:
    """Least distance between a piece and an edge, and where on the piece (metres along it)."""
    ts = [k / GRID for k in range(GRID + 1)]
    row = [nearest_m(curve, on_edge(a, b, t))[0] for t in ts]
    step_m = inverse(on_edge(a, b, 0.0), on_edge(a, b, 1.0))[0] / GRID
    best = min((far_m, t) for far_m, t in zip(row, ts, strict=True))
    for k, far_m in enumerate(row):
        around = row[max(0, k - 1) : k + 2]
        if far_m <= min(around) and far_m - step_m <= min(best[0], enough_m):
            low, high = ts[max(0, k - 1)], ts[min(GRID, k + 1)]
            best = min(best, closed_in(curve, a, b, low, high))
    return nearest_m(curve, on_edge(a, b, best[1]))


def closed_in(
    curve: Curve, a: list[float], b: list[float], low: float, high: float
) -> tuple[float, float]:
    """Least distance on a stretch of an edge, by golden section, and where on the edge."""
    golden = (math.sqrt(5) - 1) / 2
    inner, outer = high - golden * (high - low), low + golden * (high - low)
    at = {t: nearest_m(curve, on_edge(a, b, t))[0] for t in (low, high, inner, outer)}
    for _ in range(ROUNDS):
        if at[inner] <= at[outer]:
            high, outer, inner = outer, inner, outer - golden * (outer - low)
            at[inner] = nearest_m(curve, on_edge(a, b, inner))[0]
        else:
            low, inner, outer = inner, outer, inner + golden * (high - inner)
            at[outer] = nearest_m(curve, on_edge(a, b, outer))[0]
    return min((far_m, t) for t, far_m in at.items())


def winding(place: Point, ring: Ring) -> int:
    """How often a ring goes around a place, in the plane of longitude and latitude."""
    turned = 0.0
    for a, b in itertools.pairwise(ring):
        one = math.atan2(a[1] - place[0], a[0] - place[1])
        other = math.atan2(b[1] - place[0], b[0] - place[1])
        turned += math.remainder(other - one, math.tau)
    return round(turned / math.tau)


def inside(point: Point, rings: list[Ring]) -> bool:
    place = (point[0], wrap_deg(point[1]))
    return winding(place, rings[0]) != 0 and not any(winding(place, hole) for hole in rings[1:])


def shape_record(curves: list[Curve], kind: str, coordinates: Any) -> Record:
    areas = {"Polygon": [coordinates], "MultiPolygon": coordinates}.get(kind, [])
    lines = {"LineString": [coordinates], "MultiLineString": coordinates}.get(kind, [])
    paths = [*lines, *itertools.chain.from_iterable(areas)]
    best = (math.inf, 0.0, 0)
    for index, curve in enumerate(curves):
        for path in paths:
            for a, b in itertools.pairwise(path):
                found = least_m(curve, a, b, best[0])
                best = min(best, (*found, index))
    held = any(
        inside(curve.at(curve.end_m * k / 200)[:2], rings)
        for curve in curves
        for k in range(201)
        for rings in areas
    )
    crossed = held or best[0] < CROSSED_M
    return {
        "type": kind,
        "coordinates": coordinates,
        "distance_m": 0.0 if crossed else round(best[0], 7),
        "crossed": crossed,
    }


def around(centre: Point, size_m: float, rng: random.Random) -> Ring:
    """A ring about a place, closed, cut nowhere: its cases keep off the meridian of 180."""
    corners = sorted(rng.uniform(0, 360) for _ in range(rng.randint(4, 6)))
    ring = []
    for bearing in corners:
        lat, lon, _ = direct(centre, bearing, size_m * rng.uniform(0.4, 1.0))
        ring.append([round(wrap_deg(lon), 7), round(lat, 7)])
    return [*ring, ring[0]]


def scaled(ring: Ring, centre: Point, share: float) -> Ring:
    """A ring drawn in about a place, in the plane of longitude and latitude."""
    return [
        [
            round(centre[1] + share * (x - centre[1]), 7),
            round(centre[0] + share * (y - centre[0]), 7),
        ]
        for x, y in ring
    ]


def drawn(rng: random.Random, curves: list[Curve], kind: str) -> tuple[str, Any]:
    curve = rng.choice(curves)
    lat, lon, course = curve.at(rng.uniform(0, curve.end_m))
    off_m = math.exp(rng.uniform(math.log(0.05), math.log(30))) * NM_M
    size_m = off_m * math.exp(rng.uniform(math.log(0.1), math.log(2.0)))
    centre = direct(
        (lat, wrap_deg(lon)), course + rng.choice((-1, 1)) * rng.uniform(40, 140), off_m
    )
    centre = (centre[0], wrap_deg(centre[1]))
    ring = around(centre, size_m, rng)
    if kind == "beside":  # a long edge nearly along the track, where ends say little
        ends = [direct(centre, course + turn, 6 * size_m)[:2] for turn in (0.3, 180.2)]
        return "LineString", [[round(wrap_deg(p[1]), 7), round(p[0], 7)] for p in ends]
    if kind == "holed":
        size_m = rng.uniform(2, 8) * off_m
        ring = around(centre, size_m, rng)
        return "Polygon", [ring, scaled(ring, centre, rng.uniform(0.3, 0.9))]
    if kind == "lines":
        return "MultiLineString", [ring[:3], ring[2:]]
    if kind == "areas":
        other = direct(centre, rng.uniform(0, 360), 3 * size_m)[:2]
        return "MultiPolygon", [[ring], [around((other[0], wrap_deg(other[1])), size_m, rng)]]
    return ("LineString", ring[:-1]) if kind == "line" else ("Polygon", [ring])


def spans_180(coordinates: Any) -> bool:
    def flat(one: Any) -> list[list[float]]:
        return [one] if isinstance(one[0], float) else [p for part in one for p in flat(part)]

    longitudes = [p[0] for p in flat(coordinates)]
    return max(longitudes) - min(longitudes) > 180


def case(rng: random.Random, number: int, route_number: int) -> Record:
    points, lines, radii_nm = draw_route(rng, route_number)
    legs = [make_leg(line, p, q) for line, p, q in zip(lines, points[:-1], points[1:], strict=True)]
    turns = [
        solve_turn(a, b, r * NM_M) for a, b, r in zip(legs[:-1], legs[1:], radii_nm, strict=True)
    ]
    curves = track_of(legs, turns)
    kinds = ["area", "line", "beside", "holed", "lines", "areas"]
    shapes: list[Record] = []
    for kind in rng.sample(kinds, 3):
        shape = drawn(rng, curves, kind)
        while spans_180(shape[1]):
            shape = drawn(rng, curves, kind)
        shapes.append(shape_record(curves, *shape))
    return {
        "id": f"shapes-{number:03d}",
        "waypoints": [position(p) for p in points],
        "lines": lines,
        "turn_radii_nm": radii_nm,
        "shapes": shapes,
    }


def main() -> None:
    rng = random.Random(20261125)
    numbers = [k for k in range(60) if k % 13 != 6 and k % 6 != 2][:36]
    cases = [case(rng, number, k) for number, k in enumerate(numbers)]
    write("shapes.json", cases)
    shapes = [shape for one in cases for shape in one["shapes"]]
    print(len(shapes), "shapes,", sum(shape["crossed"] for shape in shapes), "crossed")


if __name__ == "__main__":
    main()
