"""The hull on many runs at once: the same as on each by itself, and what shapely measures."""

from dataclasses import fields, replace
from typing import Any

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from tests import swept_runs, zoo
from tests.swept_runs import BEAM_M, LOA_M
from wheelover.core.arrays import Floats, Ints
from wheelover.core.geo.plane import to_plane_m
from wheelover.core.sweep import met as sweep_met
from wheelover.core.sweep import near
from wheelover.core.sweep.dangers import Strip, parts_about
from wheelover.core.sweep.hull import hull_box_m
from wheelover.core.sweep.met import dangers_met
from wheelover.core.sweep.near import LEAST_SEARCH_M, hull_clearances, hulls_clearances
from wheelover.core.sweep.of_turns import swept_turn, swept_turns
from wheelover.core.sweep.poses import pieces_between, pieces_of
from wheelover.core.sweep.runs import Run
from wheelover.core.track import lay_track
from wheelover.core.types.chart import Hazards
from wheelover.core.types.circumstances import Limits
from wheelover.core.types.limits import LegAsked
from wheelover.core.types.manoeuvre import Motion
from wheelover.core.types.route import Position
from wheelover.core.types.sweep import HullClearances
from wheelover.core.types.track import PlannedTurn, WheelOver

LIMITS = Limits(min_clearance_m=200.0)
MOTIONS = tuple(
    swept_runs.turn(course, change).motion
    for course, change in ((10.0, 70.0), (200.0, -40.0), (300.0, 95.0))
)
ASKS = (
    (LegAsked(),),
    (LegAsked(min_clearance_m=800.0), LegAsked()),
    (LegAsked(min_clearance_by_class=(("wreck", 4500.0),)), LegAsked()),
)
MIDDLES = [
    (0.0, 0.0),
    (35.0, 179.99),
    (-52.0, -180.0),
    (60.0, 12.0),
    (78.0, 180.0),
    (84.0, -179.98),
    (-89.7, 30.0),
]


def _hazards(rng: np.random.Generator, middle_deg: tuple[float, float], count: int) -> Hazards:
    """Return points, lines and areas with holes about a place; some run over 180 degrees."""
    wide = 1.0 / max(np.cos(np.radians(middle_deg[0])), 0.02)

    def places(about: Floats, size_deg: float, many: int) -> Any:
        off = rng.uniform(-size_deg, size_deg, (many, 2)) * [wide, 1.0]
        return (np.cumsum(off, axis=0) + about).tolist()

    shapes: list[tuple[str, Any]] = []
    for number in range(count):
        about = np.array(middle_deg[::-1]) + rng.uniform(-0.1, 0.1, 2) * [wide, 1.0]
        about[1] = np.clip(about[1], -89.95, 89.95)
        size_deg = 10.0 ** rng.uniform(-3.0, -1.3)
        if number % 3 == 0:
            one = places(about, 0.0, 1)[0]
            shapes.append(("Point", [(one[0] + 180.0) % 360.0 - 180.0, one[1]]))
        elif number % 3 == 1:
            line = np.array(places(about, size_deg, 4))
            shapes.append(("LineString", np.clip(line, [-999.0, -90.0], [999.0, 90.0]).tolist()))
        else:
            bow = np.linspace(0.0, 2.0 * np.pi, 9)[:, None]
            ring = np.concatenate([np.cos(bow) * wide, np.sin(bow)], axis=1) * size_deg
            ring[-1] = ring[0]
            rings = [np.clip(about + ring * part, -360.0, [360.0, 90.0]) for part in (1.0, 0.4)]
            shapes.append(("Polygon", [one.tolist() for one in rings[: 1 + number % 2]]))
    found = zoo.dangers(shapes)
    return replace(
        found,
        kinds=tuple(rng.choice(np.array(["wreck", "rock", None]), count).tolist()),
        position_uncertainty_m=np.where(rng.random(count) < 0.3, 90.0, 0.0),
        min_clearance_m=np.where(rng.random(count) < 0.1, 5000.0, np.nan),
    )


