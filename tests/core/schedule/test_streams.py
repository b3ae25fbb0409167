"""Streams: what runs when, what is steered in it, and how times and streams settle each other."""

from dataclasses import replace

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from tests import zoo
from wheelover.core.errors import InvalidConditions
from wheelover.core.schedule.streams import stream_table
from wheelover.core.turns.compare import simulated_row
from wheelover.core.types.circumstances import NO_LIMITS, Conditions
from wheelover.core.types.plan import Plan
from wheelover.core.types.route import LegWishes, Route
from wheelover.core.types.ship import ShipProfile
from wheelover.core.types.stream import Stream, StreamAt, StreamHour
from wheelover.core.units import NM_M

HOUR_S = 3600.0
KN_M_PER_S = 1852.0 / 3600.0
START_S = 1_795_600_800.0
HIGH_S = START_S + 6.0 * HOUR_S
ROTATING = tuple(
    StreamHour(hour=hour, set_deg=(30.0 * hour) % 360.0, drift_kn=2.4, neap_drift_kn=1.2)
    for hour in range(-6, 7)
)


def _table(*rows: tuple[float, float, float], **more: object) -> Stream:
    made = tuple(
        StreamAt(at_s=START_S + hours * HOUR_S, set_deg=set_deg, drift_kn=drift_kn)
        for hours, set_deg, drift_kn in rows
    )
    return Stream(station="Zoo bank", rows=made, **more)  # type: ignore[arg-type]


def _plan(
    route: Route, *streams: Stream, ship: ShipProfile = zoo.SHIP, leaves_s: float | None = START_S
) -> Plan:
    conditions = Conditions(departure_s=leaves_s, streams=streams)
    return zoo.make_plan(route, ship, zoo.chart(), conditions, NO_LIMITS)


def _row(plan: Plan, leg: int) -> str | None:
    rows = [one for one in plan.checks if one.check == "leg_schedule"]
    return rows[leg].not_checked


def _kn(flow: tuple[float, float] | None) -> tuple[float, float]:
    assert flow is not None
    return flow[0] / KN_M_PER_S, flow[1] / KN_M_PER_S


def test_between_two_given_streams_it_turns_through_slack() -> None:
    table = stream_table(_table((0.0, 90.0, 2.0), (2.0, 270.0, 2.0)))
    assert _kn(table.flow_at(START_S)) == pytest.approx((2.0, 0.0), abs=1e-9)
    assert _kn(table.flow_at(START_S + HOUR_S)) == pytest.approx((0.0, 0.0), abs=1e-9)
    assert _kn(table.flow_at(START_S + 2.0 * HOUR_S)) == pytest.approx((-2.0, 0.0), abs=1e-9)
    for outside_h in (-0.001, 2.001):
        assert table.flow_at(START_S + outside_h * HOUR_S) is None


@pytest.mark.parametrize(("ratio", "drift_kn"), [(None, 2.4), (1.0, 2.4), (0.0, 1.2), (0.5, 1.8)])
def test_hours_about_high_water_with_springs_and_neaps(
    ratio: float | None, drift_kn: float
) -> None:
    stream = Stream(station="A", hours=ROTATING, high_waters_s=(HIGH_S,), range_ratio=ratio)
    table = stream_table(stream)
    east, north = _kn(table.flow_at(HIGH_S - 2.0 * HOUR_S))
    assert np.hypot(east, north) == pytest.approx(drift_kn)
    assert np.degrees(np.arctan2(east, north)) == pytest.approx(-60.0)
    # The stream of an hour stands for half an hour to either side at the ends of the table.
    assert _kn(table.flow_at(HIGH_S + 6.4 * HOUR_S)) == pytest.approx(
        _kn(table.flow_at(HIGH_S + 6.0 * HOUR_S))
    )
    assert table.flow_at(HIGH_S + 6.6 * HOUR_S) is None


def test_between_two_high_waters_the_nearer_counts_and_gaps_are_not_filled() -> None:
    later_s = HIGH_S + 12.4 * HOUR_S
    table = stream_table(Stream(station="A", hours=ROTATING, high_waters_s=(HIGH_S, later_s)))
    east, north = _kn(table.flow_at(later_s - 6.0 * HOUR_S))
    assert np.degrees(np.arctan2(east, north)) % 360.0 == pytest.approx(180.0)
    assert all(
        table.flow_at(HIGH_S + hour * HOUR_S) is not None for hour in np.linspace(-6.4, 18.8, 200)
    )
    short = stream_table(Stream(station="A", hours=ROTATING[4:9], high_waters_s=(HIGH_S, later_s)))
    assert short.flow_at(HIGH_S + 4.0 * HOUR_S) is None


