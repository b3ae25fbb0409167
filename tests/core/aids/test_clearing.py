"""Clearing bearings and ranges: against published offsets, another library, and plane sums."""

import math
from dataclasses import replace

import numpy as np
import pytest
from geographiclib.geodesic import Geodesic

from tests import zoo
from tests.core.aids.waters import NORTH, NOT_TIMED, beside, ceiled, floored, mark, off, seen, track
from wheelover.core.aids.clearing import clearing_lines
from wheelover.core.aids.clearing_lines import MOST_RANGE_M
from wheelover.core.aids.leg_light import When
from wheelover.core.aids.mark_set import MarkSet
from wheelover.core.aids.near_marks import near_marks
from wheelover.core.aids.tangents import least_and_most_m, tangents
from wheelover.core.clearance.whole import clear
from wheelover.core.types.aid_lines import ClearingBearing, LegClearing
from wheelover.core.types.chart import Hazards
from wheelover.core.types.circumstances import Limits
from wheelover.core.types.marks import Mark

MILE_M = 1852.0


def cleared(
    hazards: Hazards,
    *marks: Mark,
    limit_m: float | None = 300.0,
    chosen: tuple[str, ...] = (),
    places: list[tuple[float, float]] = NORTH,
    eye_m: float | None = None,
    antenna_m: float | None = None,
    scale_nm: float = 12.0,
    when: When = NOT_TIMED,
    leg_index: int = 0,
) -> LegClearing:
    laid = track(places)
    limits = Limits(min_clearance_m=limit_m)
    of = seen(*marks, scale_nm=scale_nm, when=when, eye_height_m=eye_m, radar_height_m=antenna_m)
    found = clearing_lines(
        (laid.legs, laid.turns),
        of,
        near_marks(laid.legs, MarkSet(marks), MOST_RANGE_M),
        {0: chosen} if chosen else {},
        (hazards, clear(laid.pieces, hazards, limits), limits),
    )
    return next(
        (one for one in found if one.leg_index == leg_index), LegClearing(leg_index=leg_index)
    )


def rock(along_m: float, across_m: float, **more: float) -> Hazards:
    return zoo.points([beside(along_m, across_m)], **more)


@pytest.mark.parametrize(
    ("radius", "distance", "wanted_deg"),
    [(0.5, 4.0, 7.181), (0.8, 5.0, 9.207), (1.0, 6.0, 9.594)],
)
def test_published_offsets_of_clearing_bearings(
    radius: float, distance: float, wanted_deg: float
) -> None:
    """H9: offset from the line mark to danger, computed by plane trigonometry."""
    low, high = tangents(np.zeros((1, 2)), np.array([[distance, 0.0]]), radius)
    assert math.degrees(high[0]) == pytest.approx(wanted_deg, abs=1e-3)
    assert math.degrees(low[0]) == pytest.approx(-wanted_deg, abs=1e-3)


@pytest.mark.parametrize(
    ("danger_m", "ahead", "word"),
    [
        (900.0, True, "NLT"),
        (-900.0, True, "NMT"),
        (900.0, False, "NMT"),
        (-900.0, False, "NLT"),
    ],
)
def test_the_word_by_side_of_the_danger(danger_m: float, ahead: bool, word: str) -> None:
    """A mark ahead: NLT with the danger to starboard, NMT with it to port, as published for danger
    bearings (Navy QM manual 14220; Bowditch, Piloting). Astern it is the other way about.
    """
    at = mark("M", beside(12_000.0 if ahead else -3000.0, danger_m / 3.0))
    (line,) = cleared(rock(5000.0, danger_m), at).bearings
    assert (line.word, line.mark_ahead) == (word, ahead)
    assert line.danger_side == ("starboard" if danger_m > 0.0 else "port")


