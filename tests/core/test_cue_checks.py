"""Findings about cues: none, no second, floating, dark, weak."""

from dataclasses import replace

import pytest

from tests.core.aids.made import RIGHT, helm_of, mark_at, plan_of
from wheelover.core.checks import cues as checks
from wheelover.core.types.marks import Mark
from wheelover.core.types.plan import Plan


def codes(plan: Plan) -> list[str]:
    return [one.code for one in plan.findings if "cue" in one.code and one.code != "turn_cue"]


def mark(relative_deg: float = 80.0, range_m: float = 3000.0, **more: object) -> Mark:
    return mark_at("M", helm_of(), relative_deg, range_m, **more)


def test_two_good_cues_are_met():
    """A bearing by eye hangs on eyes and compass, a range on the radar: neither on the other."""
    there = [mark(), mark_at("N", helm_of(), 40.0, 2000.0)]
    plan = plan_of(marks=there, cue_ids=("bearing/M", "range/N"))
    row = next(one for one in plan.checks if one.check == "turn_cue")
    assert row.result == "met"
    assert codes(plan) == []


@pytest.mark.parametrize(
    ("cue_ids", "on"),
    [
        (("index/M", "index/N"), "the compass and the radar"),
        (("index/M", "range/N"), "the radar"),
        (("index/M", "bearing/N"), "the compass"),
        (("bearing/M", "bearing/N"), "the compass and the eyes"),
    ],
)
def test_two_cues_that_hang_on_one_thing_are_not_independent(cue_ids, on):
    plan = plan_of(marks=[mark(), mark_at("N", helm_of(), 40.0, 2000.0)], cue_ids=cue_ids)
    row = next(one for one in plan.checks if one.check == "turn_cue")
    assert row.result == "must_explain"
    found = next(one for one in plan.findings if one.code == "cues_not_independent")
    assert f"hang on {on}:" in found.message


@pytest.mark.parametrize("cue_ids", [("M", "bearing/M"), ("bearing/M", "bearing/M"), ("M", "M")])
def test_a_cue_chosen_twice_is_no_second_one(cue_ids):
    helm = helm_of()
    there = [mark(radar_conspicuous=False), mark_at("N", helm, 40.0, 2000.0)]
    plan = plan_of(marks=there, cue_ids=cue_ids)
    cues = plan.cues[0]
    assert cues.chosen == (True, False)
    assert cues.chosen_twice == cue_ids[1]
    assert cues.second is not None
    assert cues.rows[cues.second].id == "range/N"
    found = next(one for one in plan.findings if one.code == "cue_chosen_twice")
    assert found.grade == "must_explain"
    assert found.about == cue_ids[1]


def test_a_second_is_looked_for_on_another_sensor_behind_many_better_ones():
    """Index lines rank first for a large alteration: a bearing by eye stands behind them all."""
    helm = helm_of()
    many = [mark_at(f"R{n}", helm, 15.0 + n, 1500.0, lit=False) for n in range(20)]
    cues = plan_of(marks=[*many, mark(120.0)], cue_ids=("range/R3",)).cues[0]
    assert cues.second is not None
    assert (cues.rows[cues.second].kind, cues.rows[cues.second].means) == ("bearing", "eye")


def test_no_cue_among_loaded_marks():
    plan = plan_of(marks=[mark(range_m=30_000.0)])
    assert codes(plan) == ["cue_missing"]
    found = next(one for one in plan.findings if one.code == "cue_missing")
    assert found.grade == "must_explain"
    unseen = plan_of(marks=[mark(height_m=1.0, lit=False, radar_conspicuous=False)])
    assert codes(unseen) == ["cue_missing"]
    message = next(one for one in unseen.findings if one.code == "cue_missing").message
    assert "too low to be known again" in message


def test_one_mark_without_another_way_has_no_second():
    plan = plan_of(marks=[mark(radar_conspicuous=False)])
    assert codes(plan) == ["second_cue_missing"]


def test_floating_marks_alone():
    plan = plan_of(marks=[mark(floating=True)])
    assert codes(plan) == ["cue_floats", "cues_not_independent"]
    message = next(one for one in plan.findings if one.code == "cue_floats").message
    assert "nothing fixed is there beside it" in message


def test_a_cue_chosen_that_cannot_be_seen():
    hidden = mark(height_m=1.0, lit=False, radar_conspicuous=False)
    plan = plan_of(marks=[hidden], cue_ids=("bearing/M",))
    assert "cue_not_seen" in codes(plan)


def test_a_weak_cue():
    plan = plan_of(marks=[mark(20.0, 15_000.0, radar_conspicuous=False)])
    message = next(one for one in plan.findings if one.code == "cue_weak").message
    assert "crosses the track at 20 degrees, below 30" in message
    assert "changes by 0.5 degrees a minute only" in message


@pytest.mark.parametrize("unsure", [0, 1])
def test_a_mark_far_out_of_its_place_is_no_cue_that_is_met(unsure):
    """First or second: 50 km of uncertainty is 50 km of wheel-over."""
    there = [
        mark_at(one, helm_of(), 80.0, 3000.0, position_uncertainty_m=within_m)
        for one, within_m in zip(
            "MN", (50_000.0, 0.0) if unsure == 0 else (0.0, 50_000.0), strict=True
        )
    ]
    plan = plan_of(marks=there, cue_ids=("bearing/M", "index/N"))
    row = next(one for one in plan.checks if one.check == "turn_cue")
    assert row.result == "must_explain"
    found = [one for one in plan.findings if one.code == "cue_weak"]
    assert [one.about for one in found] == ["bearing/M" if unsure == 0 else "index/N"]
    assert "its place being sure within 50000 m only" in found[0].message


@pytest.mark.parametrize(("dark", "expected"), [(True, ["cue_dark"]), (False, [])])
def test_an_unlit_mark_in_the_dark(dark, expected):
    plan = plan_of(RIGHT, [mark(lit=False)], cue_ids=("bearing/M", "range/M"))
    cues = plan.cues[0]
    rows = tuple(replace(one, seen="yes", means="radar") for one in cues.rows)
    there = replace(cues, dark=dark, rows=rows)
    found = checks._chosen(plan.turns[0], there)
    assert [one.code for one in found if one.code == "cue_dark"] == expected
