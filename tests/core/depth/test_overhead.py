"""Clearance over the mast: worst the other way, and never helped by squat or heel."""

from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests import zoo as common
from tests.core.depth import passages as zoo
from wheelover.core.types.chart import Chart, Overhead
from wheelover.core.types.circumstances import Limits
from wheelover.core.types.depth import OverheadSum
from wheelover.core.types.plan import Plan
from wheelover.core.types.ship import DraughtChange

ACROSS = [("LineString", [[-30.05, 47.1], [-29.95, 47.1]])]
"""A line across the first leg."""


def crossing(kind: str = "bridge", **known: Any) -> Chart:
    """Return a chart with one object across the first leg."""
    hazards = common.dangers(ACROSS)
    overheads = (Overhead(hazard=0, **known),) if known else ()
    return Chart(loaded=True, hazards=replace(hazards, kinds=(kind,), overheads=overheads))


def under(chart: Chart, **more: Any) -> Plan:
    """Return a plan that leads beneath it."""
    conditions = replace(zoo.CALM, tide_m=2.0)
    return zoo.plan(
        zoo.depth(30.0),
        **{
            "a_chart": chart,
            "conditions": conditions,
            "limits": Limits(min_overhead_m=1.0),
            **more,
        },
    )


def one(made: Plan) -> OverheadSum:
    (found,) = made.depths.overheads
    return found


BRIDGE: dict[str, Any] = {"height_m": 40.0, "datum": "mean high water springs", "datum_m": 4.2}


def test_the_sum_by_hand() -> None:
    """40 m over a level 4.2 m above chart datum, a tide of 2 m, a mast of 34 m."""
    found = one(under(crossing(**BRIDGE)))
    values = {name: term.value_m for name, term in zoo.terms(found).items()}
    assert values == {
        "clearance_height": 40.0, "datum": 4.2, "tide": -2.0, "air_draught": -34.0,
        "draught_rise": 0.0, "waves": 0.0,
    }  # fmt: skip
    assert found.clearance_m == pytest.approx(8.2)
    assert (found.required_m, found.met) == (1.0, True)
    assert found.piece.kind == "leg"


def test_squat_and_heel_are_never_credited() -> None:
    fast = under(crossing(**BRIDGE), ship=replace(zoo.TANKER, speed_kn=18.0))
    windy = under(crossing(**BRIDGE), conditions=replace(zoo.CALM, tide_m=2.0, wind_kn=60.0))
    assert (
        one(fast).clearance_m
        == one(windy).clearance_m
        == one(under(crossing(**BRIDGE))).clearance_m
    )
    assert {"squat", "turn_heel", "wind_heel"}.isdisjoint(zoo.terms(one(fast)))


def test_without_the_level_it_counts_from_nothing_is_known() -> None:
    found = one(under(crossing(height_m=40.0, datum="mean high water springs")))
    assert found.clearance_m is None
    assert found.met is None
    assert "how far that is above chart datum is not given" in found.left_out[0]
    of_plan = replace(zoo.CALM, tide_m=2.0, height_datum_m=4.2)
    assert one(under(crossing(height_m=40.0), conditions=of_plan)).clearance_m == pytest.approx(8.2)


def test_what_is_not_given_leaves_it_open() -> None:
    for made, word in (
        (under(crossing()), "clearance under the object not known"),
        (under(crossing(**BRIDGE), conditions=zoo.CALM), "height of tide not known"),
        (
            under(crossing(**BRIDGE), ship=replace(zoo.TANKER, air_draught_m=None)),
            "air draught not known",
        ),
        (
            under(crossing(**BRIDGE), conditions=replace(zoo.CALM, tide_m=2.0, wave_height_m=None)),
            "wave allowance not known",
        ),
    ):
        assert any(word in said for said in one(made).left_out), word
        assert one(made).met is None
        assert word in (zoo.result(made, "leg_overhead").reason or "")
        assert zoo.result(made, "leg_overhead").result == "not_checked"


def test_a_cable_keeps_its_electrical_distance() -> None:
    silent = one(under(crossing("overhead cable", **BRIDGE)))
    assert silent.met is None
    assert "electrical distance not known" in silent.left_out[0]
    limits = Limits(min_overhead_m=1.0, electrical_distance_m=5.0)
    kept = one(under(crossing("overhead cable", **BRIDGE), limits=limits))
    assert kept.clearance_m == pytest.approx(3.2)
    off = one(under(crossing("overhead cable", electrical_off=True, **BRIDGE), limits=limits))
    assert off.clearance_m == pytest.approx(8.2)
    # What is only said to cross above may be a cable.
    assert "electrical distance not known" in one(under(crossing("overhead", **BRIDGE))).left_out[0]