@pytest.mark.parametrize("danger_m", [900.0, -900.0])
@pytest.mark.parametrize("lat", [0.5, 47.0, -62.0])
def test_the_tangent_passes_the_danger_at_its_margin(danger_m: float, lat: float) -> None:
    """By geographiclib: the geodesic from the mark passes the rock at margin and uncertainty, and
    the rounded bearing, on her side of that, keeps the room that is said.
    """
    start = (lat, -30.0)
    places = [start, off(start, 0.0, 6.0 * MILE_M)]
    at = mark("M", beside(12_000.0, 0.2 * danger_m, start))
    place = beside(5000.0, danger_m, start)
    hazards = zoo.points([place], uncertainty_m=50.0)
    (line,) = cleared(hazards, at, places=places).bearings
    there = at.position.lat_deg, at.position.lon_deg
    from_mark = Geodesic.WGS84.Inverse(*there, *place)
    offset = math.degrees(math.asin(350.0 / from_mark["s12"]))
    outward = (from_mark["azi1"] + (offset if line.word == "NLT" else -offset)) % 360.0
    # As seen from the line beside the rock, where it is the strictest along the stretch.
    spots = [Geodesic.WGS84.Direct(*there, outward, x) for x in np.linspace(5500.0, 8500.0, 31)]
    seen_deg = [(spot["azi2"] + 180.0) % 360.0 for spot in spots]
    middle = seen_deg[15]
    assert line.bearing_deg == pytest.approx(middle, abs=0.02)
    step = line.set_deg - line.bearing_deg
    assert 0.0 <= (step if line.word == "NLT" else -step) <= 0.5
    assert line.set_deg * 2.0 == round(line.set_deg * 2.0)
    # What room the track has to the line as set: across it at the place nearest to it.
    at_set = math.radians(line.set_deg + 180.0)
    rooms = []
    for along in np.linspace(line.from_m, line.to_m, 20):
        spot = off(start, 0.0, float(along))
        sight = Geodesic.WGS84.Inverse(*spot, *there)
        bearing = math.radians(sight["azi1"] + 180.0)
        rooms.append(abs(sight["s12"] * math.sin(bearing - at_set)))
    assert line.room_m == pytest.approx(min(rooms), abs=12.0)


def test_on_the_track_the_bearing_keeps_its_word() -> None:
    at = mark("M", beside(12_000.0, 100.0))
    (line,) = cleared(rock(5000.0, 800.0), at).bearings
    for along in np.linspace(line.from_m, line.to_m, 9):
        spot = off(NORTH[0], 0.0, float(along))
        seen_deg = Geodesic.WGS84.Inverse(*spot, at.position.lat_deg, at.position.lon_deg)["azi1"]
        assert seen_deg % 360.0 - 360.0 * (seen_deg % 360.0 > 180.0) > _signed(line.set_deg)


def _signed(bearing_deg: float) -> float:
    return bearing_deg - 360.0 if bearing_deg > 180.0 else bearing_deg


def test_a_line_on_whose_wrong_side_the_track_lies_is_not_given() -> None:
    """The tangent from this mark would lead across the track before the rock."""
    at = mark("M", beside(9000.0, -2500.0))
    found = cleared(rock(5000.0, 320.0), at)
    assert found.bearings == ()
    assert found.none_for == (0,)


def test_an_extended_danger_is_cleared_over_all_its_vertices() -> None:
    """A reef of four corners: each lies at the margin from the line or farther."""
    corners = [beside(x, y) for x, y in ((4000, 900), (4600, 700), (5200, 1000), (4600, 1400))]
    ring = [[lon, lat] for lat, lon in [*corners, corners[0]]]
    hazards = zoo.dangers([("Polygon", [ring])])
    at = mark("M", beside(12_000.0, 300.0))
    (line,) = cleared(hazards, at).bearings
    passed = []
    for corner in corners:
        sight = Geodesic.WGS84.Inverse(at.position.lat_deg, at.position.lon_deg, *corner)
        away = math.radians(sight["azi1"] - (line.bearing_deg + 180.0))
        passed.append(sight["s12"] * math.sin(-away))
    assert min(passed) == pytest.approx(300.0, abs=2.0)


