"""The track beside a small coast: what is land, and who answers for it."""

from dataclasses import replace

import numpy as np
import pytest
import shapely

from tests import zoo
from tests.core.coasts import box, coast_with
from wheelover.api.schemas.hazards import chart_of
from wheelover.core.checks.land import OPEN_ONLY
from wheelover.core.clearance.corridors import inside_corridors
from wheelover.core.clearance.whole import clear
from wheelover.core.coast.chunks import ends_of, is_seam
from wheelover.core.coast.inside import on_land
from wheelover.core.coast.measured import coast_hazards
from wheelover.core.coast.of_track import land_of
from wheelover.core.geo import geodesic
from wheelover.core.planning import make_plan
from wheelover.core.track import Track, lay_track
from wheelover.core.types.cells import Cell, CellAbout
from wheelover.core.types.chart import Chart
from wheelover.core.types.circumstances import Conditions, Limits
from wheelover.core.types.coast import Coast
from wheelover.core.types.plan import Plan
from wheelover.core.types.route import CanalWaiver, LegWishes, Route, Waypoint
from wheelover.core.types.ship import ShipProfile

# An island with a lake in which an island lies.
ISLAND = (box(9.0, 53.9, 10.0, 54.5), box(9.2, 54.0, 9.8, 54.4), box(9.4, 54.1, 9.6, 54.3))
WAIVER = CanalWaiver(reason="Transit with a pilot.", by_name="A. Berg", by_rank="master")


def route(*places: tuple[float, float], wishes: LegWishes | None = None) -> Route:
    """Return a route over latitudes and longitudes, with the same wishes for each leg."""
    return Route(
        name="test",
        waypoints=tuple(
            Waypoint(
                id=f"W{number}",
                lat_deg=lat,
                lon_deg=lon,
                turn_radius_nm=0.2,
                leg=None if number == 0 else wishes,
            )
            for number, (lat, lon) in enumerate(places)
        ),
    )


def plan(coast: Coast | None, of: Route, *, cells: tuple[Cell, ...] = (), **more: object) -> Plan:
    """Return the plan of a route beside a coast."""
    hazards = chart_of([]).hazards
    chart = Chart(loaded=False, hazards=hazards, coast=coast, cells=cells, **more)  # type: ignore[arg-type]
    return make_plan(of, None, chart, Conditions(), Limits())


def results(of: Plan, check: str = "leg_land") -> list[tuple[str, str | None]]:
    """Return result and reason left out of every row of a check."""
    return [(one.result, one.not_checked) for one in of.checks if one.check == check]


def codes(of: Plan) -> dict[str, str]:
    """Return the grade of each finding that says something of land, by its id."""
    told = ("land", "hull_on", "corridor_on", "canal")
    return {
        one.id: one.grade
        for one in of.findings
        if one.code.startswith(told) and one.grade != "not_checked"
    }


@pytest.mark.parametrize(
    ("lat_deg", "lon_deg", "dry"),
    [(53.95, 9.1, True), (54.05, 9.3, False), (54.2, 9.5, True), (54.2, 8.9, False),
     (53.8, 9.5, False), (54.6, 9.5, False), (-90.0, 0.0, False), (54.2, -170.5, False)],
)  # fmt: skip
def test_a_lake_is_water_and_an_island_in_it_land(
    lat_deg: float, lon_deg: float, dry: bool
) -> None:
    assert on_land(coast_with(*ISLAND), lat_deg, lon_deg).tolist() == [dry]


def test_places_are_told_one_by_one_or_none_at_all() -> None:
    coast = coast_with(*ISLAND)
    assert on_land(coast, [], []).size == 0
    lat, lon = np.meshgrid(np.linspace(53.8, 54.6, 41), np.linspace(8.8, 10.2, 41))
    together = on_land(coast, lat.ravel(), lon.ravel())
    alone = [bool(on_land(coast, a, b)[0]) for a, b in zip(lat.ravel(), lon.ravel(), strict=True)]
    assert together.tolist() == alone


