"""Action points on the track, and where the plan can still be given up.

Sources: advance, tactical diameter and track reach as MSC.137(76) defines them; abort positions as
guidance on loss prevention asks for them. Distances are geodesics of PROJ.
"""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests import zoo
from tests.core.coasts import box, coast_with
from wheelover.core.geo import geodesic
from wheelover.core.monitoring.room import LEAST_STEP_M
from wheelover.core.monitoring.stopping import stop_from
from wheelover.core.monitoring.turn_round import turns_round
from wheelover.core.planning import make_plan
from wheelover.core.types.bridge import Bridge
from wheelover.core.types.chart import Chart
from wheelover.core.types.circumstances import Conditions, Limits
from wheelover.core.types.monitoring import LegAbort, OnTrack, PlacedPoint, Stop
from wheelover.core.types.plan import Plan
from wheelover.core.types.route import LegWishes
from wheelover.core.types.ship import ShipProfile, StoppingTrial, TurnTable, TurnTableRow
from wheelover.core.types.watch import ActionPoint, LegMonitoring, PointKind
from wheelover.core.units import NM_M

NORTH = [(47.0, -30.0), (47.3, -30.0)]
BEND = [(47.0, -30.0), (47.3, -30.0), (47.3, -29.5)]
TABLE = TurnTable(
    rudder_deg=35.0,
    speed_kn=15.0,
    rows=(
        TurnTableRow(heading_change_deg=90.0, advance_m=700.0, transfer_m=300.0),
        TurnTableRow(heading_change_deg=180.0, advance_m=350.0, transfer_m=780.0),
    ),
    tactical_diameter_m=780.0,
    side="starboard",
)
TRIALS = (
    StoppingTrial(speed_kn=8.0, track_reach_m=900.0, time_s=300.0, engine_order="half ahead"),
    StoppingTrial(speed_kn=14.0, track_reach_m=2400.0, time_s=540.0, engine_order="full ahead"),
)
SHIP = replace(zoo.SHIP, stopping=TRIALS, turn_tables=(TABLE,))
PILOTAGE = LegMonitoring(stage="pilotage")


def planned(
    *points: ActionPoint,
    ship: ShipProfile = SHIP,
    chart: Chart = zoo.NO_CHART,
    places: list[tuple[float, float]] = NORTH,
    conditions: Conditions | None = None,
    speed_kn: float = 12.0,
) -> Plan:
    leg = LegWishes(line="rhumb", monitoring=PILOTAGE, speed_kn=speed_kn)
    return make_plan(
        zoo.route(places, leg=leg), ship, chart, conditions or Conditions(), Limits(),
        Bridge(points=points),
    )  # fmt: skip


def beside(along_m: float, aside_m: float) -> tuple[float, float]:
    """Return a place beside the leg north: so far along it, and to starboard of it."""
    lat, lon, _ = geodesic.direct(47.0, -30.0, 0.0, along_m)
    lat, lon, _ = geodesic.direct(float(lat[0]), float(lon[0]), 90.0, aside_m)
    return float(lat[0]), float(lon[0])


def walls(from_m: float, aside_m: float, to_m: float = 30_000.0) -> Chart:
    """Return rows of points on both sides from a place on: a channel without room to turn."""
    return zoo.chart(
        *(beside(along, side) for along in np.arange(from_m, to_m, 100.0)
          for side in (-aside_m, aside_m))
    )  # fmt: skip


def only(plan: Plan) -> PlacedPoint:
    (one,) = plan.bridge.points
    return one


def abort_of(plan: Plan) -> LegAbort:
    return plan.bridge.aborts[0]


def codes(plan: Plan) -> set[str]:
    return {one.code for one in plan.findings}