def test_another_danger_on_that_side_is_said_not_to_be_cleared() -> None:
    both = zoo.points([beside(5000.0, 1200.0), beside(5600.0, 700.0)])
    at = mark("M", beside(12_000.0, 300.0))
    found = cleared(both, at)
    by_danger = {one.hazard_index: one for one in found.bearings}
    assert by_danger[0].not_cleared == (1,)
    assert by_danger[1].not_cleared == ()


def test_ranges_round_the_danger_and_before_it() -> None:
    """Plane sums: a beacon 200 m beyond the rock; an islet 1500 m across the track."""
    hazards = rock(5000.0, 900.0)
    (near,) = cleared(hazards, mark("beacon", beside(5000.0, 1100.0))).ranges
    assert (near.word, near.set_nm) == ("NLT", ceiled(500.0 / MILE_M))
    assert near.room_m == pytest.approx(1100.0 - near.set_nm * MILE_M, abs=0.5)
    (far,) = cleared(hazards, mark("islet", beside(5000.0, -1500.0))).ranges
    assert (far.word, far.set_nm) == ("NMT", floored(2100.0 / MILE_M))
    assert far.room_m < 600.0


def test_a_mark_on_the_danger_gives_a_range_and_no_bearing() -> None:
    found = cleared(rock(5000.0, 900.0), mark("on it", beside(5000.0, 900.0)))
    assert found.bearings == ()
    (line,) = found.ranges
    assert line.set_nm == ceiled(300.0 / MILE_M)


def test_what_is_not_seen_gives_no_bearing_and_what_may_not_be_says_so() -> None:
    """By day from 4 m: a mark of 25 m shows to 2.08 (2 + 5) = 14.6 NM, one of 0.1 m to 2.1 NM."""
    at = mark("M", beside(12_000.0, 300.0), lit=True, nominal_range_nm=18.0)
    (line,) = cleared(rock(5000.0, 900.0), at).bearings
    assert line.sight == "not_known"
    high = replace(at, height_m=25.0)
    (line,) = cleared(rock(5000.0, 900.0), high, eye_m=4.0).bearings
    assert line.sight == "in_sight"
    low = replace(at, height_m=0.1)
    assert cleared(rock(5000.0, 900.0), low, eye_m=0.5).bearings == ()


def test_floating_marks_clear_only_by_choice_and_a_bad_choice_says_why() -> None:
    buoy = mark("buoy", beside(12_000.0, 300.0), floating=True)
    assert cleared(rock(5000.0, 900.0), buoy).bearings == ()
    found = cleared(rock(5000.0, 900.0), buoy, chosen=("buoy", "gone"))
    assert [(one.mark_id, one.chosen) for one in found.bearings] == [("buoy", True)]
    assert [one.mark_id for one in found.not_usable] == ["gone"]


def test_without_a_margin_nothing_is_cleared() -> None:
    found = cleared(rock(5000.0, 900.0), mark("M", beside(12_000.0, 300.0)), limit_m=None)
    assert (found.bearings, found.none_for) == ((), (0,))
    assert found.reason == "no margin is asked of the dangers near the leg"


def test_a_danger_on_the_track_is_not_cleared() -> None:
    found = cleared(rock(5000.0, 0.0), mark("M", beside(12_000.0, 300.0)))
    assert (found.bearings, found.none_for) == ((), (0,))


def test_near_and_far_of_an_edge_by_plane_geometry() -> None:
    square = np.array([[3.0, -1.0], [3.0, 1.0], [5.0, 1.0], [5.0, -1.0]])
    edges = np.stack([square, np.roll(square, -1, axis=0)], axis=1)
    near, far = least_and_most_m(np.zeros((1, 2)), square, edges)
    assert (near[0], far[0]) == (pytest.approx(3.0), pytest.approx(math.sqrt(26.0)))


def test_the_whole_line_ends_at_the_mark_and_past_the_track() -> None:
    at = mark("M", beside(12_000.0, 300.0))
    line: ClearingBearing = cleared(rock(5000.0, 900.0), at).bearings[0]
    assert line.line_from.lat_deg == pytest.approx(at.position.lat_deg, abs=1e-7)
    assert line.line_to.lat_deg < beside(line.from_m + 400.0, 0.0)[0]
