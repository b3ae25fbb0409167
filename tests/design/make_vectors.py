"""Make the reference vectors of tests/design/vectors.

The methods are in reference_geodesy.py. Each number is made again in another way by
cross_checks.py, and the largest differences are written to vectors/measured.json.

Run: python make_vectors.py   (needs geographiclib, pygeodesy, mpmath, numpy, scipy; minutes)
"""

from __future__ import annotations

import json
import math
import random
from pathlib import Path
from typing import Any, TypeAlias

from cross_checks import check_leg, check_nearest, check_rhumb, check_turn
from mpmath import mp, mpf
from reference_geodesy import (
    MEASURED,
    NM_M,
    Curve,
    Point,
    Turn,
    ahead_m,
    arc_length_m,
    direct,
    inverse,
    make_leg,
    note,
    rhumb_inverse,
    rhumb_offset_deg,
    solve_turn,
    stationary_points,
    track_of,
    wrap_deg,
)

OUT = Path(__file__).parent / "vectors"
Record: TypeAlias = dict[str, Any]


# ---------------------------------------------------------------- turns


def away(line: str, p: Point, course_deg: float, distance_m: float) -> Point:
    """A waypoint some way off, rounded so that the written decimals are the input."""
    if line == "geodesic":
        lat, lon, _ = direct(p, course_deg, distance_m)
    else:
        dlat, dlon = rhumb_offset_deg(p, mp.radians(mpf(course_deg)), mpf(distance_m))
        lat, lon = p[0] + float(dlat), p[1] + float(dlon)
    return round(lat, 7), round(wrap_deg(lon), 7)


def position(p: Point) -> Record:
    return {"lat_deg": round(p[0], 12), "lon_deg": round(wrap_deg(p[1]), 12)}


def turn_record(points: list[Point], lines: list[str], radius_nm: float) -> Record:
    legs = [make_leg(line, p, q) for line, p, q in zip(lines, points[:-1], points[1:], strict=True)]
    turn = solve_turn(legs[0], legs[1], radius_nm * NM_M)
    check_turn(points, lines, legs, turn)
    course_in, course_out = legs[0].at(legs[0].end_m)[2], legs[1].at(0)[2]
    return {
        "waypoints": [position(p) for p in points],
        "lines": lines,
        "radius_nm": radius_nm,
        "centre": position(turn.centre),
        "start": position(legs[0].at(turn.start_m)[:2]),
        "end": position(legs[1].at(turn.finish_m)[:2]),
        "tangent_in_m": round(legs[0].end_m - turn.start_m, 7),
        "tangent_out_m": round(turn.finish_m, 7),
        "arc_m": round(arc_length_m(turn, 48), 7),
        "course_in_deg": round(course_in % 360, 12),
        "course_out_deg": round(course_out % 360, 12),
        "course_change_deg": round(wrap_deg(course_out - course_in), 12),
    }


