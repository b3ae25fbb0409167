"""The open sum of water under the keel: it adds up, it is cautious, and says what it leaves out."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.core.depth import passages as zoo
from wheelover.core.depth import squat
from wheelover.core.depth.draughts import change_in_force
from wheelover.core.types.charted import Zone
from wheelover.core.types.circumstances import Conditions, Limits
from wheelover.core.types.limits import LimitSet, WaterLimits
from wheelover.core.types.route import LegWishes
from wheelover.core.types.ship import DraughtChange


def _cm(value: float) -> int:
    return round(value * 100)


def test_the_sum_by_hand() -> None:
    """15 m charted, A1, no tide, 12.00 m aft, 10 kn in open water, heel and waves nothing."""
    found = zoo.leg_sum(zoo.plan(zoo.depth(15.0)))
    terms = zoo.terms(found)
    assert terms["charted_depth"].value_m == 15.0
    assert terms["tide"].value_m == 0.0
    assert terms["tide"].source == "default"
    assert terms["draught"].value_m == -12.0
    assert terms["density"].value_m == 0.0
    assert terms["survey"].value_m == -0.65
    # ICORELS over 14.35 m of water: 2.4 * 0.8 * 32 * 12 / 200 * F^2 / sqrt(1 - F^2).
    square = (10.0 * 1852.0 / 3600.0) ** 2 / (9.81 * 14.35)
    icorels_m = 2.4 * 0.8 * 32.0 * 12.0 / 200.0 * square / (1.0 - square) ** 0.5
    assert max(icorels_m, 0.8) == 0.8
    assert terms["squat"].value_m == -0.80
    assert terms["wind_heel"].value_m == terms["waves"].value_m == 0.0
    assert found.static_ukc_m == 3.0
    assert found.dynamic_ukc_m == 2.2
    assert found.net_ukc_m == 1.55
    assert found.required_ukc_m == 1.2
    assert found.required_by == "limits of the plan: 10 % of the draught of 12.00 m"
    assert found.met is True
    assert found.left_out == ()
    assert found.critical_end == "aft"
    assert found.squats_by == "bow"
    assert zoo.result(zoo.plan(zoo.depth(15.0)), "leg_depth").result == "met"


def test_two_formulas_at_least_are_shown_and_the_larger_is_used() -> None:
    open_water = zoo.leg_sum(zoo.plan(zoo.depth(15.0))).squats
    assert {row.formula for row in open_water} == {"barrass_open", "icorels"}
    assert all(row.in_range for row in open_water)
    channel = zoo.leg_sum(zoo.plan(zoo.depth(15.0, channel_width_m=200.0)))
    assert {row.formula for row in channel.squats} == {
        "barrass_open", "icorels", "huuska", "barrass_confined", "barrass_general", "barrass_2004",
    }  # fmt: skip
    for rows in (open_water, channel.squats):
        (used,) = [row for row in rows if row.used]
        assert used.squat_m == max(row.squat_m or 0.0 for row in rows)
    assert channel.blockage_ratio == pytest.approx(32.0 * 12.0 / (14.35 * 200.0))
    deep = zoo.leg_sum(zoo.plan(zoo.depth(80.0)))
    assert not any(row.in_range for row in deep.squats)
    assert "outside the range" in zoo.terms(deep)["squat"].reason


def test_a_wide_channel_is_not_confined_water() -> None:
    rows = zoo.leg_sum(zoo.plan(zoo.depth(15.0, channel_width_m=900.0))).squats
    assert "barrass_confined" not in {row.formula for row in rows}


_DEPTHS = st.floats(min_value=1.0, max_value=60.0)


@settings(max_examples=25, deadline=None)
@given(_DEPTHS, st.floats(0.01, 10.0), st.floats(1.0, 25.0), st.sampled_from([None, 120.0, 400.0]))
def test_deeper_water_never_leaves_less(
    depth_m: float, more_m: float, speed_kn: float, width_m: float | None
) -> None:
    both = [
        zoo.leg_sum(
            zoo.plan(zoo.depth(metres, speed_kn=speed_kn, channel_width_m=width_m))
        ).net_ukc_m
        for metres in (depth_m, depth_m + more_m)
    ]
    # Where nothing is left to run in no formula holds: that is less than any number.
    shallow, deep = (-np.inf if one is None else one for one in both)
    assert deep >= shallow


@settings(max_examples=25, deadline=None)
@given(_DEPTHS, st.floats(0.5, 25.0), st.floats(0.01, 10.0), st.sampled_from([None, 120.0, 400.0]))
def test_more_speed_never_leaves_more(
    depth_m: float, speed_kn: float, more_kn: float, width_m: float | None
) -> None:
    slow, fast = (
        zoo.plan(zoo.depth(depth_m, speed_kn=knots, channel_width_m=width_m))
        for knots in (speed_kn, speed_kn + more_kn)
    )
    for find in (zoo.leg_sum, zoo.turn_sum):
        before, after = find(slow).net_ukc_m, find(fast).net_ukc_m
        assert after is None or (before is not None and after <= before)


@settings(max_examples=40, deadline=None)
@given(
    st.floats(5.0, 40.0),
    st.floats(3.0, 14.0),
    st.floats(0.5, 20.0),
    st.floats(-1.0, 6.0),
    st.floats(0.0, 3.0),
    st.sampled_from(["A1", "A2", "B", "C"]),
)
def test_terms_are_rounded_cautiously_and_add_up(
    depth_m: float, draught_m: float, speed_kn: float, tide_m: float, wave_m: float, zone: str
) -> None:
    ship = replace(zoo.TANKER, draught_fore_m=draught_m, draught_aft_m=draught_m)
    water = replace(zoo.CALM, tide_m=tide_m, wave_height_m=wave_m)
    found = zoo.leg_sum(
        zoo.plan(zoo.depth(depth_m, catzoc=zone, speed_kn=speed_kn), ship=ship, conditions=water)
    )
    terms = zoo.terms(found)
    assert (terms["charted_depth"].value_m or 0.0) <= depth_m + 1e-7
    assert (terms["tide"].value_m or 0.0) <= tide_m + 1e-7
    assert (terms["draught"].value_m or 0.0) <= -draught_m + 1e-7
    assert (terms["waves"].value_m or 0.0) <= -0.9 * wave_m + 1e-7
    for term in found.terms:
        if term.value_m is not None:
            assert term.value_m == pytest.approx(_cm(term.value_m) / 100.0, abs=1e-9)
    if found.net_ukc_m is None:
        return
    values = [one.value_m for one in found.terms if one.value_m is not None]
    assert _cm(found.net_ukc_m) == sum(map(_cm, values))
    static = sum(_cm(terms[name].value_m or 0.0) for name in ("charted_depth", "tide", "draught"))
    assert _cm(found.static_ukc_m or 0.0) == static
    assert _cm(found.dynamic_ukc_m or 0.0) == _cm(found.net_ukc_m) - _cm(
        terms["survey"].value_m or 0.0
    )


@settings(max_examples=25, deadline=None)
@given(st.floats(9.0, 20.0), st.floats(1.0, 18.0), st.sampled_from([None, 200.0]))
def test_the_tide_needed_and_the_limiting_speed_just_meet_it(
    depth_m: float, speed_kn: float, width_m: float | None
) -> None:
    leg = zoo.depth(depth_m, speed_kn=speed_kn, channel_width_m=width_m)
    found = zoo.leg_sum(zoo.plan(leg))
    needed_m = found.tide_needed_m
    assert needed_m is not None

    def met(tide_m: float, at_kn: float) -> bool:
        conditions = replace(zoo.CALM, tide_m=tide_m)
        made = zoo.leg_sum(zoo.plan(replace(leg, speed_kn=at_kn), conditions=conditions))
        return made.met is True

    assert met(needed_m, speed_kn)
    assert not met(needed_m - 0.01, speed_kn)
    if found.limiting_speed_kn is None:
        assert found.limiting_speed_reason == "not met even at rest"
        return
    if found.limiting_speed_kn > 0.0:
        assert met(0.0, found.limiting_speed_kn)
    assert not met(0.0, found.limiting_speed_kn + 0.1)


def test_what_is_not_known_is_named_and_nothing_reads_as_met() -> None:
    bare = Conditions()
    ship = replace(zoo.TANKER, gm_m=None)
    made = zoo.plan(LegWishes(charted_depth_m=30.0), conditions=bare, ship=ship)
    found = zoo.leg_sum(made)
    assert found.net_ukc_m is not None
    assert found.net_ukc_m > 10.0
    assert found.met is None
    said = "; ".join(found.left_out)
    for word in ("wave allowance not known", "heel to the wind not known", "survey quality"):
        assert word in said
    assert zoo.result(made, "leg_depth").result == "not_checked"
    assert "heel in the turn not known (GM is not given)" in zoo.turn_sum(made).left_out
    # Too little without what is not known is too little with it.
    short = zoo.plan(LegWishes(charted_depth_m=12.5), conditions=bare, ship=ship)
    assert zoo.leg_sum(short).met is False
    assert zoo.result(short, "leg_depth").result == "must_resolve"


def test_without_a_block_coefficient_only_the_static_sum_is_made() -> None:
    ship = replace(zoo.TANKER, block_coefficient=None, displacement_t=None)
    made = zoo.plan(zoo.depth(30.0), ship=ship)
    found = zoo.leg_sum(made)
    assert found.static_ukc_m == 18.0
    assert found.net_ukc_m is None
    assert found.squats == ()
    assert found.limiting_speed_reason == "squat or the depth of water is not known"
    assert "squat not known" in (zoo.result(made, "leg_depth").reason or "")
    # Her displacement gives it.
    weighed = replace(ship, displacement_t=62_000.0)
    heavy = zoo.leg_sum(zoo.plan(zoo.depth(30.0), ship=weighed))
    assert heavy.net_ukc_m is not None
    assert any("block coefficient 0.79" in note for note in heavy.notes)


def test_no_depth_and_no_ship_are_not_checked() -> None:
    bare = zoo.plan(LegWishes())
    assert bare.depths.sums == ()
    assert "no charted depth is known" in (zoo.result(bare, "leg_depth").reason or "")
    assert zoo.result(bare, "turn_depth").result == "not_checked"
    alone = zoo.plan(zoo.depth(20.0), ship=None)
    assert "no ship is given" in (zoo.result(alone, "leg_depth").reason or "")


def test_a_turn_has_the_lesser_depth_and_the_heel() -> None:
    made = zoo.plan(zoo.depth(20.0), zoo.depth(16.0, catzoc="B"))
    found = zoo.turn_sum(made)
    terms = zoo.terms(found)
    assert terms["charted_depth"].value_m == 16.0
    assert "leg to W2" in terms["charted_depth"].reason
    assert terms["survey"].value_m == -1.32
    # tan = V^2 BG / (g R GM), BG = KG less half the mean draught.
    speed, bg_m = 10.0 * 1852.0 / 3600.0, 9.0 - 11.9 / 2.0
    heel_rad = np.arctan(speed**2 * bg_m / (9.81 * 926.0 * 3.0))
    assert found.turn_heel_deg == pytest.approx(np.degrees(heel_rad), rel=1e-9)
    deeper_m = 16.0 * np.sin(heel_rad)
    assert terms["turn_heel"].value_m == pytest.approx(-np.ceil(deeper_m * 100) / 100, abs=1e-9)
    assert zoo.terms(zoo.leg_sum(made)).keys() == terms.keys() - {"turn_heel"}
    # Only one leg with a depth does not tell that of the turn.
    half = zoo.plan(zoo.depth(20.0), LegWishes())
    assert all(one.piece.kind == "leg" for one in half.depths.sums)
    assert zoo.result(half, "turn_depth").result == "not_checked"


@pytest.mark.parametrize(
    ("zones", "survey_m"), [(("A1", "C"), 2.75), (("C", "A1"), 2.75), (("A1", "B"), 1.3)]
)
def test_a_turn_has_the_worse_survey_of_the_legs_beside_it(
    zones: tuple[Zone, Zone], survey_m: float
) -> None:
    """Allowances at 15 m by zone of confidence (S-57 CATZOC): A1 0.65, B 1.3, C 2.75 m.

    15.0 m of zone A1 are 14.35 m that are sure, 15.1 m of zone C 12.345 m.
    """
    before, after = zones
    made = zoo.plan(zoo.depth(15.0, catzoc=before), zoo.depth(15.1, catzoc=after))
    terms = zoo.terms(zoo.turn_sum(made))
    assert (terms["charted_depth"].value_m, terms["survey"].value_m) == (15.0, -survey_m)
    unstated = zoo.plan(zoo.depth(15.0), zoo.depth(30.0, catzoc="U"))
    assert any("survey quality U" in said for said in zoo.turn_sum(unstated).left_out)
    assert zoo.turn_sum(unstated).met is not True


def test_the_wind_heels_her_and_its_force_alone_does_not_say_how_much() -> None:
    windy = replace(zoo.CALM, wind_kn=40.0)
    found = zoo.leg_sum(zoo.plan(zoo.depth(16.0), conditions=windy))
    lever_m = (
        504.0 * (40.0 * 1852.0 / 3600.0 / 26.0) ** 2 * 2400.0 * (8.0 + 11.9 / 2.0)
        / (1000.0 * 9.81 * 62_000.0)
    )  # fmt: skip
    assert found.wind_heel_deg == pytest.approx(np.degrees(np.arctan(lever_m / 3.0)))
    deeper_m = 16.0 * np.sin(np.arctan(lever_m / 3.0))
    assert zoo.terms(found)["wind_heel"].value_m == -np.ceil(deeper_m * 100.0) / 100.0
    by_force = replace(zoo.CALM, wind_kn=None, wind_from_deg=None, wind_force_bft=8.0)
    silent = zoo.leg_sum(zoo.plan(zoo.depth(16.0), conditions=by_force))
    assert zoo.terms(silent)["wind_heel"].value_m is None
    assert silent.met is None


def test_draughts_change_along_the_passage_and_say_why() -> None:
    change = DraughtChange(
        from_id="W1", reason="ballast taken", draught_fore_m=12.4, draught_aft_m=12.4
    )
    made = zoo.plan(zoo.depth(16.0), ship=replace(zoo.TANKER, draughts=(change,)))
    assert [zoo.leg_sum(made, index).draught_aft_m for index in (0, 1)] == [12.0, 12.4]
    term = zoo.terms(zoo.leg_sum(made, 1))["draught"]
    assert (term.value_m, term.source) == (-12.4, "you")
    assert "from W1: ballast taken" in term.reason
    # In the turn between them the deeper counts.
    assert zoo.terms(zoo.turn_sum(made))["draught"].value_m == -12.4


def test_fresh_water_makes_her_deeper() -> None:
    change = DraughtChange(from_id="W1", reason="river", water_density_kg_per_m3=1000.0)
    ship = replace(zoo.TANKER, draughts=(change,))
    first, second = (zoo.leg_sum(zoo.plan(zoo.depth(16.0), ship=ship), one) for one in (0, 1))
    assert zoo.terms(first)["density"].value_m == 0.0
    # 62 000 / (4 * 55) = 281.8 mm.
    assert zoo.terms(second)["density"].value_m == -0.29
    assert second.draught_aft_m == 12.29
    # Without displacement and TPC the most that it can be: 12 m * 2.5 %.
    light = replace(ship, tpc_t_per_cm=None)
    bound = zoo.terms(zoo.leg_sum(zoo.plan(zoo.depth(16.0), ship=light), 1))["density"]
    assert bound.value_m == -0.30
    assert "the most it can be" in bound.reason
    # The policy counts from the draught in that water.
    assert second.required_ukc_m == 1.23


def test_changes_behind_her_come_to_one() -> None:
    loaded = DraughtChange(from_id="W0", reason="loaded", draught_fore_m=12.2, draught_aft_m=12.4)
    river = DraughtChange(from_id="W1", reason="river", water_density_kg_per_m3=1000.0)
    both = replace(zoo.TANKER, draughts=(loaded, river))
    one = change_in_force((loaded, river), "W1", None)
    assert one is not None
    assert (one.draught_density_kg_per_m3, one.water_density_kg_per_m3) == (1025.0, 1000.0)
    assert one.reason == "loaded; river"
    apart = zoo.leg_sum(zoo.plan(zoo.depth(16.0), ship=both), 1)
    # 62 000 / (4 * 55) = 281.8 mm.
    assert zoo.terms(apart)["density"].value_m == -0.29
    together = replace(zoo.TANKER, draughts=(one,))
    whole = zoo.leg_sum(zoo.plan(zoo.depth(16.0), ship=together), 1)
    assert whole.draught_aft_m == apart.draught_aft_m == 12.69
    assert zoo.terms(whole)["density"].value_m == -0.29
    assert change_in_force((), "W1", None) is None
    # Read again in the river: nothing is added to that.
    again = replace(loaded, from_id="W1", water_density_kg_per_m3=1000.0)
    last = change_in_force((loaded, again), "W1", None)
    assert last is not None
    assert last.draught_density_kg_per_m3 is None


def test_the_limit_set_of_the_water_counts_where_it_is_stricter() -> None:
    company = LimitSet(
        name="Fleet",
        open=WaterLimits(min_ukc_draught_ratio=0.2),
        confined=WaterLimits(min_ukc_m=1.0),
    )
    limits = Limits(min_ukc_m=1.5, limit_set=company)

    def required(water: str | None) -> tuple[float | None, str | None]:
        found = zoo.leg_sum(zoo.plan(zoo.depth(20.0, water=water), limits=limits))
        assert found.missed_rules == ()
        return found.required_ukc_m, found.required_by

    assert required("open") == (2.4, "Fleet, open water: 20 % of the draught of 12.00 m")
    assert required("confined") == (1.5, "limits of the plan: 1.5 m")
    # Where nobody names the water the strictest of all that the set knows counts.
    assert required(None)[0] == 2.4
    # Too little names every rule of the set that is missed, for waivers and the table of rules.
    short = zoo.plan(zoo.depth(15.0, water="open"), limits=replace(limits, min_ukc_m=None))
    assert zoo.leg_sum(short).missed_rules == ("open/min_ukc_draught_ratio",)
    finding = next(one for one in short.findings if one.code == "ukc_not_met")
    assert finding.rules == ("open/min_ukc_draught_ratio",)
    assert finding.waivable
    row = next(one for one in short.rules if one.rule.id == "open/min_ukc_draught_ratio")
    assert row.result == "missed"
    own = zoo.plan(zoo.depth(15.0, water="open"), limits=replace(limits, min_ukc_m=2.0))
    assert not next(one for one in own.findings if one.code == "ukc_not_met").waivable
    # Without any rule it is shown and not judged.
    made = zoo.plan(zoo.depth(20.0), limits=Limits())
    assert zoo.leg_sum(made).met is None
    assert "not judged" in (zoo.result(made, "leg_depth").reason or "")


def test_near_the_critical_speed_it_must_be_explained() -> None:
    critical_kn = float(squat.critical_speed_kn(58.9)[0])
    made = zoo.plan(zoo.depth(60.0, speed_kn=0.8 * critical_kn))
    codes = {one.code: one for one in made.findings}
    assert codes["froude_depth_high"].grade == "must_explain"
    beyond = zoo.leg_sum(zoo.plan(zoo.depth(14.0, speed_kn=25.0)))
    assert beyond.net_ukc_m is None
    assert "at and above the critical speed" in zoo.terms(beyond)["squat"].reason
    assert beyond.limiting_speed_kn is not None


def test_a_drying_bank_leaves_nothing() -> None:
    made = zoo.plan(zoo.depth(-1.0))
    found = zoo.leg_sum(made)
    assert found.static_ukc_m == -13.0
    assert found.met is False
    (finding,) = [
        one for one in made.findings if one.code == "ukc_none_left" and one.subject.index == 0
        and one.subject.kind == "leg"
    ]  # fmt: skip
    assert finding.grade == "must_resolve"
    assert finding.measured == -13.0


@pytest.mark.parametrize(("ratio", "by"), [(0.8, "bow"), (0.6, "stern"), (0.7, "both")])
def test_full_forms_squat_by_the_bow_and_finer_ones_by_the_stern(ratio: float, by: str) -> None:
    ship = replace(zoo.TANKER, block_coefficient=ratio, draught_fore_m=12.0)
    found = zoo.leg_sum(zoo.plan(zoo.depth(20.0), ship=ship))
    assert found.squats_by == by
    assert found.critical_end == ("aft" if by == "stern" else "fore")
    trimmed = replace(ship, draught_fore_m=11.0)
    assert zoo.leg_sum(zoo.plan(zoo.depth(20.0), ship=trimmed)).critical_end == "aft"
    sagging = replace(ship, draught_midships_m=12.2)
    assert zoo.leg_sum(zoo.plan(zoo.depth(20.0), ship=sagging)).critical_end == "midships"
