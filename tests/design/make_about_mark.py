"""Make the reference vectors of turns struck about a fixed mark: vectors/about_mark.json.

Nothing is shared with the service. The service finds the tangent points on the circle and crosses
the two rhumb lines in isometric coordinates. Here the waypoint itself is the unknown: it is moved
until the least geodesic distance of the mark from both rhumb lines through it is the radius, the
rhumb lines being series through 50-digit positions and the feet bracketed roots.

Run: python make_about_mark.py   (needs geographiclib, mpmath, numpy, scipy; a few minutes)
"""

from __future__ import annotations

import json
import math
import random
from pathlib import Path
from typing import Any

import numpy as np
from mpmath import mp, mpf
from reference_geodesy import (
    MEASURED,
    NM_M,
    Curve,
    Point,
    RhumbLeg,
    Turn,
    arc_length_m,
    direct,
    foot_m,
    inverse,
    note,
    rhumb_inverse,
    rhumb_offset_deg,
    solve_turn,
    wrap_deg,
)

OUT = Path(__file__).parent / "vectors"
Record = dict[str, Any]


def off_by_rhumb(p: Point, course_deg: float, distance_m: float) -> Point:
    dlat, dlon = rhumb_offset_deg(p, mp.radians(mpf(course_deg)), mpf(distance_m))
    return p[0] + float(dlat), p[1] + float(dlon)


def legs_through(waypoint: Point, courses: tuple[float, float], length_m: float) -> list[Curve]:
    """The two rhumb lines, in from length_m before the waypoint, out to length_m beyond it."""
    before = off_by_rhumb(waypoint, courses[0] + 180, length_m)
    after = off_by_rhumb(waypoint, courses[1], length_m)
    return [RhumbLeg(before, waypoint), RhumbLeg(waypoint, after)]


def solve_waypoint(
    mark: Point, radius_m: float, courses: tuple[float, float]
) -> tuple[Point, list[Curve], list[float]]:
    """Newton on the waypoint: moving it moves both lines along, by the share square to them."""
    change = wrap_deg(courses[1] - courses[0])
    side = 1 if change > 0 else -1
    tangent_m = radius_m * math.tan(math.radians(abs(change) / 2))
    outward = courses[0] + change / 2 - 90 * side
    waypoint = direct(mark, outward, radius_m / math.cos(math.radians(change / 2)))[:2]
    length_m = 2.2 * tangent_m + 2 * radius_m
    for _ in range(30):
        legs = legs_through(waypoint, courses, length_m)
        feet = [foot_m(leg, mark, 0, leg.end_m) for leg in legs]
        sights = [inverse(leg.at(u)[:2], mark) for leg, u in zip(legs, feet, strict=True)]
        rows = [[math.sin(math.radians(s[1])), math.cos(math.radians(s[1]))] for s in sights]
        # A line moved towards the mark comes nearer by as much.
        east, north = np.linalg.solve(rows, [s[0] - radius_m for s in sights])
        if math.hypot(east, north) < 3e-9:
            break
        step = math.hypot(east, north)
        waypoint = direct(waypoint, math.degrees(math.atan2(east, north)), step)[:2]
    note("about_mark_last_step_m", math.hypot(east, north))
    for leg, u, sight in zip(legs, feet, sights, strict=True):
        assert abs(wrap_deg(sight[1] - leg.at(u)[2] - side * 90)) < 1e-3, "mark on the wrong side"
        note("about_mark_radius_m", sight[0] - radius_m)
    return waypoint, legs, feet


def record(mark: Point, radius_nm: float, courses: tuple[float, float]) -> Record:
    radius_m = radius_nm * NM_M
    waypoint, legs, feet = solve_waypoint(mark, radius_m, courses)
    start, end = legs[0].at(feet[0])[:2], legs[1].at(feet[1])[:2]
    # The turn at that waypoint, solved the other way round, has its centre at the mark.
    turn = solve_turn(legs[0], legs[1], radius_m)
    note("about_mark_centre_of_its_turn_m", inverse(turn.centre, mark)[0])
    side = 1 if wrap_deg(courses[1] - courses[0]) > 0 else -1
    azimuths = [inverse(mark, p)[1] for p in (start, end)]
    about = Turn(
        mark,
        radius_m,
        side,
        feet[0],
        feet[1],
        azimuths[0],
        side * (azimuths[1] - azimuths[0]) % 360,
    )
    tangents = [float(rhumb_inverse(start, waypoint)[1]), float(rhumb_inverse(waypoint, end)[1])]
    note("about_mark_tangent_m", tangents[0] - (legs[0].end_m - feet[0]))
    note("about_mark_tangent_m", tangents[1] - feet[1])
    return {
        "mark": position(mark),
        "radius_nm": radius_nm,
        "course_in_deg": courses[0],
        "course_out_deg": courses[1],
        "waypoint": position(waypoint),
        "start": position(start),
        "end": position(end),
        "tangent_in_m": round(tangents[0], 7),
        "tangent_out_m": round(tangents[1], 7),
        "arc_m": round(arc_length_m(about, 48), 7),
    }


def position(p: Point) -> Record:
    return {"lat_deg": round(p[0], 12), "lon_deg": round(wrap_deg(p[1]), 12)}


def cases(count: int = 72) -> list[Record]:
    rng, found = random.Random(20260104), []
    for k in range(count):
        lat = (81.0, -81.0, 0.0, 75.0)[k % 4] if k < 12 else rng.uniform(-81, 81)
        lon = rng.choice((-179.999, 179.999, 180.0)) if k % 6 == 2 else rng.uniform(-180, 180)
        size = (150.0, 5.0, 90.0, rng.uniform(5, 150))[min(k % 9, 3)]
        radius_nm = (
            (0.1, 2.0)[k % 2]
            if k < 16
            else round(math.exp(rng.uniform(math.log(0.1), math.log(2))), 3)
        )
        # Along the meridian and the parallel now and then, where formulas like to divide by zero.
        course_in = (0.0, 90.0, 180.0, 270.0)[k % 4] if k % 5 == 1 else rng.uniform(0, 360)
        course_in = round(course_in, 3) % 360
        course_out = round(course_in + rng.choice((-1, 1)) * round(size, 3), 3) % 360
        mark = (round(lat, 7), round(lon, 7))
        found.append({"id": f"about-{k:03d}", **record(mark, radius_nm, (course_in, course_out))})
    return found


def main() -> None:
    rows = [json.dumps(case, separators=(",", ":"), allow_nan=False) for case in cases()]
    text = '{"cases":[\n' + ",\n".join(rows) + "\n]}\n"
    (OUT / "about_mark.json").write_text(text, encoding="utf-8")
    wanted = {k: float(f"{v:.2g}") for k, v in sorted(MEASURED.items()) if "about" in k}
    path = OUT / "measured.json"
    measured = {**json.loads(path.read_text()), **wanted}  # noqa: TID251
    path.write_text(json.dumps(dict(sorted(measured.items())), indent=1) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
