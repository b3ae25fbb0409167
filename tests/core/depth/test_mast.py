"""What lifts the mast, what is passed beneath, and what one level given for a plan speaks for."""

from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from geographiclib.geodesic import Geodesic

from tests import zoo as common
from tests.core.depth import passages as zoo
from tests.core.depth.test_overhead import ACROSS, BRIDGE, crossing, one, under
from wheelover.core.types.chart import Chart, Overhead
from wheelover.core.types.circumstances import Limits
from wheelover.core.types.ship import DraughtChange

PAGE = Path(__file__).parents[3] / "web"


def test_denser_water_lifts_the_mast_of_a_ship_without_tpc_too() -> None:
    """Archimedes: a box of 12.0 m in water of 1000 floats at 12.0 x 1000 / 1025 = 11.707 m in 1025.

    No hull rises more than a box, whose waterplane is as wide as all that lies under it.
    """
    bare = replace(
        zoo.TANKER, displacement_t=None, tpc_t_per_cm=None, draught_density_kg_per_m3=1000.0
    )
    rise = zoo.terms(one(under(crossing(**BRIDGE), ship=bare)))["draught_rise"]
    assert rise.value_m == pytest.approx(-0.30)
    # Under the keel nothing is credited for it.
    keel = zoo.terms(zoo.leg_sum(under(crossing(**BRIDGE), ship=bare)))["density"]
    assert keel.value_m == 0.0


def test_the_most_that_lighter_water_may_sink_her_is_not_credited_to_the_mast() -> None:
    """She comes up 1.8 m at the end that rises most; the sinkage is only known to be at most so."""
    lighter = DraughtChange(
        from_id="W0", reason="cargo", draught_fore_m=10.0, draught_aft_m=10.3,
        draught_density_kg_per_m3=1025.0, water_density_kg_per_m3=1000.0,
    )  # fmt: skip
    bare = replace(zoo.TANKER, displacement_t=None, tpc_t_per_cm=None, draughts=(lighter,))
    rise = zoo.terms(one(under(crossing(**BRIDGE), ship=bare)))["draught_rise"]
    assert rise.value_m == pytest.approx(-1.8)
    # With displacement and TPC it is known: 62 000 / (4 x 55) = 282 mm (load-line rule).
    known = replace(zoo.TANKER, draughts=(lighter,))
    rise = zoo.terms(one(under(crossing(**BRIDGE), ship=known)))["draught_rise"]
    assert rise.value_m == pytest.approx(-1.52)


def test_the_page_asks_for_the_air_draught_that_the_sum_takes_off() -> None:
    """Above the water, as pilots and load lines have the word, not above the keel (from memory)."""
    (line,) = [
        row
        for row in (PAGE / "js" / "fields.js").read_text().splitlines()
        if "air_draught_m" in row
    ]
    assert "water to the top" in line
    assert "keel" not in line


def test_whatever_has_a_clearance_under_it_is_passed_beneath() -> None:
    """8.2 m by hand, as in the sum of a bridge: 40.0 + 4.2 - 2.0 - 34.0."""
    limits = Limits(min_overhead_m=1.0, electrical_distance_m=5.0)
    for kind, clearance_m in (
        ("lift bridge", 8.2), ("pipeline bridge", 8.2), ("overhead pipeline", 8.2),
        ("conveyor", 8.2), ("gantry", 8.2), ("overhead power cable", 3.2), ("power line", 3.2),
        ("Cable span", 3.2), ("cable", 3.2), ("regatta", 3.2), ("overhead_cable", 3.2),
    ):  # fmt: skip
        found = one(under(crossing(kind, **BRIDGE), limits=limits))
        assert found.clearance_m == pytest.approx(clearance_m), kind
    for kind in ("lift bridge", "overhead conveyor"):
        assert one(under(crossing(kind))).met is None


def test_what_stands_in_the_water_is_no_less_a_danger_for_a_clearance_under_it() -> None:
    limits = Limits(min_overhead_m=1.0, min_clearance_m=200.0)
    made = under(crossing("platform", **BRIDGE), limits=limits)
    assert len(made.depths.overheads) == 1
    assert [row.about for row in made.findings if row.code == "clearance_not_met"] == ["h0"]


