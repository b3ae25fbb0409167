"""Cues: their numbers by finite differences along the track, their order, and who is chosen."""

import math
from dataclasses import replace

import numpy as np
import pytest

from tests import zoo
from tests.core.aids.made import RIGHT, SLIGHT, WATCHING, helm_of, mark_at, plan_of, scattered
from wheelover.core.aids.cues import cue_of, ranked_cues, split_id
from wheelover.core.aids.helms import Helm
from wheelover.core.aids.likely import KINDS
from wheelover.core.aids.mark_set import MarkSet
from wheelover.core.aids.ranking import rank_of
from wheelover.core.aids.sight import Lookout
from wheelover.core.geo import geodesic
from wheelover.core.legs import points_along
from wheelover.core.types.circumstances import Conditions
from wheelover.core.types.cues import Cue
from wheelover.core.types.marks import Mark
from wheelover.core.types.route import Position

LOOKOUT = Lookout(eye_height_m=25.0, radar_height_m=36.0)


def cue(mark: Mark, kind: str, helm: Helm, **more: object) -> Cue:
    place = mark.position
    bearing, _, range_m = geodesic.inverse(
        helm.at.lat_deg, helm.at.lon_deg, place.lat_deg, place.lon_deg
    )
    lookout = replace(LOOKOUT, **more)  # type: ignore[arg-type]
    found = cue_of(mark, kind, helm, (float(bearing[0]), float(range_m[0])), False, lookout)  # type: ignore[arg-type]
    assert found is not None
    return found


def seen_after(
    helm: Helm, mark: Mark, later_m: float, beside_m: float = 0.0
) -> tuple[float, float]:
    """Bearing and range of a mark from a place of the inbound leg, on the ellipsoid."""
    assert helm.leg.path is not None
    lat, lon, course = points_along(helm.leg.path, helm.along_m + later_m)
    if beside_m:
        lat, lon, _ = geodesic.direct(lat, lon, course + 90.0, beside_m)
    bearing, _, range_m = geodesic.inverse(lat, lon, mark.position.lat_deg, mark.position.lon_deg)
    return float(bearing[0]), float(range_m[0])


@pytest.mark.parametrize(
    ("relative_deg", "range_nm", "rate_deg_per_min"),
    [(20.0, 2.0, 1.960), (90.0, 2.0, 5.730), (90.0, 1.0, 11.459), (45.0, 3.0, 2.701)],
)
def test_rate_of_change_of_a_bearing(relative_deg, range_nm, rate_deg_per_min):
    # T21, computed: V sin b / r at 12 kn.
    helm = helm_of()
    mark = mark_at("M", helm, relative_deg, range_nm * 1852.0)
    found = cue(mark, "bearing", helm).bearing_rate_deg_per_min
    assert found == pytest.approx(rate_deg_per_min, abs=1e-3)
    port = mark_at("P", helm, -relative_deg, range_nm * 1852.0)
    assert cue(port, "bearing", helm).bearing_rate_deg_per_min == pytest.approx(-found, abs=1e-6)


@pytest.mark.parametrize("relative_deg", [25.0, 70.0, 90.0, 140.0, -60.0])
@pytest.mark.parametrize("range_m", [900.0, 4000.0, 15_000.0])
@pytest.mark.parametrize("places", [RIGHT, SLIGHT])
def test_errors_by_finite_differences_along_the_track(relative_deg, range_m, places):
    helm = helm_of(places)
    mark = mark_at("M", helm, relative_deg, range_m)
    step_m = 0.5
    before, after = seen_after(helm, mark, -step_m), seen_after(helm, mark, step_m)
    bearing = cue(mark, "bearing", helm)
    per_m = abs((after[0] - before[0] + 180.0) % 360.0 - 180.0) / (2.0 * step_m)
    assert bearing.error_half_degree_m == pytest.approx(0.5 / per_m, rel=2e-3)
    assert bearing.error_radar_m == pytest.approx(1.0 / per_m, rel=2e-3)
    assert bearing.error_hundredth_nm_m is None
    closing = abs(after[1] - before[1]) / (2.0 * step_m)
    made = cue_of(mark, "range", helm, (bearing.bearing_deg, range_m), False, LOOKOUT)
    if abs(math.cos(math.radians(relative_deg))) < 0.17:
        assert made is None
    else:
        assert made is not None
        assert made.error_hundredth_nm_m == pytest.approx(18.52 / closing, rel=2e-3)
        assert made.error_half_degree_m is None