def test_a_point_stands_its_distance_before_the_waypoint() -> None:
    one = only(planned(ActionPoint(id="p", kind="pilot", leg_to_id="W1", before_nm=5.0)))
    assert one.place is not None
    _, _, off_m = geodesic.inverse(
        47.3, -30.0, one.place.position.lat_deg, one.place.position.lon_deg
    )
    assert float(off_m[0]) == pytest.approx(5.0 * NM_M, abs=1e-3)


def test_notice_falls_so_many_minutes_before_at_her_speed_over_the_ground() -> None:
    """12 kn with 2 kn of fair stream: 15 min of notice are 3.5 NM."""
    one = only(
        planned(
            ActionPoint(id="p", kind="machinery", leg_to_id="W1", before_nm=2.0, notice_min=15.0),
            conditions=Conditions(set_deg=0.0, drift_kn=2.0),
        )
    )
    assert one.place is not None
    assert one.notice is not None
    assert one.notice.before_m == pytest.approx(5.5 * NM_M, rel=1e-6)
    assert one.notice_at_s == pytest.approx((one.place.at_s or 0.0) - 900.0)


def test_a_point_of_its_own_place_is_held_against_the_nearest_leg() -> None:
    lat, lon = beside(12_000.0, -1500.0)
    one = only(planned(ActionPoint(id="p", kind="report", lat_deg=lat, lon_deg=lon)))
    assert one.place is not None
    assert one.off_track_m == pytest.approx(-1500.0, abs=0.5)
    assert one.place.along_m == pytest.approx(12_000.0, abs=1.0)


@pytest.mark.parametrize(
    ("point", "words"),
    [
        (ActionPoint(id="p", kind="ukc", leg_to_id="W9", before_nm=1.0), "no leg of this route"),
        (ActionPoint(id="p", kind="ukc", leg_to_id="W1", before_nm=99.0), "name the leg"),
    ],
)
def test_a_point_that_stands_nowhere_must_be_resolved(point: ActionPoint, words: str) -> None:
    plan = planned(point)
    assert only(plan).place is None
    (finding,) = [one for one in plan.findings if one.code == "point_nowhere"]
    assert (finding.grade, finding.about) == ("must_resolve", "p")
    assert words in finding.message


def test_the_slowest_trial_as_fast_as_the_leg_is_taken_and_not_shortened() -> None:
    leg = planned(speed_kn=9.0).legs[0]
    stop = stop_from(SHIP, leg)
    assert isinstance(stop, Stop)
    assert (stop.trial_speed_kn, stop.run_m, stop.extrapolated) == (14.0, 2400.0, False)
    assert any("not shortened" in one for one in stop.notes)


def test_beyond_her_trials_the_run_grows_with_the_square_and_that_is_said() -> None:
    """Common practice of the trade: 2400 m at 14 kn are 3134.7 m at 16 kn."""
    plan = planned(speed_kn=16.0)
    stop = stop_from(SHIP, plan.legs[0])
    assert isinstance(stop, Stop)
    assert stop.extrapolated
    assert stop.run_m == pytest.approx(2400.0 * (16.0 / 14.0) ** 2)
    assert "stopping_extrapolated" in codes(plan)


def test_a_fair_stream_adds_its_drift_times_the_time_of_the_trial() -> None:
    fair = planned(speed_kn=14.0, conditions=Conditions(set_deg=0.0, drift_kn=2.0))
    foul = planned(speed_kn=14.0, conditions=Conditions(set_deg=180.0, drift_kn=2.0))
    one, other = stop_from(SHIP, fair.legs[0]), stop_from(SHIP, foul.legs[0])
    assert isinstance(one, Stop)
    assert isinstance(other, Stop)
    assert one.run_m == pytest.approx(2400.0 + 540.0 * 2.0 * NM_M / 3600.0)
    assert other.run_m == pytest.approx(2400.0)


def test_without_papers_it_is_asked_for() -> None:
    plan = planned(ship=zoo.SHIP, chart=zoo.chart((47.15, -29.9)))
    row = next(one for one in plan.checks if one.check == "leg_abort")
    assert row.result == "not_checked"
    assert "stopping trials are not given" in (row.reason or "")
    assert "turning circle" in (row.reason or "")


