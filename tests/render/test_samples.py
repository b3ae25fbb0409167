"""The sample files that our own exporter made still hold the route of the demonstration."""

from pathlib import Path

import pytest

from wheelover.api.schemas.plan_request import PlanRequest
from wheelover.render.exports import Stamp, export_file
from wheelover.usecases.demonstration import demonstration
from wheelover.usecases.gather import Gathered
from wheelover.usecases.plan_route import plan_route
from wheelover.usecases.read_route import read_route_file

SAMPLES = Path(__file__).parents[2] / "sample_routes"
MADE = ("rtz", "gpx", "geojson")


@pytest.mark.parametrize("name", MADE)
def test_the_sample_reads_back_to_the_route_of_the_demonstration(name: str) -> None:
    request = demonstration(SAMPLES)["request"]
    back = read_route_file((SAMPLES / f"demonstration.{name}").read_bytes(), "a")
    assert back["format"] == name
    assert back["rejected_count"] == 0
    assert back["route"]["name"] == request["route"]["name"]
    for one, other in zip(back["route"]["waypoints"], request["route"]["waypoints"], strict=True):
        place = {m: pytest.approx(other[m], rel=0.0, abs=1e-9) for m in ("lat_deg", "lon_deg")}
        assert one == {**other, **place}


@pytest.mark.parametrize("name", MADE)
def test_the_sample_says_that_it_is_a_demonstration(name: str) -> None:
    text = (SAMPLES / f"demonstration.{name}").read_text("utf-8")
    assert "DEMONSTRATION, DRAFT" in text
    assert "Planning aid only" in text


def write() -> None:
    """Write the sample files anew: ``python -m tests.render.test_samples``."""
    request = demonstration(SAMPLES)["request"]
    result = plan_route(PlanRequest.model_validate(request).to_core(Gathered(inputs=request)))
    for name in MADE:
        file = export_file(name, request, result, Stamp(demonstration=True))
        (SAMPLES / f"demonstration.{name}").write_bytes(file.body)


if __name__ == "__main__":
    write()
