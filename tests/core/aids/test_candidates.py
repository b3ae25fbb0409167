"""Marks out of cells, typed dangers and the user's own: what is one mark, and what is known."""

from dataclasses import replace

import numpy as np
import pytest
from shapely.geometry import LineString, Point

from tests.core.charted.made import SPOT, cell, charted, square
from tests.zoo import NO_CHART, points
from wheelover.core.aids.candidates import (
    mark_set_of,
    marks_along,
    marks_of,
    typed_marks,
)
from wheelover.core.aids.mark_set import MarkSet
from wheelover.core.charted.light_words import character_of
from wheelover.core.geo import geodesic
from wheelover.core.legs import leg_line
from wheelover.core.types.marks import Light, Mark
from wheelover.core.types.route import Position

HEAD = Point(0.4, 50.4)
WHITE = {
    "LITCHR": 2,
    "SIGGRP": "(3)",
    "COLOUR": ("1",),
    "SIGPER": 15.0,
    "VALNMR": 18.0,
    "HEIGHT": 34.0,
}


def own(mark_id: str, lat_deg: float = 50.5, lon_deg: float = 0.5) -> Mark:
    return Mark(
        id=mark_id,
        name=mark_id,
        position=Position(lat_deg=lat_deg, lon_deg=lon_deg),
        kind="landmark",
        source="you",
    )


def test_a_light_and_what_it_stands_on_are_one_mark():
    found = charted(
        cell(
            ("LNDMRK", HEAD, {"CATLMK": ("17",), "OBJNAM": "North Head", "CONVIS": 1}),
            ("LIGHTS", HEAD, {**WHITE, "SECTR1": 180.0, "SECTR2": 270.0}),
            (
                "LIGHTS",
                HEAD,
                {**WHITE, "COLOUR": ("3",), "VALNMR": 12.0, "SECTR1": 270.0, "SECTR2": 300.0},
            ),
            ("RTPBCN", HEAD, {"CATRTB": 2}),
        )
    ).marks
    assert len(found) == 1
    mark = found[0]
    assert (mark.name, mark.kind, mark.what) == ("North Head", "landmark", "tower")
    assert (mark.lit, mark.height_m, mark.nominal_range_nm) == (True, 34.0, 18.0)
    assert mark.light_character == "Fl(3) W 15s"
    assert (mark.radar_conspicuous, mark.racon, mark.visually_conspicuous) == (True, True, True)
    assert [(one.sector_from_deg, one.sector_to_deg) for one in mark.lights] == [
        (180.0, 270.0),
        (270.0, 300.0),
    ]
    assert mark.source == "XX5TEST1"


@pytest.mark.parametrize(
    ("attributes", "left"),
    [
        ({"CATLIT": ("8",)}, 0),  # floodlight
        ({"CATLIT": ("7",)}, 0),  # fog detector
        ({"STATUS": ("11",)}, 0),  # extinguished
        ({"LITVIS": ("7",)}, 0),  # obscured
        ({}, 1),
    ],
)
def test_lights_that_nobody_steers_by_are_no_marks(attributes, left):
    # Codes as in IHO S-57 Appendix A, attributes CATLIT, STATUS and LITVIS (GDAL's table of them).
    assert len(charted(cell(("LIGHTS", HEAD, {**WHITE, **attributes}))).marks) == left


def test_what_is_not_charted_is_not_known():
    mark = charted(cell(("BCNLAT", HEAD, {}))).marks[0]
    assert mark.height_m is None
    assert mark.nominal_range_nm is None
    assert mark.radar_conspicuous is None
    assert mark.visually_conspicuous is None
    assert mark.position_uncertainty_m is None
    assert (mark.lit, mark.floating, mark.lights) == (False, False, ())


@pytest.mark.parametrize(
    ("name", "attributes", "height_m"),
    [
        ("LNDMRK", {"HEIGHT": 60.0, "VERLEN": 20.0}, 60.0),
        ("LNDMRK", {"ELEVAT": 45.0, "VERLEN": 20.0}, 65.0),
        ("LNDMRK", {"VERLEN": 20.0}, None),
        ("BOYLAT", {"VERLEN": 5.0}, 5.0),
        ("BCNLAT", {"VERLEN": 9.0}, None),
    ],
)
def test_heights_count_from_the_water(name, attributes, height_m):
    assert charted(cell((name, HEAD, attributes))).marks[0].height_m == height_m


@pytest.mark.parametrize("name", ["BUISGL", "CRANES", "SILTNK", "PILPNT"])
def test_one_of_many_alike_is_a_mark_only_where_something_tells_it_apart(name):
    assert charted(cell((name, HEAD, {}))).marks == ()
    for said in ({"CONVIS": 1}, {"CONRAD": 1}, {"OBJNAM": "Mill"}):
        assert len(charted(cell((name, HEAD, said))).marks) == 1
    assert charted(cell((name, HEAD, {"CONVIS": 2}))).marks == ()


