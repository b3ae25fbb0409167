"""Where the plan can still be given up: room to turn round, points of no return, abort points.

Sources: advance, tactical diameter and track reach as MSC.137(76) defines them; abort positions as
guidance on loss prevention asks for them. Distances are geodesics of PROJ.
"""

from dataclasses import replace

import numpy as np
import pytest

from tests import zoo
from tests.core.coasts import box, coast_with
from tests.core.monitoring.narrows import SHIP, TABLE, abort_of, beside, codes, planned, walls
from wheelover.core.geo import geodesic
from wheelover.core.monitoring.places import LEAST_STEP_M
from wheelover.core.monitoring.turn_round import turns_round
from wheelover.core.types.chart import Chart
from wheelover.core.types.monitoring import OnTrack
from wheelover.core.types.ship import StoppingTrial, TurnTableRow
from wheelover.core.types.watch import ActionPoint, PointKind
from wheelover.core.units import NM_M


def test_a_circle_of_one_side_is_said_to_be_taken_for_both() -> None:
    both = turns_round(SHIP, 12.0)
    assert not isinstance(both, str)
    starboard, port = both
    assert (starboard.ahead_m, starboard.aside_m) == (700.0, 780.0)
    assert any("taken for port" in one for one in port.notes)
    short = replace(TABLE, rows=TABLE.rows[:1], tactical_diameter_m=None)
    assert isinstance(turns_round(replace(SHIP, turn_tables=(short,)), 12.0), str)


BALLAST = replace(
    TABLE,
    speed_kn=16.0,
    rows=(
        TurnTableRow(heading_change_deg=90.0, advance_m=450.0, transfer_m=200.0),
        TurnTableRow(heading_change_deg=180.0, advance_m=250.0, transfer_m=500.0),
    ),
    tactical_diameter_m=500.0,
    loading="ballast",
    side=None,
)
LADEN = replace(TABLE, loading="laden", side=None)


@pytest.mark.parametrize(
    ("loading", "ahead_m", "aside_m"),
    [("laden", 700.0, 780.0), ("ballast", 450.0, 500.0), (None, 700.0, 780.0)],
)
def test_the_circle_of_her_loading_counts_else_the_widest(
    loading: str | None, ahead_m: float, aside_m: float
) -> None:
    """The faster trial in ballast is the tighter one: it says nothing of her laden."""
    ship = replace(SHIP, turn_tables=(LADEN, BALLAST), loading=loading)
    turns = turns_round(ship, 12.0)
    assert not isinstance(turns, str)
    assert {(one.ahead_m, one.aside_m) for one in turns} == {(ahead_m, aside_m)}
    told = any("known to be of her loading" in note for note in turns[0].notes)
    assert told == (loading is None)


def test_of_two_circles_with_one_rudder_the_greater_counts_each_way() -> None:
    wider = replace(LADEN, speed_kn=10.0, tactical_diameter_m=900.0)
    turns = turns_round(replace(SHIP, turn_tables=(wider, LADEN), loading="laden"), 12.0)
    assert not isinstance(turns, str)
    assert {(one.ahead_m, one.aside_m) for one in turns} == {(700.0, 900.0)}


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