def across(helm: Helm, bearing_deg: float, range_m: float) -> float:
    """How far a mark lies from a line parallel to the new course, starboard positive."""
    return range_m * math.sin(math.radians(bearing_deg - helm.course_out_deg))


@pytest.mark.parametrize("relative_deg", [30.0, 95.0, -120.0])
def test_an_index_line_by_finite_differences(relative_deg):
    helm = helm_of()
    mark = mark_at("M", helm, relative_deg, 3000.0)
    found = cue(mark, "index", helm)
    assert found.index_m == pytest.approx(across(helm, found.bearing_deg, 3000.0), abs=0.5)
    moved_m = across(helm, *seen_after(helm, mark, 5.0)) - across(
        helm, *seen_after(helm, mark, -5.0)
    )
    assert found.error_hundredth_nm_m == pytest.approx(18.52 / abs(moved_m / 10.0), rel=2e-3)
    assert found.off_line_ratio == 0.0


@pytest.mark.parametrize("kind", ["bearing", "range"])
@pytest.mark.parametrize("relative_deg", [40.0, 70.0, -130.0])
@pytest.mark.parametrize("places", [RIGHT, SLIGHT])
def test_being_off_the_old_track_by_finite_differences(kind, relative_deg, places):
    """Helm where the cue says, 1 m beside the old track, ends so far beside the new one."""
    helm = helm_of(places)
    mark = mark_at("M", helm, relative_deg, 5000.0)
    which = 0 if kind == "bearing" else 1
    wanted = seen_after(helm, mark, 0.0)[which]
    low, high = -200.0, 200.0
    beside_m = 1.0

    def miss(later_m: float) -> float:
        found = seen_after(helm, mark, later_m, beside_m)[which] - wanted
        return (found + 180.0) % 360.0 - 180.0 if kind == "bearing" else found

    for _ in range(60):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if miss(middle) * miss(low) > 0.0 else (low, middle)
    turn_rad = math.radians(helm.change_deg)
    ends_m = low * math.sin(turn_rad) - beside_m * math.cos(turn_rad)
    ratio = cue(mark, kind, helm).off_line_ratio
    assert ratio == pytest.approx(abs(ends_m) / beside_m, abs=0.01)


@pytest.mark.parametrize(
    ("range_nm", "scale_nm", "error_m"),
    [(0.7, None, 30.0), (2.0, None, 55.56), (5.9, None, 111.12), (1.0, 12.0, 222.24)],
)
def test_the_radars_own_error_of_range(range_nm, scale_nm, error_m):
    # H19, from memory (MSC.192(79)): 30 m or 1 % of the range scale in use, whichever is larger.
    helm = helm_of()
    mark = mark_at("M", helm, 0.0, range_nm * 1852.0)
    found = cue(mark, "range", helm, range_scale_nm=scale_nm)
    assert found.error_radar_m == pytest.approx(error_m, abs=0.01)
    assert found.radar_scale_given is (scale_nm is not None)


@pytest.mark.parametrize(
    ("kind", "relative_deg", "place_m"),
    [("bearing", 30.0, 200.0), ("range", 60.0, 200.0), ("index", 30.0, 100.0)],
)
def test_a_mark_that_may_be_out_of_place_moves_its_line_by_as_much(kind, relative_deg, place_m):
    """A line of position 100 m out of place, crossing at 30 degrees, comes 200 m late; one that
    crosses square, 100 m (T21, the triangle in the plane).
    """
    helm = helm_of()
    sure = cue(mark_at("M", helm, relative_deg, 3000.0), kind, helm)
    unsure = cue(mark_at("M", helm, relative_deg, 3000.0, position_uncertainty_m=100.0), kind, helm)
    assert unsure.error_radar_m == pytest.approx((sure.error_radar_m or 0.0) + place_m, abs=0.1)
    for name in ("error_half_degree_m", "error_hundredth_nm_m"):
        plain = getattr(sure, name)
        expected = None if plain is None else pytest.approx(plain + place_m, abs=0.1)
        assert getattr(unsure, name) == expected


def test_a_mark_whose_place_is_not_sure_ranks_behind_and_what_is_not_given_is_said():
    helm = helm_of()
    near = mark_at("unsure", helm, 88.0, 2000.0, position_uncertainty_m=50_000.0)
    far = mark_at("sure", helm, 80.0, 3000.0)
    rows = plan_of(marks=[near, far]).cues[0].rows
    assert rows[0].mark.id == "sure"
    assert rows[0].reasons[1] == "fixed, how sure its place is is not given"
    last = rows[-1]
    assert last.mark.id == "unsure"
    assert "sure within 50000 m" in last.reasons[1]
    assert "the mark's place" in last.reasons[3]