def test_a_long_leg_is_run_through_the_stream_as_it_changes() -> None:
    """Held against the equation of motion, solved by scipy to 1e-9: 60 NM east at 12 kn."""
    route = zoo.route([(0.0, -30.0), (0.0, -29.0)])
    stream = _table((0.0, 350.0, 3.0), (2.0, 100.0, 2.5), (4.0, 200.0, 4.0), (8.0, 270.0, 1.0))
    plan = _plan(route, stream)
    (leg,) = plan.schedule.legs
    table = stream_table(stream)

    def speed(at_s: float, _: object) -> list[float]:
        flow = table.flow_at(START_S + float(np.clip(at_s, 0.0, 8.0 * HOUR_S)))
        assert flow is not None
        return [np.sqrt((12.0 * KN_M_PER_S) ** 2 - flow[1] ** 2) + flow[0]]

    def there(_: float, run: object) -> float:
        return float(run[0]) - plan.legs[0].length_m  # type: ignore[index]

    there.terminal = True  # type: ignore[attr-defined]
    solved = solve_ivp(
        speed, (0.0, 8.0 * HOUR_S), [0.0], events=there, rtol=1e-9, atol=1e-6, max_step=60.0
    )
    assert leg.end_s == pytest.approx(float(solved.t_events[0][0]), abs=1.0)
    # The mean stream of the leg gives the same time in one triangle.
    across = (leg.drift_kn or 0.0) * np.cos(np.radians(leg.set_deg or 0.0))
    along = (leg.drift_kn or 0.0) * np.sin(np.radians(leg.set_deg or 0.0))
    assert leg.over_ground_kn == pytest.approx(np.sqrt(144.0 - across**2) + along)
    assert (plan.legs[0].drift_kn, plan.legs[0].current_source) == (leg.drift_kn, "stream")
    assert len(leg.steps) >= 5
    assert {round(one.steer_deg) for one in leg.steps} != {90}


def test_a_turn_is_simulated_in_the_stream_that_runs_when_she_is_there() -> None:
    route = zoo.route([(47.0, -30.0), (47.2, -30.0), (47.2, -29.7)])
    ship = replace(zoo.SHIP, response=zoo.RESPONSE)
    stream = _table((0.0, 90.0, 0.5), (1.0, 90.0, 2.0), (2.0, 180.0, 2.0))
    early, late = (
        _plan(route, stream, ship=ship),
        _plan(route, stream, ship=ship, leaves_s=START_S - 0.0 + 0.5 * HOUR_S),
    )
    for plan in (early, late):
        turn, time = plan.turns[0], plan.schedule.wheel_overs[0]
        assert turn.current_source == "stream"
        flow = stream_table(stream).flow_at(
            (plan.schedule.departure_s or 0.0) + (time.arc_start_s or 0.0)
        )
        east, north = _kn(flow)
        assert turn.current_drift_kn == pytest.approx(np.hypot(east, north))
        assert turn.current_set_deg == pytest.approx(np.degrees(np.arctan2(east, north)) % 360.0)
    runs = [simulated_row(plan.turns[0].wheel_overs) for plan in (early, late)]
    assert runs[0] is not None
    assert runs[1] is not None
    assert abs(runs[0].distance_m - runs[1].distance_m) > 5.0


def test_a_legs_own_current_goes_before_a_table_and_a_table_before_the_plans() -> None:
    route = zoo.route([(47.0, -30.0), (47.2, -30.0), (47.4, -30.0), (47.6, -30.0)])
    one, two, *rest = route.waypoints
    own = replace(two, leg=LegWishes(set_deg=0.0, drift_kn=1.0))
    route = replace(route, waypoints=(one, own, *rest))
    stream = _table((0.0, 0.0, 2.0), (9.0, 0.0, 2.0), to_id="W2")
    conditions = Conditions(set_deg=0.0, drift_kn=3.0, departure_s=START_S, streams=(stream,))
    plan = zoo.make_plan(route, zoo.SHIP, zoo.chart(), conditions, NO_LIMITS)
    assert [one.current_source for one in plan.schedule.legs] == ["leg", "stream", "plan"]
    assert [one.over_ground_kn for one in plan.schedule.legs] == pytest.approx([13.0, 14.0, 15.0])


def test_outside_its_table_a_stream_is_not_checked_and_never_silently_still() -> None:
    route = zoo.route([(47.0, -30.0), (47.2, -30.0), (47.2, -29.5)])
    stream = _table((0.0, 0.0, 2.0), (0.5, 0.0, 2.0))
    plan = _plan(route, stream)
    assert "does not cover" in (_row(plan, 0) or "")
    assert "does not cover" in (_row(plan, 1) or "")
    assert plan.schedule.legs[0].covered is False
    assert (plan.legs[1].drift_kn, plan.legs[1].current_source) == (None, None)
    current = next(one for one in plan.checks if one.check == "turn_current")
    assert "Zoo bank" in (current.not_checked or "")
    undated = _plan(route, stream, leaves_s=None)
    assert "does not cover" in (_row(undated, 0) or "")
    assert "no departure_utc" in (_row(undated, 0) or "")


