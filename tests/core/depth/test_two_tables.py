"""A turn between two tables of tides: the worst of both counts. All data here is invented."""

from dataclasses import replace

import pytest

from tests import zoo as common
from tests.core.depth import passages as zoo
from wheelover.core.types.chart import Chart, Overhead
from wheelover.core.types.circumstances import Limits
from wheelover.core.types.plan import Plan
from wheelover.core.types.tide import Tide

ONE, OTHER = 1.0, 4.0


def _table(height_m: float, **more: str) -> Tide:
    return zoo.tide((-6.0, height_m), (20.0, height_m), **more)


def _plan(*tables: Tide) -> Plan:
    """Return a plan with a bridge over the arc of its only turn, and nowhere else."""
    line = [[-30.0, 47.2], [-29.97, 47.17]]
    hazards = replace(
        common.dangers([("LineString", line)]),
        kinds=("bridge",),
        overheads=(Overhead(hazard=0, height_m=40.0, datum_m=4.2),),
    )
    return zoo.plan(
        zoo.depth(20.0),
        a_chart=Chart(loaded=True, hazards=hazards),
        conditions=replace(zoo.CALM, tides=tables),
        limits=Limits(min_overhead_m=1.0, min_ukc_m=0.5),
    )


@pytest.fixture(name="ids")
def _ids() -> tuple[str, ...]:
    return tuple(one.id for one in zoo.corner(zoo.depth(20.0)).waypoints)


@pytest.mark.parametrize("heights", [(ONE, OTHER), (OTHER, ONE)])
def test_the_worse_of_both_tables_counts_in_the_turn(
    ids: tuple[str, ...], heights: tuple[float, float]
) -> None:
    made = _plan(_table(heights[0], to_id=ids[1]), _table(heights[1], from_id=ids[1]))
    assert zoo.terms(zoo.turn_sum(made))["tide"].value_m == ONE
    over = [one for one in made.depths.overheads if one.piece.kind == "turn"]
    assert [zoo.terms(one)["tide"].value_m for one in over] == [-OTHER]
    # The legs keep the table of their own.
    assert [zoo.terms(zoo.leg_sum(made, leg))["tide"].value_m for leg in (0, 1)] == list(heights)


def test_beside_a_leg_without_a_table_nothing_of_the_tide_is_credited(ids: tuple[str, ...]) -> None:
    made = _plan(_table(OTHER, to_id=ids[1]))
    term = zoo.terms(zoo.turn_sum(made))["tide"]
    assert (term.value_m, term.source) == (0.0, "default")
    (over,) = [one for one in made.depths.overheads if one.piece.kind == "turn"]
    assert (over.clearance_m, over.met) == (None, None)
    assert zoo.turn_sum(made).windows is None


def test_the_tide_is_high_enough_when_both_tables_say_so(ids: tuple[str, ...]) -> None:
    rising = zoo.tide((-6.0, 0.0), (20.0, 6.0), to_id=ids[1])
    falling = zoo.tide((-6.0, 6.0), (20.0, 0.0), from_id=ids[1])
    alone = zoo.turn_sum(_plan(rising, replace(rising, to_id=None, from_id=ids[1])))
    both = zoo.turn_sum(_plan(rising, falling))
    assert alone.windows is not None
    assert both.windows is not None
    for one in both.windows:
        assert any(a.from_s <= one.from_s and one.to_s <= a.to_s for a in alone.windows)
