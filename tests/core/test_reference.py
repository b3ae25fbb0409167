"""The geometry against an independent reference.

Source: tests/design/make_vectors.py, which solves the same definitions by brute force with
geographiclib, with mpmath at 30 digits and more, and with the exact rhumb lines of pygeodesy.
The tolerances are a thousandth of what the API promises, so that a loss of digits shows early.
"""

from typing import Any

import pytest

from tests import zoo
from tests.zoo import clear
from wheelover.core.geo import geodesic, rhumb
from wheelover.core.geo.angles import signed_change_deg
from wheelover.core.track import lay_track
from wheelover.core.types.track import Arc
from wheelover.core.units import NM_M

LENGTH_M = 2e-6
COURSE_DEG = 1e-9


def _apart_m(one: dict[str, float], lat_deg: float, lon_deg: float) -> float:
    return float(geodesic.inverse(one["lat_deg"], one["lon_deg"], lat_deg, lon_deg)[2][0])


def test_rhumb_lines(vectors: zoo.Vectors) -> None:
    cases = vectors("rhumb")
    assert len(cases) >= 80
    for case in cases:
        ends = [case[name] for name in ("lat1_deg", "lon1_deg", "lat2_deg", "lon2_deg")]
        course, distance = rhumb.inverse(*ends)
        assert abs(distance[0] - case["distance_m"]) < LENGTH_M, case["id"]
        assert abs(signed_change_deg(course[0], case["course_deg"])) < COURSE_DEG, case["id"]


def test_rhumb_lines_arrive_where_they_were_aimed(vectors: zoo.Vectors) -> None:
    for case in vectors("rhumb"):
        lat, lon = rhumb.direct(
            case["lat1_deg"], case["lon1_deg"], case["course_deg"], case["distance_m"]
        )
        end = {"lat_deg": case["lat2_deg"], "lon_deg": case["lon2_deg"]}
        assert _apart_m(end, lat[0], lon[0]) < LENGTH_M, case["id"]


def _zoo_route(case: dict[str, Any], radii_nm: list[float]) -> Any:
    places = [(one["lat_deg"], one["lon_deg"]) for one in case["waypoints"]]
    return zoo.route(places, lines=case["lines"], radii_nm=radii_nm)


def _assert_arc(arc: Arc, case: dict[str, Any]) -> None:
    for name in ("centre", "start", "end"):
        place = getattr(arc, name)
        assert _apart_m(case[name], place.lat_deg, place.lon_deg) < LENGTH_M, (case["id"], name)
    for name in ("tangent_in_m", "tangent_out_m", "arc_m"):
        assert abs(getattr(arc, name) - case[name]) < LENGTH_M, (case["id"], name)


def test_turns(vectors: zoo.Vectors) -> None:
    cases = vectors("turns")
    assert len(cases) >= 80
    for case in cases:
        (turn,) = lay_track(_zoo_route(case, [case["radius_nm"]]), None).turns
        assert turn.arc is not None, case["id"]
        _assert_arc(turn.arc, case)
        for name in ("course_in_deg", "course_out_deg"):
            assert abs(signed_change_deg(getattr(turn, name), case[name])) < COURSE_DEG, case["id"]
        assert turn.course_change_deg == pytest.approx(case["course_change_deg"], abs=COURSE_DEG)


def test_clearance_of_the_whole_track(vectors: zoo.Vectors) -> None:
    compared = 0
    for case in vectors("clearance"):
        track = lay_track(_zoo_route(case, case["turn_radii_nm"]), None)
        places = [(one["lat_deg"], one["lon_deg"]) for one in case["hazards"]]
        rows = clear(track.pieces, zoo.points(places, limit_m=200_000.0), None).rows
        found = {row.hazard_index: row for row in rows}
        for index, hazard in enumerate(case["hazards"]):
            if hazard["distance_m"] > 200_000.0:
                continue
            row = found[index]
            tolerance_m = LENGTH_M if hazard["distance_m"] < 10 * NM_M else 1e-5
            assert abs(row.distance_m - hazard["distance_m"]) < tolerance_m, (case["id"], index)
            compared += 1
            if hazard["piece"] is not None:
                assert row.piece.kind == hazard["piece"]["kind"], (case["id"], index)
                assert row.piece.index == hazard["piece"]["index"], (case["id"], index)
                assert row.side == hazard["side"], (case["id"], index)
                near = row.nearest
                # The distance is flat about its least: the place is known less well than it.
                assert _apart_m(hazard["nearest"], near.lat_deg, near.lon_deg) < 0.01
    assert compared >= 250


def test_a_check_of_legs_alone_errs_both_ways(vectors: zoo.Vectors) -> None:
    """The arc passes nearer than the legs in some places and farther off in others."""
    nearer = farther = 0
    for case in vectors("clearance"):
        for hazard in case["hazards"]:
            if hazard.get("legs_only_m") is None or (hazard["piece"] or {}).get("kind") != "turn":
                continue
            nearer += hazard["legs_only_m"] > hazard["distance_m"] + 1.0
            farther += hazard["legs_only_m"] < hazard["distance_m"] - 1.0
    assert nearer > 0
    assert farther > 0
