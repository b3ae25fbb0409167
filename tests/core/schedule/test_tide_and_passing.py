"""When she passes, the height of tide then, and when it is enough."""

from dataclasses import replace
from itertools import pairwise
from math import cos, pi

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests import zoo as common
from tests.core.depth import passages as zoo
from wheelover.core.depth.case import Passing
from wheelover.core.depth.whole import passings
from wheelover.core.errors import InvalidConditions
from wheelover.core.schedule.tide import extremes, heights_m, times_of_at_least
from wheelover.core.times.pieces import piece_times
from wheelover.core.track import Track, lay_track
from wheelover.core.types.circumstances import Conditions
from wheelover.core.types.clearance import Piece
from wheelover.core.types.route import LegWishes, Route
from wheelover.core.types.ship import ShipProfile
from wheelover.core.types.tide import Between, Tide, TideHeight
from wheelover.core.units import NM_M
from wheelover.core.utc import seconds_from_utc, utc_from_seconds

HOUR_S = 3600.0


def test_half_a_cosine_between_high_and_low_water() -> None:
    """Low water 0.6 m at 0 h, high water 4.6 m at 6 h."""
    table = zoo.tide((0.0, 0.6), (6.0, 4.6))
    hours = np.array([0.0, 1.0, 2.0, 3.0, 4.5, 6.0])
    expected = [2.6 - 2.0 * cos(pi * hour / 6.0) for hour in hours]
    assert heights_m(table, zoo.DEPARTURE_S + hours * HOUR_S) == pytest.approx(expected)
    # The rule of twelfths is near it: 1, 3, 6 of 12 after 1, 2, 3 hours.
    rule = [0.6 + 4.0 * part / 12.0 for part in (0, 1, 3, 6)]
    assert heights_m(table, zoo.DEPARTURE_S + hours[:4] * HOUR_S) == pytest.approx(rule, abs=0.08)
    straight = replace(table, between="linear")
    assert heights_m(straight, zoo.DEPARTURE_S + 1.5 * HOUR_S)[0] == pytest.approx(1.6)


def test_outside_its_table_no_height_is_known() -> None:
    table = zoo.tide((0.0, 0.6), (6.0, 4.6))
    found = heights_m(table, [zoo.DEPARTURE_S - 1.0, zoo.DEPARTURE_S + 6.0 * HOUR_S + 1.0])
    assert np.isnan(found).all()
    assert extremes(table, zoo.DEPARTURE_S - 1.0, zoo.DEPARTURE_S) is None
    assert extremes(table, zoo.DEPARTURE_S, zoo.DEPARTURE_S + 6.5 * HOUR_S) is None


HEIGHTS = st.lists(st.tuples(st.floats(0.5, 7.0), st.floats(-1.0, 9.0)), min_size=2, max_size=8)


def _table(rows: list[tuple[float, float]], between: Between) -> Tide:
    at_s, heights = zoo.DEPARTURE_S, []
    for hours, metres in rows:
        at_s += hours * HOUR_S
        heights.append(TideHeight(at_s=at_s, height_m=metres))
    return Tide(station="Zoo bar", heights=tuple(heights), between=between)


@settings(max_examples=100, deadline=None)
@given(HEIGHTS, st.sampled_from(["cosine", "linear"]), st.floats(0.0, 1.0), st.floats(0.0, 1.0))
def test_least_and_greatest_are_those_of_a_fine_scan(
    rows: list[tuple[float, float]], between: Between, one: float, other: float
) -> None:
    table = _table(rows, between)
    first, last = table.heights[0].at_s, table.heights[-1].at_s
    low, high = sorted(first + part * (last - first) for part in (one, other))
    found = extremes(table, low, high)
    assert found is not None
    ends = [one.at_s for one in table.heights if low <= one.at_s <= high]
    scan = heights_m(table, np.union1d(np.linspace(low, high, 501), ends))
    assert found.least_m == pytest.approx(scan.min(), abs=1e-9)
    assert found.greatest_m == pytest.approx(scan.max(), abs=1e-9)


