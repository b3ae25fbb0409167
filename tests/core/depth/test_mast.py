"""What lifts the mast, what is passed beneath, and what one level given for a plan speaks for."""

from dataclasses import replace
from pathlib import Path

import pytest

from tests.core.depth import passages as zoo
from tests.core.depth.test_overhead import BRIDGE, crossing, one, under
from wheelover.core.types.ship import DraughtChange

PAGE = Path(__file__).parents[3] / "web"


def test_denser_water_lifts_the_mast_of_a_ship_without_tpc_too() -> None:
    """Archimedes: a box of 12.0 m in water of 1000 floats at 12.0 x 1000 / 1025 = 11.707 m in 1025.

    No hull rises more than a box, whose waterplane is as wide as all that lies under it.
    """
    bare = replace(
        zoo.TANKER, displacement_t=None, tpc_t_per_cm=None, draught_density_kg_per_m3=1000.0
    )
    rise = zoo.terms(one(under(crossing(**BRIDGE), ship=bare)))["draught_rise"]
    assert rise.value_m == pytest.approx(-0.30)
    # Under the keel nothing is credited for it.
    keel = zoo.terms(zoo.leg_sum(under(crossing(**BRIDGE), ship=bare)))["density"]
    assert keel.value_m == 0.0


def test_the_most_that_lighter_water_may_sink_her_is_not_credited_to_the_mast() -> None:
    """She comes up 1.8 m at the end that rises most; the sinkage is only known to be at most so."""
    lighter = DraughtChange(
        from_id="W0", reason="cargo", draught_fore_m=10.0, draught_aft_m=10.3,
        draught_density_kg_per_m3=1025.0, water_density_kg_per_m3=1000.0,
    )  # fmt: skip
    bare = replace(zoo.TANKER, displacement_t=None, tpc_t_per_cm=None, draughts=(lighter,))
    rise = zoo.terms(one(under(crossing(**BRIDGE), ship=bare)))["draught_rise"]
    assert rise.value_m == pytest.approx(-1.8)
    # With displacement and TPC it is known: 62 000 / (4 x 55) = 282 mm (load-line rule).
    known = replace(zoo.TANKER, draughts=(lighter,))
    rise = zoo.terms(one(under(crossing(**BRIDGE), ship=known)))["draught_rise"]
    assert rise.value_m == pytest.approx(-1.52)


def test_the_page_asks_for_the_air_draught_that_the_sum_takes_off() -> None:
    """Above the water, as pilots and load lines have the word, not above the keel (from memory)."""
    (line,) = [
        row
        for row in (PAGE / "js" / "fields.js").read_text().splitlines()
        if "air_draught_m" in row
    ]
    assert "water to the top" in line
    assert "keel" not in line