def test_too_low_is_found_and_touching_can_not_be_waived() -> None:
    low = under(crossing(**{**BRIDGE, "height_m": 32.0}))
    (finding,) = [row for row in low.findings if row.code.startswith("overhead_")]
    assert (finding.code, finding.grade) == ("overhead_not_met", "must_resolve")
    assert finding.measured == pytest.approx(0.2)
    assert finding.about == "h0"
    strikes = under(crossing(**{**BRIDGE, "height_m": 31.0}))
    (finding,) = [row for row in strikes.findings if row.code.startswith("overhead_")]
    assert finding.code == "overhead_strikes"
    assert not finding.waivable
    # Also where only swell and electrical distance, which take off, are not known.
    swell = replace(zoo.CALM, tide_m=2.0, wave_height_m=None)
    assert one(under(crossing(**{**BRIDGE, "height_m": 31.0}), conditions=swell)).met is False


def test_the_lightest_draught_raises_the_mast_and_a_deeper_one_does_not_lower_it() -> None:
    def rise(**draughts: float) -> float | None:
        change = DraughtChange(from_id="W0", reason="cargo", **draughts)
        ship = replace(zoo.TANKER, draughts=(change,))
        return zoo.terms(one(under(crossing(**BRIDGE), ship=ship)))["draught_rise"].value_m

    # From 11.8 and 12.0: the end that rises most.
    assert rise(draught_fore_m=7.0, draught_aft_m=9.5) == pytest.approx(-4.8)
    assert rise(draught_fore_m=12.5, draught_aft_m=12.5) == 0.0
    # Denser water lifts her: 25 kg/m3 are her whole fresh-water allowance of 0.28 m.
    assert rise(water_density_kg_per_m3=1050.0) == pytest.approx(-0.29)


def test_the_highest_tide_of_the_time_counts_over_the_mast_and_the_least_under_the_keel() -> None:
    table = zoo.tide((-3.0, 0.5), (3.0, 4.5))
    made = under(crossing(**BRIDGE), conditions=replace(zoo.CALM, tides=(table,)))
    over, keel = zoo.terms(one(made))["tide"].value_m, zoo.terms(zoo.leg_sum(made))["tide"].value_m
    assert keel is not None
    assert over is not None
    # She is on the leg for about 1.2 h from the departure, at half tide and rising.
    assert keel == 2.5
    assert -over > keel + 0.5
    early = under(
        crossing(**BRIDGE),
        conditions=replace(zoo.CALM, tides=(replace(table, margin_s=3600.0),)),
    )
    assert (zoo.terms(one(early))["tide"].value_m or 0.0) < over


def test_beneath_an_object_of_known_height_the_track_may_lead() -> None:
    limits = Limits(min_overhead_m=1.0, min_clearance_m=200.0)
    known = under(crossing(**BRIDGE), limits=limits)
    assert not [one for one in known.findings if one.code == "clearance_not_met"]
    # Of one whose height nobody gives it is not known that she fits beneath.
    unknown = under(crossing(), limits=limits)
    assert [one.about for one in unknown.findings if one.code == "clearance_not_met"] == ["h0"]


def test_a_track_beside_it_leads_beneath_nothing() -> None:
    aside = replace(crossing(**BRIDGE), hazards=replace(
        common.dangers([("LineString", [[-31.0, 47.1], [-30.9, 47.1]])]), kinds=("bridge",)
    ))  # fmt: skip
    assert under(aside).depths.overheads == ()


@settings(max_examples=30, deadline=None)
@given(st.floats(10.0, 60.0), st.floats(-2.0, 8.0), st.floats(5.0, 50.0), st.floats(0.0, 4.0))
def test_terms_are_rounded_cautiously_and_add_up(
    height_m: float, tide_m: float, mast_m: float, wave_m: float
) -> None:
    found = one(
        under(
            crossing(**{**BRIDGE, "height_m": height_m}),
            conditions=replace(zoo.CALM, tide_m=tide_m, wave_height_m=wave_m),
            ship=replace(zoo.TANKER, air_draught_m=mast_m),
        )
    )
    values = [term.value_m for term in found.terms if term.value_m is not None]
    assert round((found.clearance_m or 0.0) * 100) == sum(round(value * 100) for value in values)
    exact_m = height_m + 4.2 - tide_m - mast_m - 1.858 * wave_m / 2.0
    assert (found.clearance_m or 0.0) <= exact_m + 0.001
    assert (found.clearance_m or 0.0) > exact_m - 0.06