def test_one_height_given_for_the_plan_is_not_that_of_two_levels() -> None:
    """High water springs and the highest tide differ by decimetres to metres at any port."""
    two = common.dangers([*ACROSS, ("LineString", [[-30.05, 47.12], [-29.95, 47.12]])])
    calm = replace(zoo.CALM, tide_m=2.0, height_datum_m=4.2)

    def clearances(*levels: str | None) -> list[float | None]:
        overheads = tuple(
            Overhead(hazard=number, height_m=40.0, datum=level)
            for number, level in enumerate(levels)
        )
        hazards = replace(two, kinds=("bridge", "bridge"), overheads=overheads)
        made = under(Chart(loaded=True, hazards=hazards), conditions=calm)
        return [row.clearance_m for row in made.depths.overheads]

    assert clearances("mean high water springs", "highest astronomical tide") == [None, None]
    assert clearances("mean high water springs", "MHWS") == pytest.approx([8.2, 8.2])
    assert clearances("mean high water springs", None) == pytest.approx([8.2, 8.2])
    assert clearances("mean high water springs", "LAT") == pytest.approx([8.2, 4.0])


def test_a_hull_across_its_track_passes_beneath_what_its_ends_reach() -> None:
    """B/2 cos c + L/2 sin c: 206 by 32 m at 10 kn across a stream of 2 kn, c = asin(0.2).

    That is 15.7 + 20.6 = 36.3 m (UFC 4-150-06, width of the swept path); without it 16 m.
    """

    def beneath(metres: float, drift_kn: float, **ship: Any) -> int:
        west = -30.0 + metres / (111_320.0 * 0.6807)
        beside = common.dangers([("LineString", [[west, 47.1], [-29.9, 47.1]])])
        hazards = replace(beside, kinds=("bridge",), overheads=(Overhead(hazard=0, **BRIDGE),))
        stream = replace(zoo.CALM, tide_m=2.0, set_deg=90.0, drift_kn=drift_kn)
        chart = Chart(loaded=True, hazards=hazards)
        made = under(chart, conditions=stream, ship=replace(zoo.TANKER, **ship))
        return len(made.depths.overheads)

    assert (beneath(34.0, 2.0), beneath(39.0, 2.0)) == (1, 0)
    assert (beneath(14.0, 0.0), beneath(19.0, 0.0)) == (1, 0)
    # Without a speed it is not known how far she crabs: she may lie across her track.
    assert (beneath(90.0, 2.0, speed_kn=None), beneath(110.0, 2.0, speed_kn=None)) == (1, 0)


def test_in_a_turn_bow_and_stern_reach_to_half_her_length() -> None:
    """A gantry 60 m inside the arc, whose middle is at 0.5 NM from its centre; she is 206 m."""
    plain = zoo.plan(zoo.depth(30.0))
    arc = plain.turns[0].arc
    assert arc is not None
    line = Geodesic.WGS84.Inverse(
        arc.centre.lat_deg, arc.centre.lon_deg,
        plain.route.waypoints[1].lat_deg, plain.route.waypoints[1].lon_deg,
    )  # fmt: skip

    def beneath(inside_m: float) -> list[str]:
        at = Geodesic.WGS84.Direct(
            arc.centre.lat_deg, arc.centre.lon_deg, line["azi1"], arc.radius_m - inside_m
        )
        point = common.dangers([("Point", [at["lon2"], at["lat2"]])])
        known = (Overhead(hazard=0, **BRIDGE),)
        hazards = replace(point, kinds=("gantry",), overheads=known)
        made = under(Chart(loaded=True, hazards=hazards))
        return [row.piece.kind for row in made.depths.overheads]

    assert beneath(60.0) == ["turn"]
    assert beneath(120.0) == []


def test_hull_and_corridor_need_not_keep_beside_what_is_passed_beneath() -> None:
    """Charted bridges are no dangers to the hull (S-57: a clearance, not an obstruction)."""
    asked = Limits(min_overhead_m=1.0, min_clearance_m=100.0, helm_late_s=60.0)
    codes = {"cross_track_wider_port", "cross_track_wider_starboard", "hull_touches_danger"}
    arc = common.dangers(
        [
            ("LineString", [[-30.03, 47.215], [-29.97, 47.185]]),
            ("Point", [-29.9975, 47.1975]),
        ]
    )

    def found(**known: Any) -> set[str]:
        overheads = (Overhead(hazard=0, **known),) if known else ()
        hazards = replace(arc, kinds=("bridge", "rock"), overheads=overheads)
        ship = replace(zoo.TANKER, response=common.QUICK_RESPONSE)
        made = zoo.plan(
            zoo.depth(30.0, xtd_port_nm=0.1, xtd_starboard_nm=0.1),
            ship=ship,
            a_chart=Chart(loaded=True, hazards=hazards),
            conditions=replace(zoo.CALM, tide_m=2.0),
            limits=asked,
        )
        about = {row.about for row in made.findings if row.code in {*codes, "late_helm_danger"}}
        return {one for one in about if one is not None}

    assert "h0" in found()
    # The rock beside it stays a danger, with its own number.
    assert found(**BRIDGE) == found() - {"h0"} | {"h1"}