def test_a_mooring_buoy_floats_and_a_bollard_is_no_mark():
    buoy = charted(cell(("MORFAC", HEAD, {"CATMOR": 7, "OBJNAM": "M1"}))).marks[0]
    assert buoy.floating
    assert charted(cell(("MORFAC", HEAD, {"CATMOR": 3, "OBJNAM": "B1"}))).marks == ()


def test_an_area_is_a_mark_at_its_centre_unsure_by_its_reach():
    mark = charted(cell(("SILTNK", square(0.5, 50.5, 0.001), {"OBJNAM": "Tank"}))).marks[0]
    assert mark.position.lat_deg == pytest.approx(50.5, abs=1e-9)
    corner = geodesic.inverse(50.5, 0.5, 50.501, 0.501)[2][0]
    assert mark.position_uncertainty_m == pytest.approx(float(corner), abs=0.5)
    line = LineString([(0.5, 50.5), (0.6, 50.5)])
    assert charted(cell(("LNDMRK", line, {"OBJNAM": "Wall"}))).marks == ()


def test_leading_lights_keep_the_bearing_that_they_lead_on():
    mark = charted(cell(("LIGHTS", HEAD, {**WHITE, "CATLIT": ("4", "13"), "ORIENT": 237.5})))
    assert mark.marks[0].leading_deg == 237.5


def test_a_larger_scale_says_what_stands_there():
    fine = cell(("LIGHTS", SPOT, {**WHITE, "HEIGHT": 30.0}), name="FINE", scale=10_000)
    coarse = cell(("LIGHTS", SPOT, {**WHITE, "HEIGHT": 33.0}), name="COARSE", scale=90_000)
    assert [(one.source, one.height_m) for one in charted(fine, coarse).marks] == [("FINE", 30.0)]


def test_single_points_of_kinds_that_can_be_seen_are_marks_of_typed_dangers():
    typed = replace(
        points([(50.1, 0.1), (50.2, 0.2), (50.3, 0.3)]),
        ids=("H1", "H2", "H3"),
        names=("No 4", None, None),
        kinds=("Lateral buoy", "wreck", "lighthouse"),
    )
    buoy, light = typed_marks(typed)
    assert (buoy.id, buoy.name, buoy.kind, buoy.floating) == ("H1", "No 4", "buoy", True)
    assert (light.kind, light.lit, light.nominal_range_nm) == ("light", True, None)
    mine = own("H1")
    assert [one.id for one in marks_of(None, typed, [mine])] == ["H1", "H3"]
    assert marks_of(None, typed, [mine])[0] is mine
    assert mark_set_of(None, NO_CHART.hazards, []).marks == ()


def test_marks_along_legs_are_found_on_both_sides_of_180_degrees():
    marks = MarkSet((own("near", 0.05, -179.9), own("far", 1.0, 0.0), own("edge", 0.21, 179.7)))
    leg = leg_line(
        "rhumb", Position(lat_deg=0.0, lon_deg=179.5), Position(lat_deg=0.0, lon_deg=-179.5)
    )
    assert leg is not None
    assert marks_along(marks, [leg], 10.0 * 1852.0).tolist() == [0]
    assert marks_along(marks, [leg], 14.0 * 1852.0).tolist() == [0, 2]
    assert marks_along(MarkSet(()), [leg]).size == 0


def test_near_marks_are_those_of_a_plain_search():
    rng = np.random.default_rng(5)
    lat, lon = rng.uniform(49.0, 51.0, 400), rng.uniform(-1.0, 1.0, 400)
    marks = MarkSet(tuple(own(str(n), lat[n], lon[n]) for n in range(400)))
    found = marks.near(np.array([50.0]), np.array([0.0]), 20_000.0)[0]
    _, _, off_m = geodesic.inverse(50.0, 0.0, lat, lon)
    assert found.tolist() == np.flatnonzero(off_m <= 20_000.0).tolist()


def test_characters_are_written_as_on_charts():
    # INT 1, section P: abbreviations from memory.
    assert character_of({"LITCHR": 8, "SIGGRP": "(2)", "COLOUR": ("1", "3", "4")}) == "Oc(2) WRG"
    assert (
        character_of({"LITCHR": 7, "SIGGRP": "(1)", "COLOUR": ("4",), "SIGPER": 4.0}) == "Iso G 4s"
    )
    assert character_of({"COLOUR": ("1",)}) is None
    assert Light().character is None
