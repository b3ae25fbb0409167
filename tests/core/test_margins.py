"""Which limit counts for which danger on which leg, and which rule of the set is missed."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests import zoo
from wheelover.core.clearance.whole import clear
from wheelover.core.geo import geodesic
from wheelover.core.margins import any_asked_for_less, class_at, class_numbers, margins_of
from wheelover.core.track import lay_track
from wheelover.core.types.chart import Hazards
from wheelover.core.types.circumstances import Limits
from wheelover.core.types.dangers import DANGER_CLASSES, WATER_KINDS, DangerClass
from wheelover.core.types.limits import LegAsked, LimitSet, WaterLimits
from wheelover.core.types.route import LegWishes, Route

NORTH = [(47.0, -30.0), (47.3, -30.0), (47.3, -29.5)]
COMPANY = LimitSet(
    name="Company",
    id="limits-1",
    edition=3,
    open=WaterLimits(min_clearance_m=3000.0, min_clearance_by_class=(("aid", 900.0),)),
    coastal=WaterLimits(
        min_clearance_m=1000.0, min_clearance_by_class=(("wreck", 1500.0), ("aid", 200.0))
    ),
    confined=WaterLimits(min_clearance_m=100.0),
)


def _beside(*at: tuple[float, str | None]) -> Hazards:
    """Return dangers abeam of the first leg, so far to port of it and of these kinds."""
    places = []
    for distance_m, _ in at:
        lat, lon, _ = geodesic.direct(47.15, -30.0, 270.0, distance_m)
        places.append((float(lat[0]), float(lon[0])))
    return replace(zoo.points(places), kinds=tuple(kind for _, kind in at))


def _route(first: LegWishes | None = None, second: LegWishes | None = None) -> Route:
    route = zoo.route(NORTH)
    one, two, three = route.waypoints
    return replace(
        route, waypoints=(one, replace(two, leg=first or LegWishes()), replace(three, leg=second))
    )


def _limits(*asked: LegAsked, limits: Limits) -> dict[str | None, tuple[float, int]]:
    margins = margins_of([asked], limits)
    words = (*DANGER_CLASSES, None) if margins.by_class else (None,)
    return {
        word: (float(margins.limit_m[0, column]), int(margins.limit_source[0, column]))
        for column, word in enumerate(words)
    }


def test_the_class_of_a_danger_is_its_own_else_that_of_its_kind() -> None:
    hazards = _beside((0.0, "Wreck"), (1.0, "buoy"), (2.0, None), (3.0, "regatta"))
    assert [class_at(hazards, row) for row in range(4)] == ["wreck", "aid", None, None]
    given_too = replace(hazards, classes=("rock", None, "ice", None))
    assert [class_at(given_too, row) for row in range(4)] == ["rock", "aid", "ice", None]
    named = [*DANGER_CLASSES, None]
    for one in (hazards, given_too):
        assert [named[number] for number in class_numbers(one)] == [
            class_at(one, row) for row in range(4)
        ]


def test_without_a_set_and_classes_there_is_one_column() -> None:
    margins = margins_of([(LegAsked(),), (LegAsked(min_clearance_m=7.0), LegAsked())], Limits())
    assert margins.limit_m.shape == (2, 1)
    assert np.isnan(margins.limit_m[0, 0])
    assert margins.limit_m[1, 0] == 7.0
    assert not margins.rules


def test_the_leg_counts_before_the_set_and_the_set_by_water_and_class() -> None:
    limits = Limits(limit_set=COMPANY, water="coastal", min_clearance_m=500.0)
    plan, of_set, leg = 2, 3, 1
    found = _limits(LegAsked(), limits=limits)
    assert found["wreck"] == (1500.0, of_set)
    # What was typed for the plan is more than the set asks of an aid: the larger counts.
    assert found["aid"] == (500.0, plan)
    assert found[None] == found["rock"] == (1000.0, of_set)
    own = _limits(
        LegAsked(min_clearance_m=300.0, min_clearance_by_class=(("rock", 50.0),)), limits=limits
    )
    assert own["rock"] == (50.0, leg)
    assert own["wreck"] == own[None] == (300.0, leg)
    assert _limits(LegAsked(water="open"), limits=limits)["rock"] == (3000.0, of_set)


def test_of_two_legs_the_larger_counts() -> None:
    limits = Limits(limit_set=COMPANY)
    both = _limits(LegAsked(water="open"), LegAsked(water="coastal"), limits=limits)
    assert both["aid"] == (900.0, 3)
    assert both["wreck"] == (3000.0, 3)
    typed = _limits(LegAsked(min_clearance_m=20.0), LegAsked(water="confined"), limits=limits)
    assert typed["wreck"] == (100.0, 3)


def test_without_a_kind_of_water_the_strictest_counts() -> None:
    found = _limits(LegAsked(), limits=Limits(limit_set=COMPANY))
    assert found[None] == (3000.0, 3)
    assert found["aid"] == (900.0, 3)


@given(
    st.lists(st.sampled_from([*DANGER_CLASSES, None]), min_size=1, max_size=8),
    st.sampled_from(WATER_KINDS),
    st.one_of(st.none(), st.floats(0.0, 4000.0)),
)
def test_nothing_is_asked_more_laxly_than_the_plan_asks_alone(
    kinds: list[DangerClass | None], water: str, plan_m: float | None
) -> None:
    alone = _limits(LegAsked(), limits=Limits(min_clearance_m=plan_m))[None][0]
    limits = Limits(min_clearance_m=plan_m, limit_set=COMPANY, water=water)  # type: ignore[arg-type]
    together = _limits(LegAsked(), limits=limits)
    for kind in kinds:
        assert not together.get(kind, together[None])[0] < alone


def test_a_danger_is_judged_by_the_limit_of_its_class() -> None:
    hazards = _beside((1200.0, "wreck"), (1200.0, "rock"), (150.0, "buoy"), (250.0, "buoy"))
    track = lay_track(_route(LegWishes(water="coastal"), LegWishes(water="coastal")), zoo.SHIP)
    found = clear(track.pieces, hazards, Limits(limit_set=COMPANY))
    rows = {one.hazard_index: one for one in found.rows}
    assert [rows[n].limit_m for n in range(4)] == [1500.0, 1000.0, 200.0, 200.0]
    assert [rows[n].met for n in range(4)] == [False, True, False, True]
    assert {rows[n].limit_source for n in range(4)} == {"set"}
    missed = {(one.hazard_index, one.rule.id) for one in found.infringements if one.rule}
    assert missed == {(0, "coastal/min_clearance_m/wreck"), (2, "coastal/min_clearance_m/aid")}


@pytest.mark.parametrize(
    ("kind", "own_m", "asked_m", "is_less"),
    [
        ("rock", np.nan, 400.0, True),
        ("rock", np.nan, 1000.0, False),
        ("rock", 999.0, 1000.0, True),
        ("rock", 1000.0, 1000.0, False),
        ("buoy", np.nan, 400.0, False),
        ("buoy", 199.0, 400.0, True),
    ],
)
def test_less_than_the_set_counts_where_danger_or_leg_ask_for_less(
    kind: str, own_m: float, asked_m: float, is_less: bool
) -> None:
    """The set asks 1000 m in general and 200 m of aids; a second danger keeps out of it."""
    hazards = _beside((600.0, kind), (600.0, "buoy"))
    hazards = replace(hazards, min_clearance_m=np.array([own_m, 300.0]))
    asked = [(LegAsked(min_clearance_m=asked_m, water="coastal"),)]
    margins = margins_of(asked, Limits(limit_set=COMPANY))
    assert any_asked_for_less(hazards, margins) is is_less


def test_a_rule_is_missed_where_the_leg_or_the_danger_asks_for_less() -> None:
    hazards = _beside((600.0, "rock"), (1400.0, "wreck"))
    hazards = replace(hazards, min_clearance_m=np.array([np.nan, 50.0]))
    wishes = LegWishes(water="coastal", min_clearance_m=400.0)
    track = lay_track(_route(wishes, wishes), zoo.SHIP)
    margins = margins_of([one.asked for one in track.pieces], Limits(limit_set=COMPANY))
    assert any_asked_for_less(hazards, margins)
    found = clear(track.pieces, hazards, Limits(limit_set=COMPANY))
    assert {one.hazard_index: one.met for one in found.rows} == {0: True, 1: True}
    on_leg = [one for one in found.infringements if one.piece.kind == "leg"]
    assert [(one.hazard_index, one.limit_kept) for one in on_leg] == [(0, True), (1, True)]
    assert all(one.rule is not None for one in found.infringements)


@pytest.mark.parametrize("distance_m", [1499.9, 1500.1])
def test_uncertainty_counts_against_the_limit_of_the_class(distance_m: float) -> None:
    hazards = replace(
        _beside((distance_m + 40.0, "wreck")), position_uncertainty_m=np.full(1, 40.0)
    )
    wishes = LegWishes(water="coastal")
    track = lay_track(_route(wishes, wishes), zoo.SHIP)
    (row,) = clear(track.pieces, hazards, Limits(limit_set=COMPANY)).rows
    assert row.met is (distance_m > 1500.0)


def test_an_area_around_the_whole_track_is_crossed_whatever_its_class_asks() -> None:
    box = [(-31.0, 46.5), (-29.0, 46.5), (-29.0, 48.0), (-31.0, 48.0), (-31.0, 46.5)]
    hazards = replace(zoo.dangers([("Polygon", [[list(one) for one in box]])]), kinds=("ice",))
    limit_set = LimitSet(
        name="None of ice", open=WaterLimits(min_clearance_by_class=(("ice", 0.0),))
    )
    track = lay_track(_route(), zoo.SHIP)
    found = clear(track.pieces, hazards, Limits(limit_set=limit_set, water="open"))
    (row,) = found.rows
    assert (row.side, row.distance_m, row.met) == ("crossed", 0.0, False)
    assert len(found.infringements) == len(track.pieces)
    assert all(one.crossed for one in found.infringements)