@settings(max_examples=100, deadline=None)
@given(HEIGHTS, st.sampled_from(["cosine", "linear"]), st.floats(-1.0, 9.0))
def test_times_of_enough_tide_are_those_of_a_fine_scan(
    rows: list[tuple[float, float]], between: Between, needed_m: float
) -> None:
    table = _table(rows, between)
    spans = times_of_at_least(table, needed_m)
    at_s = np.linspace(table.heights[0].at_s, table.heights[-1].at_s, 1501)
    enough = heights_m(table, at_s)
    inside = np.zeros(at_s.shape, dtype=bool)
    for start_s, end_s in spans:
        inside |= (at_s >= start_s - 1e-3) & (at_s <= end_s + 1e-3)
    clear = np.abs(enough - needed_m) > 1e-6
    assert (inside == (enough >= needed_m))[clear].all()
    assert all(before[1] < after[0] for before, after in pairwise(spans))


def test_a_table_needs_two_heights_in_order() -> None:
    for heights in (((0.0, 1.0),), ((0.0, 1.0), (0.0, 2.0)), ((2.0, 1.0), (1.0, 2.0))):
        with pytest.raises(InvalidConditions):
            zoo.tide(*heights)


def _passings(track: Track, route: Route, ship: ShipProfile) -> dict[Piece, Passing]:
    times = piece_times(track, route, ship, Conditions())
    return passings(track.legs, track.turns, times)


def test_legs_and_turns_are_run_at_the_speed_over_the_ground() -> None:
    """12 miles north at 12 kn with 2 kn of current along: 14 kn."""
    leg = LegWishes(speed_kn=12.0, set_deg=0.0, drift_kn=2.0)
    track = lay_track(zoo.corner(leg), zoo.TANKER, Conditions())
    found = _passings(track, zoo.corner(leg), zoo.TANKER)
    first = found[Piece(kind="leg", index=0)]
    run_nm = (track.legs[0].track_to_m - track.legs[0].track_from_m) / NM_M
    assert first.from_s == 0.0
    assert first.to_s == pytest.approx(run_nm / 14.0 * HOUR_S)
    turn, second = found[Piece(kind="turn", index=0)], found[Piece(kind="leg", index=1)]
    assert turn.from_s == first.to_s
    assert turn.to_s == second.from_s
    arc = track.turns[0].arc
    assert arc is not None
    # On the arc from north to east the stream's part along falls from 2 kn to none: sqrt(144 - 4
    # sin^2) + 2 cos of the course, its inverse averaged over the quarter circle by a fine sum.
    courses = np.radians((np.arange(1000) + 0.5) * 0.09)
    made_kn = np.sqrt(144.0 - 4.0 * np.sin(courses) ** 2) + 2.0 * np.cos(courses)
    assert (turn.to_s or 0.0) - (turn.from_s or 0.0) == pytest.approx(
        arc.arc_m / NM_M * float(np.mean(1.0 / made_kn)) * HOUR_S, rel=1e-4
    )
    # The second leg runs east across the same current: sqrt(144 - 4) kn.
    run_nm = (track.legs[1].track_to_m - track.legs[1].track_from_m) / NM_M
    assert (second.to_s or 0.0) - (second.from_s or 0.0) == pytest.approx(
        run_nm / 140.0**0.5 * HOUR_S, rel=1e-4
    )


def test_after_a_missing_speed_a_hole_or_a_current_too_strong_no_time_is_known() -> None:
    def reasons(legs: tuple[LegWishes, LegWishes], gap: bool = False) -> list[str | None]:
        route = zoo.corner(*legs)
        if gap:
            extra = common.route([(47.0, -30.0), (47.2, -30.0), (47.2, -29.6), (47.2, -29.2)])
            last = replace(extra.waypoints[3], gap_before=True)
            route = replace(route, waypoints=(*route.waypoints, last, replace(last, id="W4",
                            lon_deg=-29.0, gap_before=False)))  # fmt: skip
        ship = replace(zoo.TANKER, speed_kn=None)
        track = lay_track(route, ship, Conditions())
        return [one.reason for one in _passings(track, route, ship).values()]

    known, silent = LegWishes(speed_kn=10.0), LegWishes()
    assert reasons((known, known)) == [None, None, None]
    assert reasons((known, silent)) == [None, "no speed is given on the leg to W2", None]
    assert reasons((silent, known)) == ["no speed is given on the leg to W1"] * 3
    strong = LegWishes(speed_kn=3.0, set_deg=90.0, drift_kn=4.0)
    assert "cannot be made good" in (reasons((strong, known))[2] or "")
    assert reasons((known, known), gap=True)[2] == "the route has a hole before W3"