def test_a_circle_of_one_side_is_said_to_be_taken_for_both() -> None:
    both = turns_round(SHIP, 12.0)
    assert not isinstance(both, str)
    starboard, port = both
    assert (starboard.ahead_m, starboard.aside_m) == (700.0, 780.0)
    assert any("taken for port" in one for one in port.notes)
    short = replace(TABLE, rows=TABLE.rows[:1], tactical_diameter_m=None)
    assert isinstance(turns_round(replace(SHIP, turn_tables=(short,)), 12.0), str)


def test_the_point_of_no_return_is_where_the_room_ends_and_the_abort_a_stop_before() -> None:
    """A channel 600 m wide from 20 km on: half a length and her advance reach 800 m ahead."""
    one = abort_of(planned(chart=walls(20_000.0, 300.0), speed_kn=14.0))
    assert one.no_return is not None
    assert one.abort is not None
    assert one.no_return.along_m == pytest.approx(20_000.0 - 800.0, abs=one.step_m or 0.0)
    assert one.no_return.along_m <= 20_000.0 - 800.0
    gone_m = (one.no_return.track_m or 0.0) - (one.abort.track_m or 0.0)
    assert gone_m == pytest.approx(2400.0, abs=1e-6)


def test_places_looked_at_are_half_a_cable_apart_at_most_on_a_short_leg() -> None:
    plan = planned(chart=zoo.chart((47.15, -29.9)), places=[(47.0, -30.0), (47.05, -30.0)])
    assert (abort_of(plan).step_m or 0.0) <= LEAST_STEP_M


def test_where_she_can_turn_everywhere_there_is_no_point_of_no_return() -> None:
    one = abort_of(planned(chart=zoo.chart((47.15, -29.5))))
    assert one.no_return is None
    assert len(one.room) == 1
    assert "no_return_not_given" not in codes(planned(chart=zoo.chart((47.15, -29.5))))


def test_a_leg_without_room_anywhere_says_so() -> None:
    plan = planned(chart=walls(-2000.0, 250.0, 40_000.0))
    assert abort_of(plan).room == ()
    assert "no_room_to_turn_round" in codes(plan)


def test_the_side_with_room_is_named() -> None:
    wall = zoo.chart(*(beside(along, 350.0) for along in np.arange(-2000.0, 40_000.0, 100.0)))
    one = abort_of(planned(chart=wall))
    assert {stretch.side for stretch in one.room} == {"port"}


def test_an_area_that_holds_the_box_leaves_no_room() -> None:
    ring = [[-30.2, 46.9], [-29.8, 46.9], [-29.8, 47.4], [-30.2, 47.4], [-30.2, 46.9]]
    chart = Chart(loaded=True, hazards=zoo.dangers([("Polygon", [ring])]))
    assert abort_of(planned(chart=chart)).room == ()


def test_given_and_computed_points_are_compared() -> None:
    chart = walls(20_000.0, 300.0)
    missing = planned(chart=chart, speed_kn=14.0)
    assert {"abort_not_given", "no_return_not_given"} <= codes(missing)
    computed = abort_of(missing)
    assert computed.abort is not None
    assert computed.no_return is not None

    def points(late_nm: float) -> list[ActionPoint]:
        kinds: tuple[tuple[PointKind, OnTrack | None], ...] = (
            ("abort", computed.abort), ("no_return", computed.no_return)
        )  # fmt: skip
        return [
            ActionPoint(id=kind, kind=kind, leg_to_id="W1",
                        before_nm=place.before_m / NM_M - late_nm)
            for kind, place in kinds
            if place is not None
        ]  # fmt: skip

    early = codes(planned(*points(-0.2), chart=chart, speed_kn=14.0))
    assert not early & {"abort_late", "no_return_late", "abort_not_given", "no_return_not_given"}
    late = codes(planned(*points(0.2), chart=chart, speed_kn=14.0))
    assert {"abort_late", "no_return_late"} <= late