def test_rings_on_both_sides_of_the_date_line_are_one_land() -> None:
    coast = coast_with(box(179.0, -17.0, 180.0, -16.0), box(-180.0, -17.0, -179.5, -16.0))
    assert on_land(coast, [-16.5] * 5, [179.5, 180.0, -180.0, -179.9, -179.4]).tolist() == [
        True, True, True, True, False,
    ]  # fmt: skip
    one, other = ends_of(coast, np.arange(9))
    assert int(np.sum(is_seam(one, other))) == 2
    track = lay_track(route((-16.5, 178.5), (-16.5, -179.0)), None)
    (row,) = land_of(track.pieces, track.legs, coast).rows
    (fall,) = row.on_land
    assert fall.start.lon_deg == pytest.approx(179.0)
    assert fall.end.lon_deg == pytest.approx(-179.5)


def test_land_on_a_leg_counts_from_shore_to_shore() -> None:
    """The leg crosses the land, the lake, its island and out again: three stretches of land."""
    track = lay_track(route((54.2, 8.5), (54.2, 10.5)), None)
    (row,) = land_of(track.pieces, track.legs, coast_with(*ISLAND)).rows
    ends = [round(end.lon_deg, 9) for one in row.on_land for end in (one.start, one.end)]
    # Vertices are kept in single precision.
    assert ends == pytest.approx([9.0, 9.2, 9.4, 9.6, 9.8, 10.0], abs=1e-6)
    assert row.nearest is not None
    assert row.nearest.distance_m == 0.0


def test_a_track_wholly_on_land_is_seen_without_a_shore_near() -> None:
    wide = coast_with(box(0.0, 40.0, 20.0, 60.0))
    found = plan(wide, route((50.0, 9.0), (50.1, 9.5), (50.0, 10.0)))
    assert set(codes(found)) == {
        "land_crossed/leg/W1",
        "land_crossed/leg/W2",
        "land_crossed/turn/W1",
    }
    assert found.land is not None
    assert all(row.nearest is None and row.on_land for row in found.land.rows)


def _brute(
    track: Track, coast: Coast
) -> tuple[dict[tuple[str, int], float], dict[tuple[int, str], float]]:
    """Return the nearest of each piece and of each side of each leg, of every edge there is."""
    hazards = coast_hazards(
        coast, np.setdiff1d(np.arange(len(coast.points_deg) - 1), _jumps(coast))
    )
    near = clear(track.pieces, hazards, Limits())
    nearest = {(one.piece.kind, one.piece.index): one.distance_m for one in near.least}
    sides = {
        (one.leg_index, one.side): one.clearance_m
        for one in inside_corridors(track.legs, hazards, Limits()).intrusions
    }
    return nearest, sides


def _jumps(coast: Coast) -> np.ndarray[tuple[int], np.dtype[np.int64]]:
    """Return the last vertex of each ring, from which no edge leads on."""
    last = coast.first + coast.edge_count
    return np.setdiff1d(last, coast.first)


@pytest.mark.parametrize("seed", range(6))
def test_nothing_nearer_is_left_out(seed: int) -> None:
    """Beside every edge measured: random shores and tracks, limits of other widths on each side."""
    rng = np.random.default_rng(seed)
    lat_deg, lon_deg = float(rng.uniform(-75, 75)), float(rng.uniform(-180, 180))
    scale = np.cos(np.radians(lat_deg))
    rings = []
    for _ in range(25):
        middle = rng.uniform(-0.25, 0.25, 2)
        turn = np.sort(rng.uniform(0.0, 2.0 * np.pi, int(rng.integers(4, 120))))
        off = rng.uniform(0.002, 0.05, turn.size)
        ring = np.column_stack([
            lon_deg + (middle[0] + off * np.cos(turn)) / scale,
            lat_deg + middle[1] + off * np.sin(turn),
        ])  # fmt: skip
        if np.all(np.abs(ring[:, 0]) < 180.0):
            rings.append([tuple(one) for one in np.vstack([ring, ring[:1]]).tolist()])
    coast = coast_with(*rings)
    places = np.column_stack([
        lat_deg + rng.uniform(-0.3, 0.3, 8), lon_deg + rng.uniform(-0.3, 0.3, 8) / scale
    ])  # fmt: skip
    places[:, 1] = (places[:, 1] + 180.0) % 360.0 - 180.0
    wishes = LegWishes(
        xtd_port_nm=0.8, xtd_starboard_nm=0.3, line="geodesic" if seed % 2 else "rhumb"
    )
    track = lay_track(route(*map(tuple, places.tolist()), wishes=wishes), None)
    nearest, sides = _brute(track, coast)
    land = land_of(track.pieces, track.legs, coast)
    ours = {
        (one.piece.kind, one.piece.index): one.nearest.distance_m
        for one in land.rows
        if one.nearest is not None
    }
    assert ours == pytest.approx(nearest, abs=1e-6)
    beside = {
        (one.piece.index, side.side): side.distance_m for one in land.rows for side in one.corridor
    }
    assert beside == pytest.approx(sides, abs=1e-6)
    assert nearest
    assert sides