def test_the_tide_counts_at_the_time_of_passing() -> None:
    table = zoo.tide((0.0, 1.0), (6.0, 5.0), between="linear")
    conditions = replace(zoo.CALM, tides=(table,))
    made = zoo.plan(zoo.depth(15.0), conditions=conditions)
    first, second = zoo.leg_sum(made, 0), zoo.leg_sum(made, 1)
    assert first.passing is not None
    assert first.passing.from_s == zoo.DEPARTURE_S
    assert zoo.terms(first)["tide"].value_m == 1.0
    assert second.passing is not None
    after_h = (second.passing.from_s - zoo.DEPARTURE_S) / HOUR_S
    assert zoo.terms(second)["tide"].value_m == pytest.approx(1.0 + after_h / 1.5, abs=0.01)
    assert "Zoo bar" in zoo.terms(second)["tide"].reason
    # Outside the table it is not checked, but what tide would be needed is known.
    late = replace(conditions, departure_s=zoo.DEPARTURE_S + 5.0 * HOUR_S)
    beyond = zoo.plan(zoo.depth(15.0), conditions=late)
    assert zoo.leg_sum(beyond, 1).net_ukc_m is None
    assert zoo.leg_sum(beyond, 1).tide_needed_m == first.tide_needed_m
    assert "does not cover" in (zoo.result(beyond, "leg_depth", 1).reason or "")
    # And without a departure nobody knows when she passes.
    undated = zoo.plan(zoo.depth(15.0), conditions=replace(conditions, departure_s=None))
    assert "no departure_utc" in zoo.terms(zoo.leg_sum(undated))["tide"].reason
    assert zoo.leg_sum(undated).met is None


def test_windows_of_tide() -> None:
    """Of the depth 13.2 m about 12.85 m and required 1.2: high water alone is enough."""
    table = zoo.tide((0.0, 0.0), (6.0, 4.0), (12.0, 0.0), between="linear")
    made = zoo.plan(zoo.depth(13.2), conditions=replace(zoo.CALM, tides=(table,)))
    found = zoo.leg_sum(made)
    needed_m = found.tide_needed_m
    assert needed_m is not None
    assert found.windows is not None
    (span,) = found.windows
    hours = [(one - zoo.DEPARTURE_S) / HOUR_S for one in (span.from_s, span.to_s)]
    assert hours == pytest.approx([needed_m * 1.5, 12.0 - needed_m * 1.5])
    assert found.met is False
    inside = replace(zoo.CALM, tides=(table,), departure_s=span.from_s)
    assert zoo.leg_sum(zoo.plan(zoo.depth(13.2), conditions=inside)).met is True


def test_a_station_counts_for_its_legs_alone() -> None:
    first = zoo.tide((-1.0, 2.0), (20.0, 2.0), to_id="W1")
    second = replace(zoo.tide((-1.0, 3.0), (20.0, 3.0), from_id="W1"), station="Inner bar")
    conditions = replace(zoo.CALM, tides=(first, second), tide_m=0.7)
    made = zoo.plan(zoo.depth(15.0), conditions=conditions)
    assert [zoo.terms(zoo.leg_sum(made, one))["tide"].value_m for one in (0, 1)] == [2.0, 3.0]
    alone = zoo.plan(zoo.depth(15.0), conditions=replace(conditions, tides=(first,)))
    assert zoo.terms(zoo.leg_sum(alone, 1))["tide"].value_m == 0.7


@given(st.integers(0, 250_000_000_000))
def test_times_are_read_as_they_are_written(at_s: int) -> None:
    assert seconds_from_utc(utc_from_seconds(float(at_s))) == at_s
