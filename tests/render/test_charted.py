"""Plans on cells as JSON and as layers."""

from dataclasses import replace
from typing import Any

from shapely.geometry import Point, box, shape

from tests.core.charted.made import SPOT, WHOLE, cell, depth_area, quality, square
from tests.core.charted.plans import EAST, LIMITS, plan_over
from tests.zoo import NO_CHART, QUICK_RESPONSE, SHIP
from wheelover.api.schemas.plan_response import PlanResponse
from wheelover.core.types.cells import Cell
from wheelover.core.types.chart import Chart
from wheelover.core.types.circumstances import Conditions
from wheelover.usecases.plan_route import PlanInputs, plan_route
from wheelover.usecases.turn_card import turn_card

GOOD = (depth_area(), quality(2))


def document(*cells: Cell, places: Any = EAST, **leg: Any) -> dict[str, Any]:
    """Return the document of a plan over cells; every one is held against the answer's model."""
    made = plan_route(inputs(*cells, places=places, **leg))
    PlanResponse.model_validate(made)
    return made


def inputs(*cells: Cell, places: Any = EAST, **leg: Any) -> PlanInputs:
    """Return the inputs of a plan over cells."""
    return PlanInputs(
        route=plan_over(cells, places, **leg).route,
        ship=SHIP,
        chart=Chart(loaded=False, hazards=NO_CHART.hazards, cells=cells),
        conditions=Conditions(),
        limits=LIMITS,
        as_given={},
    )


def layers_of(made: dict[str, Any], name: str) -> list[dict[str, Any]]:
    """Return the features of one layer."""
    return [one for one in made["layers"]["features"] if one["properties"]["layer"] == name]


def test_without_cells_there_are_no_charts() -> None:
    made = document()
    assert made["charts"] is None
    assert not layers_of(made, "no_go")


def test_cells_contour_and_coverage_are_told() -> None:
    made = document(cell(*GOOD, covers=box(0.0, 50.0, 0.5, 51.0), updates_missing=(3,)))
    charts = made["charts"]
    (one,) = charts["cells"]
    assert one["superseded"] is None
    (covered,) = charts["coverage"]
    assert (covered["zones"], covered["unzoned"]) == (["A2"], False)
    assert (one["edition"], one["update"], one["updates_missing"]) == (3, 2, [3])
    assert (one["scale"], one["states_coverage"], one["safety_contour_m"]) == (22_000, True, 20.0)
    assert charts["safety_contour"] == {
        "wanted_m": 10.0,
        "wanted_source": "you",
        "used_m": 20.0,
        "depth_wanted_m": 10.0,
        "depth_source": "you",
    }
    (leg,) = charts["coverage"]
    assert leg["piece"] == {"kind": "leg", "index": 0}
    assert not leg["covered"]
    assert leg["cells"] == ["XX5TEST1"]
    assert leg["uncovered"][0]["to_nm"] == made["legs"][0]["distance_nm"]
    assert len(layers_of(made, "coverage")) == len(layers_of(made, "coverage_hole")) == 1


def test_each_charted_danger_says_why_it_counts() -> None:
    rock = ("UWTROC", SPOT, {"VALSOU": 3.0})
    made = document(cell(rock, *GOOD))
    (row,) = made["clearances"]
    assert row["charted"] == {
        "object_class": "UWTROC",
        "why": "rock at 3 m, depth wanted 10 m",
        "doubtful": False,
        "scale": 22_000,
        "zone": "A2",
        "cell": "XX5TEST1",
    }
    assert (row["kind"], row["position_uncertainty_m"]) == ("rock", 20.0)
    (drawn,) = layers_of(made, "hazard")
    assert drawn["properties"]["id"] == "XX5TEST1/UWTROC.1.0.1"
    assert drawn["properties"]["charted"]
    assert drawn["geometry"] == {"type": "Point", "coordinates": [0.5, 50.5]}
    assert made["layers"]["hazards_not_drawn_count"] == 0
    (no_go,), (margin,) = layers_of(made, "no_go"), layers_of(made, "margin")
    assert shape(no_go["geometry"]).covers(SPOT)
    assert not shape(margin["geometry"]).covers(SPOT)


def test_an_assumed_uncertainty_is_shown() -> None:
    made = document(cell(("UWTROC", SPOT, {"VALSOU": 3.0}), depth_area()))
    assert made["clearances"][0]["position_uncertainty_m"] == 500.0
    assert made["clearances"][0]["charted"]["zone"] is None


def test_areas_are_drawn_and_told() -> None:
    made = document(cell(("CTNARE", square(0.5, 50.5, 0.01), {"OBJNAM": "Bank"}), *GOOD))
    (area,) = layers_of(made, "charted_area")
    assert area["properties"]["object_class"] == "CTNARE"
    (entered,) = made["charts"]["areas_entered"]
    assert entered["class"] == "special"
    assert entered["enters"]["lon_deg"] == 0.49
    assert entered["leaves"]["lon_deg"] == 0.51


def test_far_dangers_are_counted_and_not_drawn() -> None:
    far = ("UWTROC", Point(0.5, 50.9), {"VALSOU": 3.0})
    made = document(cell(far, *GOOD))
    assert not layers_of(made, "hazard")
    assert made["layers"]["hazards_not_drawn_count"] == 1


def test_a_turn_card_knows_the_charted_dangers() -> None:
    corner = ((50.5, 0.2), (50.5, 0.6), (50.8, 0.6))
    rock = ("UWTROC", Point(0.6, 50.5), {"VALSOU": 3.0})
    given = inputs(cell(rock, *GOOD, covers=WHOLE), places=corner)
    given = replace(given, ship=replace(SHIP, response=QUICK_RESPONSE))
    made = turn_card(given, "W1", None, 0)
    assert [one["hazard_id"] for one in made["swept"]] == ["XX5TEST1/UWTROC.1.0.1"]
    assert made["swept"][0]["hazard_name"] == "rock 3 m"


def test_a_cell_that_is_out_of_date_says_so_in_the_list_and_on_its_outline() -> None:
    made = document(cell(*GOOD, superseded="there is edition 4 of it"))
    assert made["charts"]["cells"][0]["superseded"] == "there is edition 4 of it"
    (outline,) = layers_of(made, "coverage")
    assert outline["properties"]["superseded"] == "there is edition 4 of it"