def test_land_must_be_resolved_and_open_data_are_never_simply_met() -> None:
    found = plan(coast_with(*ISLAND), route((53.6, 8.5), (53.6, 9.5), (54.2, 9.5)))
    assert results(found) == [("not_checked", OPEN_ONLY), ("must_resolve", OPEN_ONLY)]
    assert codes(found) == {"land_crossed/leg/W2": "must_resolve"}
    (told,) = (one for one in found.findings if one.code == "land_crossed")
    assert "not official" in told.message
    assert "Kiel Canal" in told.message
    assert "canal waiver" in told.message
    assert told.measured == pytest.approx(found.land.rows[-1].on_land[0].length_m * 2, rel=0.5)  # type: ignore[union-attr]


def test_without_a_land_check_every_leg_says_why() -> None:
    found = plan(None, route((53.6, 8.5), (53.6, 9.5), (54.2, 9.5)), no_coast="because")
    assert results(found) == [("not_checked", "because")] * 2
    assert results(found, "turn_land") == [("not_checked", "because")]
    assert found.land is None


def test_a_waiver_makes_land_something_to_explain_and_never_silent() -> None:
    of = route((53.8, 9.1), (54.6, 9.1), wishes=LegWishes(canal=WAIVER, xtd_port_nm=0.1))
    found = plan(coast_with(*ISLAND), of)
    assert codes(found) == {
        "land_waived/leg/W1": "must_explain", "corridor_on_canal_port/leg/W1": "must_explain",
    }  # fmt: skip
    for one in found.findings:
        if one.grade == "must_explain":
            assert "A. Berg, master: Transit with a pilot." in one.message


NECKS = coast_with(box(8.5, 53.9, 8.7, 53.93), box(8.5, 54.2, 8.7, 54.21))
"""Two necks of land across a leg along 8.6 E, the southern the longer way; no canal known there."""

SOUTHERN_NM = (6.0, 7.8)


@pytest.mark.parametrize(
    ("bounds", "answered_nm"),
    [((), SOUTHERN_NM), ((5.0, 9.0), SOUTHERN_NM), ((23.0, 25.0), (24.0, 24.6))],
)
def test_a_canal_waiver_answers_for_one_stretch_and_no_other_land(
    bounds: tuple[float, ...], answered_nm: tuple[float, float]
) -> None:
    waiver = replace(WAIVER, **dict(zip(("from_nm", "to_nm"), bounds, strict=False)))
    wishes = LegWishes(canal=waiver, xtd_port_nm=0.1)
    found = plan(NECKS, route((53.8, 8.6), (54.6, 8.6), wishes=wishes))
    assert codes(found) == {
        "land_waived/leg/W1": "must_explain", "land_crossed/leg/W1": "must_resolve",
        "corridor_on_canal_port/leg/W1": "must_explain",
        "corridor_on_land_port/leg/W1": "must_resolve",
    }  # fmt: skip
    waived = next(one for one in found.findings if one.code == "land_waived")
    low_nm, high_nm = answered_nm
    assert waived.measured == pytest.approx((high_nm - low_nm) * 1852.0, rel=0.01)
    assert "NM along the leg, no other" in waived.message