def test_back_from_a_leg_the_abort_point_comes_to_lie_on_the_leg_before() -> None:
    legs = [(47.0, -30.0), (47.2, -30.0), (47.3, -29.98)]
    lat, lon, _ = geodesic.direct(47.2, -30.0, 7.8, 4000.0)
    rows = []
    for along in np.arange(0.0, 8000.0, 100.0):
        at_lat, at_lon, _ = geodesic.direct(float(lat[0]), float(lon[0]), 7.8, along)
        for side in (97.8, 277.8):
            a, b, _ = geodesic.direct(float(at_lat[0]), float(at_lon[0]), side, 300.0)
            rows.append((float(a[0]), float(b[0])))
    ship = replace(SHIP, stopping=(StoppingTrial(speed_kn=14.0, track_reach_m=5000.0),))
    plan = planned(chart=zoo.chart(*rows), places=legs, ship=ship)
    one = plan.bridge.aborts[1]
    assert one.no_return is not None
    assert one.abort is not None
    assert (one.no_return.leg_to_id, one.abort.leg_to_id) == ("W2", "W1")
    assert any("leg to W1" in note for note in one.notes)


def pairs_beside(*spans_m: tuple[float, float]) -> Chart:
    """Return a channel 600 m wide between places along the leg north, given in metres."""
    return zoo.chart(
        *(beside(along, side) for low, high in spans_m for along in np.arange(low, high, 100.0)
          for side in (-300.0, 300.0))
    )  # fmt: skip


def test_a_leg_that_begins_without_room_is_committed_before_it() -> None:
    """Two legs north in one line, the second from 11.1 km on: the channel from 10 to 14 km.

    By hand: half a length and her advance, 800 m, before the channel there is room no more.
    """
    places = [(47.0, -30.0), (47.1, -30.0), (47.3, -30.0)]
    plan = planned(chart=pairs_beside((10_000.0, 14_000.0)), places=places, speed_kn=14.0)
    first, second = plan.bridge.aborts
    assert not first.committed_before
    assert second.committed_before
    assert second.room
    assert second.no_return is not None
    assert second.no_return.leg_to_id == "W1"
    assert second.no_return.track_m == pytest.approx(10_000.0 - 800.0, abs=first.step_m or 0.0)
    assert second.abort is not None
    assert (second.no_return.track_m or 0.0) - (second.abort.track_m or 0.0) == pytest.approx(
        2400.0, abs=1e-6
    )
    told = {one.code for one in plan.findings if one.subject.id == plan.legs[1].to_id}
    assert {"committed_before_leg", "no_return_not_given", "abort_not_given"} <= told


def test_the_room_between_two_narrows_does_not_hide_the_first() -> None:
    """She begins in a channel, has room behind it, and comes to a second one."""
    plan = planned(chart=pairs_beside((-2000.0, 3000.0), (20_000.0, 30_000.0)))
    one = abort_of(plan)
    assert one.room
    assert one.committed_before
    assert one.no_return is None
    (finding,) = [each for each in plan.findings if each.code == "committed_before_leg"]
    assert (finding.grade, "nowhere looked at before" in finding.message) == ("must_explain", True)
    assert any("room again from" in note for note in one.notes)


def test_a_stop_that_reaches_back_before_the_start_is_a_finding() -> None:
    """2400 m of run, and the room ends 1200 m after the start."""
    plan = planned(chart=walls(2000.0, 300.0), speed_kn=14.0)
    one = abort_of(plan)
    assert one.no_return is not None
    assert one.abort is None
    (finding,) = [each for each in plan.findings if each.code == "abort_before_start"]
    assert finding.grade == "must_explain"
    assert "beyond the start of the track" in finding.message
    assert "abort_before_start" not in codes(planned(chart=walls(20_000.0, 300.0), speed_kn=14.0))