def test_without_a_ship_nothing_passed_beneath_is_met() -> None:
    made = under(crossing(**BRIDGE), ship=None)
    found = zoo.result(made, "leg_overhead")
    assert found.result == "not_checked"
    assert "no ship is given" in (found.reason or "")
    assert zoo.result(made, "turn_overhead").result == "not_checked"


def test_a_turn_that_does_not_fit_and_a_leg_without_room_are_not_checked() -> None:
    """Turns of half a mile on legs of a few cables: no track is there to be judged."""
    leg = zoo.depth(30.0)
    plain = common.route([(47.0, -30.0), (47.1, -30.0), (47.1, -29.998), (47.2, -29.998)], leg=leg)
    made = common.plan(
        plain,
        ship=zoo.TANKER,
        a_chart=crossing(**BRIDGE),
        conditions=replace(zoo.CALM, tide_m=2.0),
        limits=replace(zoo.ASKED, min_overhead_m=1.0),
    )
    assert not made.turns[0].fits
    assert not made.legs[1].room
    for check, index, word in (
        ("turn_depth", 0, "does not fit"),
        ("turn_overhead", 0, "does not fit"),
        ("leg_depth", 1, "overlap"),
        ("leg_overhead", 1, "overlap"),
    ):
        row = zoo.result(made, check, index)
        assert row.result == "not_checked", check
        assert word in (row.reason or ""), check


def test_a_bridge_of_known_height_beside_the_track_is_held_against_its_limit() -> None:
    """It ends some 760 m from the track: no sum is made of it, so its distance is judged."""
    beside = common.dangers([("LineString", [[-29.99, 47.1], [-29.9, 47.1]])])
    chart = crossing(**BRIDGE)
    chart = replace(chart, hazards=replace(chart.hazards, **{
        name: getattr(beside, name) for name in ("points", "paths")
    }))  # fmt: skip
    made = under(chart, limits=Limits(min_overhead_m=1.0, min_clearance_m=1000.0))
    assert made.depths.overheads == ()
    (found,) = [row for row in made.findings if row.code == "clearance_not_met"]
    assert found.about == "h0"
    assert 700.0 < (found.measured or 0.0) < 800.0
    assert zoo.result(made, "leg_clearance").result == "must_resolve"


def test_a_typed_clearance_above_chart_datum_needs_no_level() -> None:
    of_plan = replace(zoo.CALM, tide_m=2.0, height_datum_m=4.2)
    for level in ("chart datum", "lowest astronomical tide"):
        for calm in (replace(zoo.CALM, tide_m=2.0), of_plan):
            found = one(under(crossing(height_m=40.0, datum=level), conditions=calm))
            assert zoo.terms(found)["datum"].value_m == 0.0
            assert found.clearance_m == pytest.approx(4.0)


def test_a_bridge_that_ends_within_her_reach_is_passed_beneath() -> None:
    """It ends so far east of the track; half her beam is 16 m."""

    def sums(metres: float, **leg: Any) -> tuple[OverheadSum, ...]:
        west = -30.0 + metres / (111_320.0 * 0.6807)
        beside = common.dangers([("LineString", [[west, 47.1], [-29.9, 47.1]])])
        known = (Overhead(hazard=0, **{**BRIDGE, "height_m": 30.0}),)
        hazards = replace(beside, kinds=("bridge",), overheads=known)
        made = zoo.plan(
            zoo.depth(30.0, **leg),
            a_chart=Chart(loaded=True, hazards=hazards),
            conditions=replace(zoo.CALM, tide_m=2.0),
            limits=Limits(min_overhead_m=1.0),
        )
        want = "must_resolve" if made.depths.overheads else "not_checked"
        assert zoo.result(made, "leg_overhead").result == want
        return made.depths.overheads

    assert [row.met for row in sums(12.0)] == [False]
    assert sums(25.0) == ()
    limits = {"xtd_port_nm": 0.1, "xtd_starboard_nm": 0.1}
    assert [row.met for row in sums(150.0, **limits)] == [False]
    assert sums(230.0, **limits) == ()