def _runs(rng: np.random.Generator, middle_deg: tuple[float, float], count: int) -> list[Run]:
    """Return runs about a place."""
    lat = np.clip(middle_deg[0] + rng.uniform(-0.05, 0.05, count), -89.99, 89.99)
    lon = np.where(rng.random(count) < 0.5, 0.0, rng.uniform(-0.01, 0.01, count)) + middle_deg[1]
    lon = np.where(np.abs(lon) > 180.0, lon - np.sign(lon) * 360.0, lon)
    return [
        Run(
            motion=MOTIONS[int(rng.integers(len(MOTIONS)))],
            start=Position(lat_deg=float(lat[one]), lon_deg=float(lon[one])),
            asked=ASKS[int(rng.integers(len(ASKS)))],
        )
        for one in range(count)
    ]


def _alone(run: Run, hazards: Hazards) -> HullClearances:
    return hull_clearances(
        run.motion, run.start, LOA_M, BEAM_M, hazards, asked=run.asked, limits=LIMITS
    )


def _same(one: HullClearances, other: HullClearances) -> bool:
    return all(
        np.array_equal(getattr(one, name), getattr(other, name), equal_nan=name == "limit_m")
        for name in (field.name for field in fields(HullClearances) if field.name != "ids")
    )


@pytest.mark.parametrize("middle_deg", MIDDLES)
@pytest.mark.parametrize("count", [5, 300])
def test_many_runs_at_once_are_as_each_by_itself(
    middle_deg: tuple[float, float], count: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    rng = np.random.default_rng(11)
    hazards, runs = _hazards(rng, middle_deg, count), _runs(rng, middle_deg, 7)
    alone = [_alone(one, hazards) for one in runs]
    assert sum(len(one) for one in alone) > count
    together = hulls_clearances(runs, LOA_M, BEAM_M, hazards, LIMITS)
    assert all(_same(*both) for both in zip(together, alone, strict=True))
    # However few of them are looked at together.
    monkeypatch.setattr(near, "_MOST_PLACES", 40)
    together = hulls_clearances(runs, LOA_M, BEAM_M, hazards, LIMITS)
    assert all(_same(*both) for both in zip(together, alone, strict=True))


def test_no_run_and_no_danger() -> None:
    runs = _runs(np.random.default_rng(1), (10.0, 10.0), 2)
    assert hulls_clearances([], LOA_M, BEAM_M, zoo.dangers([]), LIMITS) == []
    assert hulls_clearances(runs, LOA_M, BEAM_M, zoo.dangers([]), LIMITS) == [(), ()]
    far = zoo.dangers([("Point", [100.0, -40.0])])
    assert hulls_clearances(runs, LOA_M, BEAM_M, far, LIMITS) == [(), ()]


def _true_m(run: Run, hazards: Hazards) -> tuple[Ints, Floats]:
    """Return the points of dangers and how far shapely has them from the poses of a run's hull."""
    points = hazards.points
    place_m = to_plane_m((run.start.lat_deg, run.start.lon_deg), points.lat_deg, points.lon_deg)
    hulls = shapely.union_all(pieces_between(run.motion, hull_box_m(LOA_M, BEAM_M)).hulls)
    return points.hazard, shapely.distance(hulls, shapely.points(place_m))


@given(st.sampled_from(MIDDLES), st.integers(0, 2**32 - 1))
def test_no_point_is_missed_and_none_said_to_be_farther_than_shapely_has_it(
    middle_deg: tuple[float, float], seed: int
) -> None:
    """Distances of GEOS, by shapely, from the whole strip; ours are nearer by the bulge at most."""
    rng = np.random.default_rng(seed)
    hazards, runs = _hazards(rng, middle_deg, 40), _runs(rng, middle_deg, 3)
    for run, rows in zip(runs, hulls_clearances(runs, LOA_M, BEAM_M, hazards, LIMITS), strict=True):
        said = {row.hazard_index: row for row in rows}
        for hazard, true_m in zip(*_true_m(run, hazards), strict=True):
            if true_m <= LEAST_SEARCH_M:
                row = said.pop(int(hazard))
                assert row.distance_m <= true_m + 1e-6
                assert row.distance_m >= true_m - row.allowance_m - 1e-6


@given(
    st.floats(-80.0, 80.0), st.floats(500.0, 27_000.0), st.floats(0.0, 360.0), st.integers(0, 99)
)
def test_nothing_that_matters_is_left_out_beside_a_strip(
    lat_deg: float, far_m: float, along_deg: float, seed: int
) -> None:
    """Which points lie near a rectangle is told by degrees before pyproj is asked: it errs outward.

    What pyproj and shapely have within the margin is there.
    """
    rng = np.random.default_rng(seed)
    off = rng.uniform(-far_m, far_m, (60, 2)) / [111_000.0, 111_000.0]
    lat = lat_deg + off[:, 1]
    lon = 180.0 + off[:, 0] / np.cos(np.radians(lat_deg))
    lon = np.where(lon > 180.0, lon - 360.0, lon)
    hazards = zoo.dangers([("Point", list(one)) for one in zip(lon.tolist(), lat, strict=True)])
    place_m = to_plane_m((lat_deg, 180.0), lat, lon)
    along = np.array([np.sin(np.radians(along_deg)), np.cos(np.radians(along_deg))])
    turned_m = np.stack([place_m @ along, place_m @ [along[1], -along[0]]], axis=1)
    low_m, high_m = (-0.2 * far_m, -0.1 * far_m), (0.5 * far_m, 0.1 * far_m)
    off_m = shapely.distance(shapely.box(*low_m, *high_m), shapely.points(turned_m))
    margin_m = np.quantile(off_m, 0.5)
    strip = Strip(along_ratio=along, low_m=low_m, high_m=high_m, margin_m=np.full(60, margin_m))
    parts = parts_about(hazards, (lat_deg, 180.0), np.full(60, 27_700.0), strip)
    wanted = (off_m <= margin_m) & (np.hypot(*place_m.T) <= 27_700.0)
    assert set(np.flatnonzero(wanted).tolist()) <= set(parts.hazard.tolist())


@pytest.mark.parametrize("middle_deg", MIDDLES)
def test_what_is_met_on_runs_is_what_is_nearer_than_its_limit(
    middle_deg: tuple[float, float], monkeypatch: pytest.MonkeyPatch
) -> None:
    """The same dangers and clearances by another way: the rows of what is near.

    Edges are cut into other pieces there, each of which leaves its edge by 1 cm at most.
    """
    rng = np.random.default_rng(5)
    hazards, runs = _hazards(rng, middle_deg, 200), _runs(rng, middle_deg, 6)
    together = dangers_met(runs, LOA_M, BEAM_M, hazards, LIMITS)
    near_m = hulls_clearances(runs, LOA_M, BEAM_M, hazards, LIMITS)
    assert sum(len(one) for one in together) > 20
    for met, rows in zip(together, near_m, strict=True):
        assert not isinstance(met, str)
        wanted = {row.hazard_index: row for row in rows.too_near()}
        assert {one.hazard_index for one in met} == set(wanted)
        for one in met:
            row = wanted[one.hazard_index]
            assert one.clearance_m == pytest.approx(row.clearance_m, abs=0.02)
            assert (one.limit_m, one.limit_source) == (row.limit_m, row.limit_source)
            assert one.first_at_s <= row.at_s
    monkeypatch.setattr(sweep_met, "_MOST_PLACES", 30)
    assert dangers_met(runs, LOA_M, BEAM_M, hazards, LIMITS) == together
    assert [dangers_met([one], LOA_M, BEAM_M, hazards, LIMITS)[0] for one in runs] == together


def test_only_a_run_past_dangers_needs_a_hull_that_can_follow_it() -> None:
    jumping = replace(
        MOTIONS[0], heading_deg=np.where(np.arange(MOTIONS[0].time_s.size) % 2, 90.0, 0.0)
    )
    here, far = Position(lat_deg=10.0, lon_deg=10.0), Position(lat_deg=40.0, lon_deg=10.0)
    runs = [
        Run(motion=jumping, start=far),
        Run(motion=jumping, start=here),
        Run(motion=MOTIONS[0], start=here),
    ]
    hazards = zoo.dangers([("Point", [10.0, 10.0])])
    none, why, one = dangers_met(runs, LOA_M, BEAM_M, hazards, LIMITS)
    assert none == ()
    assert "the heading changes by 90.0 degrees" in str(why)
    assert len(one) == 1


def test_dangers_whose_columns_are_locked() -> None:
    """Stored dangers are kept so: plans to come are made from the same columns."""
    rng = np.random.default_rng(3)
    hazards, run = _hazards(rng, (50.0, 0.0), 60), _runs(rng, (50.0, 0.0), 1)[0]
    before = _alone(run, hazards)
    for columns in (hazards, hazards.points, hazards.paths):
        for field in fields(columns):
            member = getattr(columns, field.name)
            if isinstance(member, np.ndarray):
                member.setflags(write=False)
    assert len(before) > 0
    assert _same(_alone(run, replace(hazards)), before)


def test_pieces_of_many_runs_are_those_of_each() -> None:
    box_m = hull_box_m(LOA_M + 1.0, BEAM_M)
    still = Motion(**{name: getattr(MOTIONS[0], name)[:1] for name in Motion.__slots__})
    motions = [MOTIONS[0], still, MOTIONS[1], replace(MOTIONS[2])]
    together = pieces_of(motions, box_m)
    for motion, pieces in zip(motions, together, strict=True):
        alone = pieces_between(replace(motion), box_m)
        for field in fields(pieces):
            assert np.array_equal(getattr(pieces, field.name), getattr(alone, field.name))
    assert together[1].count == 1
    assert together[1].bulge_m.tolist() == [0.0]


SHIP = replace(zoo.SHIP, response=zoo.QUICK_RESPONSE)
BEND = [(47.0, -30.0), (47.3, -30.0), (47.3, -29.5), (47.6, -29.5)]


def _broken(turn: PlannedTurn) -> PlannedTurn:
    """Return a turn along whose run no hull can be moved: its heading jumps."""

    def torn(row: Any) -> Any:
        if not isinstance(row, WheelOver) or row.manoeuvre is None:
            return row
        motion = row.manoeuvre.motion
        jumping = np.where(np.arange(motion.heading_deg.size) % 2 == 0, 0.0, 90.0)
        return replace(
            row,
            manoeuvre=replace(row.manoeuvre, motion=replace(motion, heading_deg=jumping)),
        )

    return replace(turn, wheel_overs=tuple(torn(row) for row in turn.wheel_overs))


def test_a_run_that_no_hull_can_follow_leaves_the_others_as_they_are() -> None:
    track = lay_track(zoo.route(BEND), SHIP)
    hazards = zoo.dangers([("Point", [-30.0, 47.31])])
    whole = swept_turns(track.turns, track.legs, SHIP, hazards, LIMITS)
    assert [one.reason for one in whole] == [None, None]
    turns = (_broken(track.turns[0]), track.turns[1])
    first, second = swept_turns(turns, track.legs, SHIP, hazards, LIMITS)
    assert first.clearances is None
    assert "the heading changes by 90.0 degrees" in (first.reason or "")
    assert second == whole[1]
    beside = (track.legs[0], track.legs[1])
    assert swept_turn(turns[0], beside, SHIP, hazards, LIMITS) == first