def test_bounds_beside_all_land_waive_nothing() -> None:
    waiver = replace(WAIVER, from_nm=10.0, to_nm=20.0)
    found = plan(NECKS, route((53.8, 8.6), (54.6, 8.6), wishes=LegWishes(canal=waiver)))
    assert codes(found) == {
        "land_crossed/leg/W1": "must_resolve", "canal_not_needed/leg/W1": "note",
    }  # fmt: skip


@pytest.mark.parametrize(("to_nm", "grade"), [(11.5, "must_resolve"), (12.0, "must_explain")])
def test_a_turn_on_land_is_waived_where_the_canal_reaches_it(to_nm: float, grade: str) -> None:
    """The neck holds the corner: a waiver that ends short of it answers for the leg alone."""
    neck = coast_with(box(9.0, 53.9, 9.3, 54.1))
    waiver = replace(WAIVER, from_nm=5.0, to_nm=to_nm)
    of = route((53.8, 9.1), (54.0, 9.1), (54.0, 9.6), wishes=LegWishes(canal=waiver))
    found = plan(neck, of)
    in_turn = [one for one in found.findings if one.subject.kind == "turn"]
    assert [one.grade for one in in_turn if one.code.startswith("land")] == [grade]


def test_a_waiver_that_waives_nothing_is_noted() -> None:
    found = plan(
        coast_with(*ISLAND), route((53.0, 9.1), (53.2, 9.1), wishes=LegWishes(canal=WAIVER))
    )
    assert codes(found) == {"canal_not_needed/leg/W1": "note"}


def test_the_hull_and_the_corridor_reach_where_the_line_does_not() -> None:
    """The leg runs 100 m off the shore: a hull of 240 m beam and a limit of 0.1 NM reach it."""
    lat_deg = 53.9 - 100.0 / 1852.0 / 60.0
    of = route(
        (lat_deg, 9.2), (lat_deg, 9.8), wishes=LegWishes(xtd_port_nm=0.1, xtd_starboard_nm=1.0)
    )
    ship = ShipProfile(
        name="wide", loa_m=300.0, beam_m=240.0, draught_fore_m=8.0, draught_aft_m=8.0
    )
    chart = Chart(loaded=False, hazards=chart_of([]).hazards, coast=coast_with(*ISLAND))
    found = make_plan(of, ship, chart, Conditions(), Limits())
    assert codes(found) == {
        "corridor_on_land_port/leg/W1": "must_resolve", "hull_on_land/leg/W1": "must_resolve",
    }  # fmt: skip
    assert found.land is not None
    assert found.land.rows[0].hull_m == pytest.approx(-20.0, abs=0.5)


def test_the_hull_of_a_simulated_turn_comes_onto_a_spit_that_the_arc_clears() -> None:
    """A spit ends 20 m outside the arc; a hull of 200 m by 32 m that turns there sweeps over it."""
    ship = replace(zoo.SHIP, response=zoo.QUICK_RESPONSE)
    of = zoo.route([(54.0, 8.0), (54.1, 8.0), (54.1, 8.2)], radii_nm=[0.5])
    chart = Chart(loaded=False, hazards=chart_of([]).hazards)
    arc = make_plan(of, ship, chart, Conditions(), Limits()).turns[0].arc
    assert arc is not None
    lat, lon, _ = geodesic.direct(
        arc.centre.lat_deg, arc.centre.lon_deg, [315.0, 315.0], [arc.radius_m + 20.0, 9000.0]
    )
    spit = [(lon[0], lat[0]), (lon[1], lat[1]), (lon[1] - 0.05, lat[1]), (lon[0], lat[0])]
    with_spit = replace(chart, coast=coast_with([(float(a), float(b)) for a, b in spit]))
    found = make_plan(of, ship, with_spit, Conditions(), Limits())
    assert found.land is not None
    (row,) = (one for one in found.land.rows if one.piece.kind == "turn")
    assert row.on_land == ()
    assert row.nearest is not None
    assert row.nearest.distance_m == pytest.approx(20.0, abs=1.0)
    assert row.hull_m == 0.0
    assert codes(found)["hull_on_land/turn/W1"] == "must_resolve"
    shore = [(lon[1], lat[1]), (lon[1] - 0.05, lat[1]), (lon[1], lat[1] + 0.05), (lon[1], lat[1])]
    far = replace(chart, coast=coast_with([(float(a), float(b)) for a, b in shore]))
    cleared = make_plan(of, ship, far, Conditions(), Limits())
    assert codes(cleared) == {}