def turn_cases(count: int = 80) -> list[Record]:
    rng, cases = random.Random(20260101), []
    for k in range(count):
        lines = [("rhumb", "geodesic")[k % 2], ("rhumb", "geodesic")[k // 2 % 2]]
        lat = (81.0, -81.0, 0.0, -60.0)[k // 4] if k < 16 and k % 4 == 0 else rng.uniform(-81, 81)
        lon = rng.choice((-179.98, 179.97)) if k % 8 == 5 else rng.uniform(-180, 180)
        waypoint = (round(lat, 7), round(lon, 7))
        change = rng.choice((-1, 1)) * (149.9, 5.1, 90.0, rng.uniform(5.1, 149.9))[min(k % 10, 3)]
        course, radius_nm = (
            rng.uniform(0, 360),
            round(math.exp(rng.uniform(math.log(0.1), math.log(2))), 3),
        )
        before = away(lines[0], waypoint, course + 180, rng.uniform(10, 60) * NM_M)
        arrival = make_leg(lines[0], before, waypoint)
        after = away(
            lines[1], waypoint, arrival.at(arrival.end_m)[2] + change, rng.uniform(10, 60) * NM_M
        )
        cases.append(
            {"id": f"turn-{k:03d}", **turn_record([before, waypoint, after], lines, radius_nm)}
        )
    return cases


# ---------------------------------------------------------------- clearance


def piece_name(index: int) -> Record:
    return {"kind": ("leg", "turn")[index % 2], "index": index // 2}


def side_of(curves: list[Curve], mark: Point, best: tuple[float, int, float]) -> str | None:
    _, index, u = best
    lat, lon, course = curves[index].at(u)
    along = ahead_m(curves[index], u, mark)
    at_start, at_end = index == 0 and u == 0, index == len(curves) - 1 and u == curves[-1].end_m
    if at_start or at_end:
        return None if abs(along) < 0.01 else "astern" if at_start else "ahead"
    return (
        "starboard" if math.sin(math.radians(inverse((lat, lon), mark)[1] - course)) > 0 else "port"
    )


def hazard_record(curves: list[Curve], mark: Point) -> Record:
    found = stationary_points(curves, mark)
    best = found[0]
    distance_m, index, u = best
    check_nearest(curves, mark, best)
    nearest = curves[index].at(u)[:2]
    rivals = [
        c
        for c in found[1:]
        if c[0] < distance_m + 0.01 and inverse(curves[c[1]].at(c[2])[:2], nearest)[0] > 0.05
    ]
    near_joint = (u < 0.01 and index > 0) or (
        curves[index].end_m - u < 0.01 and index < len(curves) - 1
    )
    return {
        **position(mark),
        "distance_m": round(distance_m, 7),
        "nearest": None if rivals else position(nearest),
        "piece": None if rivals or near_joint else piece_name(index),
        "side": None if rivals else side_of(curves, mark, best),
    }


def draw_hazard(rng: random.Random, curves: list[Curve], points: list[Point], kind: str) -> Point:
    off_m = math.exp(rng.uniform(math.log(0.02), math.log(100))) * NM_M
    turns = [c for c in curves if isinstance(c, Turn)]
    if kind in ("before", "beyond") or not turns:
        curve = (
            curves[0]
            if kind == "before"
            else curves[-1]
            if kind == "beyond"
            else rng.choice(curves)
        )
        u = {"before": 0.0, "beyond": curve.end_m}.get(kind, rng.uniform(0, curve.end_m))
        swing = {"before": 180 + rng.uniform(-80, 80), "beyond": rng.uniform(-80, 80)}.get(
            kind, rng.choice((-90, 90))
        )
    elif kind == "leg":
        curve = rng.choice(curves[::2])
        u, swing = rng.uniform(0, curve.end_m), rng.choice((-90, 90))
    elif kind == "corner":  # near the waypoint the turn cuts off
        lat, lon, _ = direct(
            rng.choice(points[1:-1]), rng.uniform(0, 360), rng.uniform(0, 0.3) * turns[0].radius_m
        )
        return round(lat, 7), round(wrap_deg(lon), 7)
    else:
        curve = rng.choice(turns)
        u, swing = rng.uniform(0, curve.end_m), 90 * curve.side * (-1 if kind == "outside" else 1)
        share = rng.uniform(0.75, 1.4) if kind == "centre" else rng.uniform(0.1, 0.9)
        off_m = off_m if kind == "outside" else share * curve.radius_m
    lat, lon, course = curve.at(u)
    lat, lon, _ = direct((lat, lon), course + swing, off_m)
    return round(lat, 7), round(wrap_deg(lon), 7)


def draw_route(rng: random.Random, k: int) -> tuple[list[Point], list[str], list[float]]:
    lat = rng.choice((-1, 1)) * rng.uniform(72, 80) if k % 7 == 3 else rng.uniform(-65, 65)
    lon = rng.choice((-179.9, 179.9)) if k % 6 == 2 else rng.uniform(-180, 180)
    long_leg, count = k % 13 == 6, 2 + k % 4
    points, course = [(round(lat / (2 if long_leg else 1), 7), round(lon, 7))], rng.uniform(0, 360)
    lines, lengths_m, changes = [], [], [0.0]
    for leg in range(count - 1):
        lines.append(rng.choice(("rhumb", "geodesic")))
        lengths_m.append(
            (rng.uniform(500, 3000) if long_leg and leg == count // 2 - 1 else rng.uniform(6, 60))
            * NM_M
        )
        points.append(away(lines[-1], points[-1], course, lengths_m[-1]))
        arrival = make_leg(lines[-1], *points[-2:])
        changes.append(rng.choice((-1, 1)) * rng.uniform(8, 140))
        course = arrival.at(arrival.end_m)[2] + changes[-1]
    room = [
        0.45 * min(a, b) / NM_M / math.tan(math.radians(abs(c) / 2))
        for a, b, c in zip(lengths_m[:-1], lengths_m[1:], changes[1:-1], strict=True)
    ]
    return points, lines, [round(min(rng.uniform(0.1, 2), r), 3) for r in room]


def legs_only_m(legs: list[Curve], mark: Point) -> float:
    return round(stationary_points(legs, mark)[0][0], 7)


def clearance_case(rng: random.Random, k: int) -> Record:
    points, lines, radii_nm = draw_route(rng, k)
    legs = [make_leg(line, p, q) for line, p, q in zip(lines, points[:-1], points[1:], strict=True)]
    for line, p, q, leg in zip(lines, points[:-1], points[1:], legs, strict=True):
        check_leg(line, p, q, leg)
    turns = [
        solve_turn(a, b, r * NM_M) for a, b, r in zip(legs[:-1], legs[1:], radii_nm, strict=True)
    ]
    curves, kinds = (
        track_of(legs, turns),
        ["leg", "outside", "inside", "centre", "corner", "before", "beyond"],
    )
    hazards: list[Record] = []
    wanted = rng.sample(kinds, 3 + k % 4)
    while len(hazards) < len(wanted):
        mark = draw_hazard(rng, curves, points, wanted[len(hazards)])
        record = hazard_record(curves, mark)
        if not 0.02 <= record["distance_m"] / NM_M <= 100.5:
            continue
        if (k + len(hazards)) % 3 == 0:
            record["legs_only_m"] = legs_only_m(legs, mark)
            note("legs_only_too_far_by_m", max(0.0, record["legs_only_m"] - record["distance_m"]))
            note("legs_only_too_near_by_m", max(0.0, record["distance_m"] - record["legs_only_m"]))
        hazards.append(record)
    return {
        "id": f"clearance-{k:03d}",
        "waypoints": [position(p) for p in points],
        "lines": lines,
        "turn_radii_nm": radii_nm,
        "hazards": hazards,
    }


# ---------------------------------------------------------------- rhumb cases and writing


def rhumb_pairs() -> list[tuple[str, Point, Point]]:
    rng, pairs = random.Random(20260102), list[tuple[str, Point, Point]]()
    u = rng.uniform
    parallels = (
        (0, 1),
        (60, 0.66),
        (-60, -3.3),
        (45, 90),
        (84, -7),
        (-30, 170),
        (10, -1e-4),
        (75, 2e-3),
    )
    for lat, dlon in parallels:
        pairs.append(("east_west", (lat, 10.5), (lat, 10.5 + dlon)))
    pairs.append(("east_west", (50.25, 179.5), (50.25, -179.75)))
    for power in range(-9, -2):
        for lat1, dlon in ((60.0, 0.5), (-35.0, -12.0)):
            lat2 = lat1 + rng.choice((-1, 1)) * 10.0**power
            pairs.append(("nearly_east_west", (lat1, 20.0), (lat2, 20.0 + dlon)))
    starts, ends = (10, -5, 83, -70, 50, 0, -84, 40), (11, 5, 84, 60, 49.9999, 1e-4, -83.5, 39)
    for a, b in zip(starts, ends, strict=True):
        pairs.append(("meridional", (a, -70.25), (b, -70.25)))
    for _ in range(9):
        pairs.append(("equator", (u(-20, -0.1), u(-180, 180)), (u(0.1, 20), u(-180, 180))))
        pairs.append(("antimeridian", (u(-75, 75), u(170, 180)), (u(-75, 75), u(-180, -170))))
        sign = rng.choice((-1, 1))
        pairs.append(
            ("high_latitude", (sign * u(75, 84), u(-30, 30)), (sign * u(75, 84), u(-30, 30)))
        )
    for k in range(10):  # 12 m and 100 m
        p = (u(-80, 80), (180 - 1e-6) if k == 4 else u(-180, 180))
        pairs.append(("very_short", p, away("rhumb", p, u(0, 360), (12, 100)[k % 2])))
    for _ in range(12):
        p = (u(-25, 25), u(-180, 180))
        pairs.append(
            (
                "very_long",
                p,
                away("rhumb", p, rng.choice((0, 180)) + u(40, 140), u(3500, 5000) * NM_M),
            )
        )
    return [(kind, tidy(p), tidy(q)) for kind, p, q in pairs]


def tidy(p: Point) -> Point:
    return round(p[0], 10), round(wrap_deg(p[1]), 10)


def rhumb_cases() -> list[Record]:
    cases = []
    for k, (kind, p, q) in enumerate(rhumb_pairs()):
        course, length_m = rhumb_inverse(p, q)
        course_deg = mp.degrees(course) % 360
        check_rhumb(p, q, course_deg, length_m)
        cases.append(
            {
                "id": f"rhumb-{k:03d}",
                "kind": kind,
                "lat1_deg": p[0],
                "lon1_deg": p[1],
                "lat2_deg": q[0],
                "lon2_deg": q[1],
                "course_deg": round(float(course_deg), 12) % 360,
                "distance_m": round(float(length_m), 7),
            }
        )
    return cases


def write(name: str, cases: list[Record]) -> None:
    lines = ",\n".join(json.dumps(case, separators=(",", ":"), allow_nan=False) for case in cases)
    (OUT / name).write_text(f'{{"cases":[\n{lines}\n]}}\n', encoding="utf-8")


def main() -> None:
    OUT.mkdir(exist_ok=True)
    write("rhumb.json", rhumb_cases())
    write("turns.json", turn_cases())
    rng = random.Random(20260103)
    write("clearance.json", [clearance_case(rng, k) for k in range(80)])
    measured = {check: float(f"{value:.2g}") for check, value in sorted(MEASURED.items())}
    (OUT / "measured.json").write_text(json.dumps(measured, indent=1) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