def test_the_open_coastline_leaves_no_room() -> None:
    """Shores 300 m to either side from 20 km on, no danger near; by hand as the channel above."""
    _, west = beside(20_000.0, -300.0)
    south, east = beside(20_000.0, 300.0)
    coast = coast_with(box(west - 0.5, south, west, 47.5), box(east, south, east + 0.5, 47.5))
    far = zoo.chart((10.0, 10.0))
    one = abort_of(planned(chart=replace(far, coast=coast), speed_kn=14.0))
    assert one.no_return is not None
    assert one.no_return.along_m <= 20_000.0 - 800.0 + 1.0
    assert one.no_return.along_m == pytest.approx(20_000.0 - 800.0, abs=one.step_m or 0.0)
    assert abort_of(planned(chart=far, speed_kn=14.0)).no_return is None


def test_on_land_of_the_coastline_there_is_no_room() -> None:
    """Inland, farther from every shore than her turn reaches."""
    coast = coast_with(box(-30.1, 47.1, -29.9, 47.5))
    one = abort_of(planned(chart=replace(zoo.chart((10.0, 10.0)), coast=coast)))
    _, _, shore_m = geodesic.inverse(47.0, -30.0, 47.1, -30.0)
    (stretch,) = one.room
    assert stretch.to_m <= float(shore_m[0]) - 800.0 + 10.0


def test_of_two_abort_points_on_a_leg_the_latest_is_compared() -> None:
    chart = walls(20_000.0, 300.0)
    abort = abort_of(planned(chart=chart, speed_kn=14.0)).abort
    assert abort is not None
    early, late = (
        ActionPoint(id=name, kind="abort", leg_to_id="W1", before_nm=abort.before_m / NM_M + nm)
        for name, nm in (("early", 1.0), ("late", -1.0))
    )
    plan = planned(early, late, chart=chart, speed_kn=14.0)
    (finding,) = [one for one in plan.findings if one.code == "abort_late"]
    assert finding.about == "late"


@settings(max_examples=30)
@given(share=st.floats(0.01, 0.99))
def test_back_along_the_track_and_forward_agree(share: float) -> None:
    """The place so far back is as far before, by the track's own length."""
    from wheelover.core.monitoring.along import Way  # noqa: PLC0415
    from wheelover.core.times.pieces import piece_times  # noqa: PLC0415
    from wheelover.core.track import lay_track  # noqa: PLC0415

    route = zoo.route(BEND)
    track = lay_track(route, zoo.SHIP)
    way = Way(track, piece_times(track, route, zoo.SHIP, Conditions()))
    end = way.on_leg(track.legs[1], track.legs[1].track_to_m)
    assert track.length_m is not None
    assert end.track_m == pytest.approx(track.length_m)
    back = way.back_from(end, share * track.length_m)
    assert back is not None
    assert back.track_m == pytest.approx((1.0 - share) * track.length_m, abs=1e-6)
    assert back.at_s is not None
    again = way.at_time(back.at_s)
    assert again is not None
    assert again.track_m == pytest.approx(back.track_m, abs=1e-3)
    assert way.back_from(end, track.length_m + 10.0) is None


def test_a_stop_longer_than_the_standard_allows_is_asked_about() -> None:
    """MSC.137(76) 5.3.4: 15 lengths, 20 where the Administration allows; a ship of 200 m."""
    long = replace(SHIP, stopping=(StoppingTrial(speed_kn=15.0, track_reach_m=3001.0),))
    assert "stopping_over_limit" in codes(planned(ship=long))
    allowed = replace(SHIP, stopping=(StoppingTrial(speed_kn=15.0, track_reach_m=3000.0),))
    assert "stopping_over_limit" not in codes(planned(ship=allowed))