def _cell(west: float, south: float, east: float, north: float, category: object = "1") -> Cell:
    """Return a cell that covers a box."""
    about = CellAbout(
        id="cell", name="cell", edition=1, update=0, issued=None, scale=50_000, band=4,
        depth_datum=None, height_datum=None,
    )  # fmt: skip
    return Cell(
        about=about,
        classes=("M_COVR", "DEPARE"),
        ids=("1", "2"),
        attributes=({"CATCOV": category}, {"DRVAL1": 50.0, "DRVAL2": 60.0}),  # type: ignore[dict-item]
        geometries=np.array([shapely.box(west, south, east, north)] * 2, dtype=object),
    )


@pytest.mark.parametrize("category", ["1", 1, 1.0])
def test_inside_official_coverage_the_coastline_does_not_count(category: object) -> None:
    cells = (_cell(8.0, 53.0, 11.0, 55.0, category),)
    found = plan(coast_with(*ISLAND), route((54.2, 8.5), (54.2, 10.5)), cells=cells)
    assert results(found) == [("met", None)]
    assert codes(found) == {}
    assert found.land is not None
    assert found.land.rows[0].source == "cells"


def test_a_cell_that_charts_nothing_where_it_says_it_has_data_covers_nothing() -> None:
    """Only its coverage is there: the coastline counts, and land is found."""
    full = _cell(8.0, 53.0, 11.0, 55.0)
    bare = replace(
        full,
        classes=full.classes[:1],
        ids=full.ids[:1],
        attributes=full.attributes[:1],
        geometries=full.geometries[:1],
    )
    found = plan(coast_with(*ISLAND), route((54.2, 8.5), (54.2, 10.5)), cells=(bare,))
    assert codes(found) == {"land_crossed/leg/W1": "must_resolve"}


def test_a_cell_that_says_it_has_no_data_covers_nothing() -> None:
    cells = (_cell(8.0, 53.0, 11.0, 55.0, "2"),)
    found = plan(coast_with(*ISLAND), route((54.2, 8.5), (54.2, 10.5)), cells=cells)
    assert codes(found) == {"land_crossed/leg/W1": "must_resolve"}


def test_where_the_coverage_ends_the_coastline_counts_again() -> None:
    """The cell covers the western half: of three stretches of land one and a half are left."""
    found = plan(
        coast_with(*ISLAND), route((54.2, 8.5), (54.2, 10.5)), cells=(_cell(8.0, 53.0, 9.5, 55.0),)
    )
    assert found.land is not None
    (row,) = found.land.rows
    assert row.source == "both"
    assert [one.source for one in row.used] == ["cells", "coastline"]
    assert row.used[0].to_m == row.used[1].from_m == pytest.approx(row.used[1].to_m / 2, rel=1e-4)
    ends = [end.lon_deg for one in row.on_land for end in (one.start, one.end)]
    assert ends == pytest.approx([9.5, 9.6, 9.8, 10.0], abs=1e-4)


def test_coverage_across_the_date_line_is_found_from_both_sides() -> None:
    coast = coast_with(box(179.0, -17.0, 180.0, -16.0), box(-180.0, -17.0, -179.5, -16.0))
    cells = (_cell(179.5, -18.0, 180.0, -15.0), _cell(-180.0, -18.0, -179.0, -15.0))
    found = plan(coast, route((-16.5, 178.5), (-16.5, -178.5)), cells=cells)
    assert found.land is not None
    (row,) = found.land.rows
    assert [one.source for one in row.used] == ["coastline", "cells", "coastline"]
    (fall,) = row.on_land
    assert (fall.start.lon_deg, fall.end.lon_deg) == pytest.approx((179.0, 179.5), abs=1e-4)