def test_for_a_large_alteration_a_bearing_near_the_new_course_comes_first():
    helm = helm_of()
    near = mark_at("parallel", helm, 88.0, 2500.0, radar_conspicuous=False)
    other = mark_at("ahead", helm, 45.0, 2000.0, radar_conspicuous=False)
    rows = plan_of(marks=[other, near]).cues[0].rows
    assert [one.id for one in rows[:2]] == ["bearing/parallel", "bearing/ahead"]
    assert "near parallel as wanted for a large alteration of 90 degrees" in rows[0].reasons[2]


def test_for_a_small_alteration_a_mark_near_the_beam_comes_first():
    helm = helm_of(SLIGHT)
    beam = mark_at("beam", helm, -95.0, 4000.0, radar_conspicuous=False)
    ahead = mark_at("parallel", helm, 40.0, 2000.0, radar_conspicuous=False)
    rows = plan_of(SLIGHT, [ahead, beam]).cues[0].rows
    assert [one.id for one in rows[:2]] == ["bearing/beam", "bearing/parallel"]
    assert "near the beam as wanted for a small alteration" in rows[0].reasons[2]
    assert all(one.kind != "index" for one in rows), "10 degrees is too fine for an index line"


def test_fixed_marks_come_before_floating_ones_and_seen_ones_before_both():
    helm = helm_of()
    fixed = mark_at("fixed", helm, 60.0, 4000.0)
    buoy = mark_at("buoy", helm, 88.0, 1500.0, floating=True)
    low = mark_at("unknown", helm, 88.0, 1500.0, height_m=None)
    order = [one.mark.id for one in plan_of(marks=[buoy, low, fixed]).cues[0].rows]
    assert list(dict.fromkeys(order)) == ["fixed", "buoy", "unknown"]


def test_a_bearing_dead_ahead_and_a_range_abeam_are_no_cues():
    helm = helm_of()
    ahead, abeam = mark_at("ahead", helm, 2.0, 4000.0), mark_at("abeam", helm, 90.0, 4000.0)
    found = {one.id for one in plan_of(marks=[ahead, abeam]).cues[0].rows}
    assert found == {"range/ahead", "index/ahead", "bearing/abeam", "index/abeam"}


def test_the_likely_ones_are_the_best_of_all():
    """What is chosen in the plane among many ranks as the best of all do on the ellipsoid."""
    helm = helm_of()
    for seed in range(4):
        marks = MarkSet(tuple(scattered(200, helm.at, seed=seed)))
        for dark in (True, False, None):
            first = ranked_cues(marks, [helm], [dark], LOOKOUT, [()])[0][:4]
            every = [
                made
                for mark in marks.marks
                for kind in KINDS
                if (made := cue_of(mark, kind, helm, _measured(helm, mark), dark, LOOKOUT))
            ]
            best = sorted(every, key=lambda one: rank_of(one, helm.change_deg))
            seen: dict[str, int] = {}
            kept = []
            for one in best:
                seen[one.mark.id] = seen.get(one.mark.id, 0) + 1
                if seen[one.mark.id] <= 2:
                    kept.append(one.id)
            assert [one.id for one in first] == kept[:4]


def _measured(helm: Helm, mark: Mark) -> tuple[float, float]:
    place = mark.position
    bearing, _, range_m = geodesic.inverse(
        helm.at.lat_deg, helm.at.lon_deg, place.lat_deg, place.lon_deg
    )
    return float(bearing[0]), float(range_m[0])


def test_the_second_cue_is_another_mark_or_another_kind():
    helm = helm_of()
    one = mark_at("one", helm, 80.0, 2000.0)
    two = mark_at("two", helm, 50.0, 6000.0)
    cues = plan_of(marks=[one, two]).cues[0]
    assert cues.first is not None
    assert cues.second is not None
    assert {cues.rows[cues.first].mark.id, cues.rows[cues.second].mark.id} == {"one", "two"}
    alone = plan_of(marks=[one]).cues[0]
    assert alone.first is not None
    assert alone.second is not None
    assert alone.rows[alone.first].kind != alone.rows[alone.second].kind
    assert cues.chosen == (False, False)


