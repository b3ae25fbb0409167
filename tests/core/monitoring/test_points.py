"""Action points on the track, and where the plan can still be given up.

Sources: advance, tactical diameter and track reach as MSC.137(76) defines them; abort positions as
guidance on loss prevention asks for them. Distances are geodesics of PROJ.
"""

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests import zoo
from tests.core.monitoring.narrows import BEND, SHIP, beside, codes, planned
from wheelover.core.geo import geodesic
from wheelover.core.monitoring.stopping import stop_from
from wheelover.core.types.circumstances import Conditions
from wheelover.core.types.monitoring import PlacedPoint, Stop
from wheelover.core.types.plan import Plan
from wheelover.core.types.ship import StoppingTrial
from wheelover.core.types.watch import ActionPoint
from wheelover.core.units import NM_M


def only(plan: Plan) -> PlacedPoint:
    (one,) = plan.bridge.points
    return one


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


def test_a_notice_due_before_the_departure_is_a_finding() -> None:
    """16 NM at 12 kn are 80 min: of 90 min of notice 10 fall before the departure."""
    _, _, whole_m = geodesic.inverse(47.0, -30.0, 47.3, -30.0)
    before_nm = float(whole_m[0]) / NM_M - 16.0
    point = ActionPoint(
        id="p", kind="machinery", leg_to_id="W1", before_nm=before_nm, notice_min=90.0
    )
    plan = planned(point)
    assert only(plan).notice is None
    assert "before the departure" in (only(plan).time_reason or "")
    (finding,) = [one for one in plan.findings if one.code == "notice_before_departure"]
    assert (finding.grade, finding.about, finding.measured) == ("must_explain", "p", 10.0)
    in_time = planned(replace(point, notice_min=79.0))
    assert "notice_before_departure" not in codes(in_time)


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
