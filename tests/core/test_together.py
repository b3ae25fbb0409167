"""Turns and legs that are computed together answer as if each were alone, bit for bit."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests import zoo
from wheelover.core.errors import OutOfDomain
from wheelover.core.geo import geodesic, rhumb
from wheelover.core.legs import feet_on_leg, in_columns, leg_line, leg_lines, points_along
from wheelover.core.track import lay_track
from wheelover.core.turns.together import each_or_reason
from wheelover.core.types.route import LineKind, Position, Route, Waypoint, WheelOverChoice

Wanted = tuple[LineKind, Position, Position]

PLACES = st.builds(
    lambda lat, lon: Position(lat_deg=lat, lon_deg=lon), st.floats(-84, 84), st.floats(-180, 180)
)
WANTED: st.SearchStrategy[list[Wanted]] = st.lists(
    st.tuples(st.sampled_from(["rhumb", "geodesic"]), PLACES, PLACES), min_size=1, max_size=6
)
CHOICES = st.sampled_from(
    [None, WheelOverChoice(distance_nm=0.3), WheelOverChoice(distance_nm=900)]
)


@st.composite
def bent_routes(draw: st.DrawFn) -> Route:
    """Draw routes of both kinds of lines, in the middle of the sea and beside a pole."""
    lat, lon = draw(st.sampled_from([0.0, -50.0, 60.0, 84.0, 89.5])), draw(st.floats(-180, 180))
    course_deg, places, lines = draw(st.floats(0, 360)), [], []
    for _ in range(draw(st.integers(3, 9))):
        places.append((lat, lon))
        lines.append(draw(st.sampled_from(["rhumb", "geodesic"])))
        course_deg += draw(st.sampled_from([0.0, 0.002, -30.0, 60.0, -149.0, 170.0]))
        run_m = draw(st.sampled_from([0.0, 3_000.0, 20_000.0, 80_000.0]))
        there = geodesic.direct(lat, lon, course_deg, run_m)
        lat, lon = float(there[0][0]), float(there[1][0])
    plain = zoo.route(places, lines=lines)  # type: ignore[arg-type]
    return replace(
        plain, waypoints=tuple(_with_choice(one, draw(CHOICES)) for one in plain.waypoints)
    )


def _with_choice(waypoint: Waypoint, choice: WheelOverChoice | None) -> Waypoint:
    return replace(waypoint, wheel_over=choice)


@given(bent_routes(), st.sampled_from([0.2, 2.0, 30.0]))
def test_a_turn_is_the_same_alone_and_among_others(route: Route, radius_nm: float) -> None:
    ship = replace(zoo.SHIP, turn_radius_nm=radius_nm)
    for turn in lay_track(route, ship).turns:
        at = turn.waypoint_index
        first, *more = route.waypoints[at - 1 : at + 2]
        alone_route = replace(route, waypoints=(replace(first, leg=None), *more))
        (alone,) = lay_track(alone_route, ship).turns
        among = replace(turn, index=0, waypoint_index=1, fits=alone.fits, missing_m=alone.missing_m)
        assert among == alone


def test_a_turn_beside_a_pole_spoils_no_other() -> None:
    places = [(60.0, 0.0), (60.2, 0.0), (60.2, 0.5), (89.9, 0.5), (89.9, 90.0), (60.0, 90.0)]
    turns = lay_track(zoo.route([*places, (60.0, 91.0)]), zoo.SHIP).turns
    reasons = [
        turn.reason
        for turn in lay_track(
            zoo.route([*places, (60.0, 91.0)], radii_nm=[0.5, 0.5, 20.0, 20.0, 0.5]), zoo.SHIP
        ).turns
    ]
    assert [reason is None for reason in reasons] == [True, True, False, False, True]
    assert all("pole" in reason or "circle" in reason for reason in reasons if reason)
    assert turns[0].arc is not None


def test_the_work_does_not_grow_with_the_turns(monkeypatch: pytest.MonkeyPatch) -> None:
    calls = []
    real = rhumb.direct
    monkeypatch.setattr(rhumb, "direct", lambda *row: calls.append(1) or real(*row))
    counts = []
    for count in (3, 60):
        places = [(40.0 + 0.1 * (index // 2), 0.1 * ((index + 1) // 2)) for index in range(count)]
        calls.clear()
        track = lay_track(zoo.route(places), zoo.SHIP)
        assert all(turn.wheel_over_line is not None for turn in track.turns)
        counts.append(len(calls))
    assert counts[1] <= counts[0] + 6


@given(WANTED)
def test_legs_are_the_same_alone_and_among_others(wanted: list[Wanted]) -> None:
    together = leg_lines(wanted)
    assert together == [leg_line(*one) for one in wanted]
    legs = [leg for leg in together if leg is not None]
    if not legs:
        return
    shares = np.array([[0.0], [0.4], [1.0]])
    columns = in_columns(legs)
    found = points_along(columns, shares * columns.length_m)
    for number, leg in enumerate(legs):
        alone = points_along(leg, shares[:, 0] * leg.length_m)
        for one, many in zip(alone, found, strict=True):
            assert one.tolist() == many[:, number].tolist()


@given(st.lists(st.tuples(st.floats(-60, 60), st.floats(0, 360), st.floats(-9e3, 9e3)), min_size=2))
def test_a_foot_is_the_same_alone_and_among_others(rows: list[tuple[float, float, float]]) -> None:
    lat, course, off_m = (np.array(column) for column in zip(*rows, strict=True))
    ends = geodesic.direct(lat, 10.0, course, 15_000.0)
    starts = [Position(lat_deg=one, lon_deg=10.0) for one in lat.tolist()]
    goals = zip(ends[0].tolist(), ends[1].tolist(), strict=True)
    made = [
        leg_line("rhumb", start, Position(lat_deg=a, lon_deg=b))
        for start, (a, b) in zip(starts, goals, strict=True)
    ]
    legs = [leg for leg in made if leg is not None]
    place = geodesic.direct(lat, 10.0, course + 45.0, off_m)[:2]
    together = feet_on_leg(in_columns(legs), 0.0, 15_000.0, *place)
    for number, leg in enumerate(legs):
        alone = feet_on_leg(leg, 0.0, 15_000.0, place[0][number], place[1][number])
        assert alone.along_m[0] == together.along_m[number]
        assert alone.distance_m[0] == together.distance_m[number]


def test_rows_without_an_answer_say_why_and_the_others_answer() -> None:
    def roots(rows: Sequence[float]) -> list[float]:
        if min(rows) < 0.0:
            raise OutOfDomain(f"no root of {min(rows):g}")
        return [row**0.5 for row in rows]

    found = each_or_reason(roots, [4.0, -1.0, 9.0, 16.0, -2.0])
    assert [str(one) for one in found] == ["2.0", "no root of -1", "3.0", "4.0", "no root of -2"]
    assert each_or_reason(roots, []) == []


@pytest.mark.parametrize(
    ("lat_deg", "course_deg", "distance_m"),
    [
        (89.0, 0.0, 111_700.0),
        (-89.0, 180.0, 111_700.0),
        (-89.0, 0.0, 19_900_000.0),
        (0.0, 0.0, 30_000_000.0),
        (0.0, 180.0, 40_007_862.0),
        (10.0, 0.0, -41_000_000.0),
    ],
)
def test_a_line_of_constant_course_ends_at_the_pole(
    lat_deg: float, course_deg: float, distance_m: float
) -> None:
    with pytest.raises(OutOfDomain, match="pole"):
        rhumb.direct(lat_deg, 0.0, course_deg, distance_m)
    with pytest.raises(OutOfDomain, match="pole"):
        rhumb.direct([45.0, lat_deg], 0.0, [10.0, course_deg], [10.0, distance_m])


@given(st.floats(-89, 89), st.floats(-1.5e6, 1.5e6))
def test_north_along_the_meridian_adds_to_its_arc(lat_deg: float, north_m: float) -> None:
    before_m = float(rhumb.meridian_arc_m(lat_deg)[0])
    if abs(before_m + north_m) > 10_000_000.0:
        return
    there, _ = rhumb.direct(lat_deg, 5.0, 0.0, north_m)
    assert float(rhumb.meridian_arc_m(there)[0]) == pytest.approx(before_m + north_m, abs=2e-8)