def test_what_the_navigator_chooses_is_taken_and_an_unknown_one_is_said():
    helm = helm_of()
    marks = [mark_at(str(n), helm, 80.0 + n, 2000.0 + 100.0 * n) for n in range(15)]
    far = mark_at("far", helm, 60.0, 30_000.0)
    cues = plan_of(marks=[*marks, far], cue_ids=("bearing/far", "index/14")).cues[0]
    assert cues.first is not None
    assert cues.second is not None
    assert cues.rows[cues.first].id == "bearing/far"
    assert cues.rows[cues.second].id == "index/14"
    assert cues.chosen == (True, True)
    by_mark = plan_of(marks=marks, cue_ids=("3",)).cues[0]
    assert by_mark.first is not None
    assert by_mark.rows[by_mark.first].mark.id == "3"
    assert by_mark.chosen == (True, False)
    assert by_mark.second is not None
    gone = plan_of(marks=marks, cue_ids=("nobody",))
    assert gone.cues[0].unknown_ids == ("nobody",)
    assert [one.code for one in gone.findings if one.about == "nobody"] == ["cue_not_there"]


def test_ids_with_a_slash_of_their_own():
    assert split_id("bearing/CELL/LNDMRK.1") == ("bearing", "CELL/LNDMRK.1")
    assert split_id("CELL/LNDMRK.1") == (None, "CELL/LNDMRK.1")


def test_across_180_degrees_and_near_a_pole():
    marks = [
        Mark(
            id="E",
            name="E",
            position=Position(lat_deg=0.15, lon_deg=-179.95),
            kind="landmark",
            source="you",
            height_m=40.0,
        )
    ]
    cues = plan_of([(0.0, 180.0), (0.2, 180.0), (0.2, -179.6)], marks).cues[0]
    assert cues.rows
    assert cues.rows[0].range_m < 10_000.0
    far_north = plan_of([(89.0, 0.0), (89.2, 0.0), (89.2, 40.0)], marks).cues[0]
    assert far_north.rows == ()


def test_the_course_at_the_wheel_over_of_a_geodesic_leg_is_the_one_there():
    places = [(60.0, -40.0), (61.0, -30.0), (60.5, -25.0)]
    helm = helm_of(zoo.route(places, lines=["geodesic", "rhumb"], radii_nm=[2.0]))
    line = helm.leg.path
    assert line is not None
    lat, lon, _ = points_along(line, np.array([helm.along_m - 1.0, helm.along_m + 1.0]))
    there_deg = float(geodesic.inverse(lat[0], lon[0], lat[1], lon[1])[0][0])
    assert helm.course_in_deg == pytest.approx(there_deg, abs=1e-4)
    assert abs(helm.course_in_deg - line.arrival_course_deg) > 1e-3
    assert helm.speed_m_per_s == pytest.approx(12.0 * 1852.0 / 3600.0)


def test_no_marks_and_no_eye():
    bare = plan_of()
    assert bare.cues[0].rows == ()
    row = next(one for one in bare.checks if one.check == "turn_cue")
    assert (row.result, row.reason) == ("not_checked", "no marks are loaded")
    helm = helm_of()
    blind = replace(WATCHING, eye_height_m=None, radar_height_m=None)
    plan = plan_of(marks=[mark_at("M", helm, 80.0, 2000.0)], ship=blind)
    row = next(one for one in plan.checks if one.check == "turn_cue")
    assert row.result == "not_checked"
    assert row.not_checked is not None
    assert "can be observed is not known: the height of the radar is not known" in row.not_checked
    assert np.isfinite(plan.cues[0].rows[0].range_m)


@pytest.mark.parametrize(("hour", "dark"), [(2, True), (13, False)])
def test_daylight_at_the_planned_time_decides_what_is_seen(hour, dark):
    """Mid-Atlantic in November: dark at 2 h UTC, day at 13 h."""
    helm = helm_of()
    departure_s = 1_795_564_800.0 + 3600.0 * hour  # 2026-11-25
    marks = [
        mark_at("unlit", helm, 85.0, 2000.0, lit=False, radar_conspicuous=False),
        mark_at("lit", helm, 60.0, 9000.0, radar_conspicuous=False),
    ]
    cues = plan_of(marks=marks, conditions=Conditions(departure_s=departure_s)).cues[0]
    assert cues.dark is dark
    assert cues.dark_reason is None
    assert cues.rows[0].id == ("bearing/lit" if dark else "bearing/unlit")
    unknown = plan_of(marks=marks).cues[0]
    assert unknown.dark is None
    assert unknown.dark_reason == "daylight is not known: no time of departure is given"
    by_id = {one.id: one.seen for one in unknown.rows}
    assert (by_id["bearing/unlit"], by_id["bearing/lit"]) == ("not_known", "yes")