def test_a_stream_that_cannot_be_stemmed_is_found_on_its_leg() -> None:
    route = zoo.route([(47.0, -30.0), (47.2, -30.0), (47.2, -29.5)])
    slow = replace(zoo.SHIP, speed_kn=3.0)
    plan = _plan(route, _table((0.0, 90.0, 1.0), (2.0, 90.0, 4.0), (99.0, 90.0, 4.0)), ship=slow)
    (found,) = [one for one in plan.findings if one.code == "stream_not_stemmed"]
    assert (found.grade, found.subject.id) == ("must_resolve", "W1")
    assert "cannot be made good" in found.message
    assert [one.eta_s for one in plan.schedule.rows] == [0.0, None, None]
    assert plan.schedule.legs[1].reason == plan.schedule.legs[0].reason


def test_an_eta_through_changing_streams_is_made() -> None:
    route = zoo.route([(47.0, -30.0), (47.6, -30.0), (47.6, -29.0)])
    *first, last = route.waypoints
    route = replace(route, waypoints=(*first, replace(last, eta_s=START_S + 9.0 * HOUR_S)))
    stream = Stream(
        station="A", hours=ROTATING, high_waters_s=(HIGH_S, HIGH_S + 12.4 * HOUR_S), range_ratio=0.8
    )
    plan = _plan(route, stream)
    assert plan.schedule.rows[-1].eta_s == pytest.approx(9.0 * HOUR_S, abs=0.01)
    assert {one.speed_source for one in plan.schedule.legs} == {"eta"}
    back = zoo.make_plan(route, zoo.SHIP, zoo.chart(), Conditions(streams=(stream,)), NO_LIMITS)
    assert back.schedule.departure_source == "computed"
    assert (back.schedule.departure_s or 0.0) + (
        back.schedule.rows[-1].eta_s or 0.0
    ) == pytest.approx(START_S + 9.0 * HOUR_S, abs=0.1)


def test_rates_of_springs_are_a_default_that_is_counted() -> None:
    route = zoo.route([(47.0, -30.0), (47.2, -30.0)])
    stream = Stream(station="A", hours=ROTATING, high_waters_s=(HIGH_S,))
    rows = {one.input: one for one in _plan(route, stream).basis}
    assert rows["rates of tidal streams"].source == "default"
    known = _plan(route, replace(stream, range_ratio=0.4)).basis
    assert "rates of tidal streams" not in {one.input for one in known}


@pytest.mark.parametrize(
    ("members", "pointer"),
    [
        ({}, "/rows"),
        ({"rows": (StreamAt(at_s=0.0, set_deg=0.0, drift_kn=1.0),)}, "/rows"),
        ({"hours": ROTATING}, "/high_waters_utc"),
        ({"high_waters_s": (0.0,)}, "/hours"),
        ({"hours": ROTATING, "high_waters_s": (5.0, 5.0)}, "/high_waters_utc/1"),
        ({"hours": (ROTATING[0], ROTATING[2]), "high_waters_s": (5.0,)}, "/hours/1/hour"),
        (
            {"hours": (replace(ROTATING[0], neap_drift_kn=None), ROTATING[1]),
             "high_waters_s": (5.0,)},
            "/hours/0/neap_drift_kn",
        ),
        (
            {"hours": (replace(ROTATING[0], neap_drift_kn=None),), "high_waters_s": (5.0,),
             "range_ratio": 0.5},
            "/range_ratio",
        ),
    ],
)  # fmt: skip
def test_what_no_stream_can_be_read_from_is_refused(
    members: dict[str, object], pointer: str
) -> None:
    with pytest.raises(InvalidConditions) as refused:
        Stream(station="A", **members)  # type: ignore[arg-type]
    assert refused.value.faults[0].pointer == pointer


def test_no_length_of_step_hides_the_stream_from_a_short_leg() -> None:
    route = zoo.route([(47.0, -30.0), (47.01, -30.0)])
    plan = _plan(route, _table((0.0, 0.0, 2.0), (9.0, 0.0, 2.0)))
    assert plan.schedule.legs[0].over_ground_kn == pytest.approx(14.0)
    assert plan.schedule.rows[-1].eta_s == pytest.approx(
        (plan.track_m or 0.0) / NM_M / 14.0 * HOUR_S
    )
