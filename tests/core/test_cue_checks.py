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
    plan = plan_of(marks=[mark(), mark_at("N", helm_of(), 60.0, 2000.0)])
    row = next(one for one in plan.checks if one.check == "turn_cue")
    assert row.result == "met"
    assert codes(plan) == []


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
    assert codes(plan) == ["cue_floats"]
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


@pytest.mark.parametrize(("dark", "expected"), [(True, ["cue_dark"]), (False, [])])
def test_an_unlit_mark_in_the_dark(dark, expected):
    plan = plan_of(RIGHT, [mark(lit=False)], cue_ids=("bearing/M", "range/M"))
    cues = plan.cues[0]
    rows = tuple(replace(one, seen="yes", means="radar") for one in cues.rows)
    there = replace(cues, dark=dark, rows=rows)
    found = checks._chosen(plan.turns[0], there)
    assert [one.code for one in found if one.code == "cue_dark"] == expected
