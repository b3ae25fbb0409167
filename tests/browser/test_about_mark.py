"""A turn struck about a mark in the turn card, and the coastline under the Plot."""

import json
from typing import Any

import pytest

from tests.browser.conftest import Watched
from tests.browser.service import ask, draft, stored, zigzag

pytestmark = pytest.mark.browser

_HAS_COLOUR = """(wanted) => {
  const canvas = document.querySelector('.coast');
  const { data } = canvas.getContext('2d').getImageData(0, 0, canvas.width, canvas.height);
  for (let i = 0; i < data.length; i += 4)
    if (data[i + 3] === 255 && wanted.every((one, j) => data[i + j] === one)) return true;
  return false;
}"""


def computed(server: str, plan_id: str) -> dict[str, Any]:
    return ask(server, "GET", f"/plans/{plan_id}/computed")


def test_a_turn_is_struck_about_a_typed_mark(watched: Watched, server: str) -> None:
    plan_id = stored(server)
    page = watched.page
    page.goto(f"{server}/plans/{plan_id}#turn=Z2")
    page.get_by_test_id("mark-radius").fill("0.8")
    page.get_by_test_id("mark-position").fill("nowhere")
    page.get_by_test_id("mark-strike").click()
    page.get_by_test_id("mark-error").filter(has_text="latitude and longitude").wait_for()
    assert draft(server, plan_id)["edit"] == 1
    page.get_by_test_id("mark-position").fill("47-07.000N 029-49.000W")
    page.get_by_test_id("mark-strike").click()
    page.locator(".last-step").filter(has_text="Moved WPT 03").wait_for(state="attached")
    (turn,) = [one for one in computed(server, plan_id)["turns"] if one["waypoint_id"] == "Z2"]
    assert turn["centre"]["lat_deg"] == pytest.approx(47 + 7.0 / 60, abs=1e-7)
    assert turn["centre"]["lon_deg"] == pytest.approx(-(29 + 49.0 / 60), abs=1e-7)
    assert turn["radius_nm"] == pytest.approx(0.8)
    assert draft(server, plan_id)["edit"] == 2


def test_the_coast_is_drawn_in_the_colour_of_the_light(watched: Watched, server: str) -> None:
    """Off Dover (a real place): land lies under the Plot, from the service's own origin."""
    inputs = zigzag()
    places = [(51.0, 1.30), (51.08, 1.42), (51.2, 1.5)]
    inputs["route"]["waypoints"] = [
        {"id": f"D{i}", "lat_deg": lat, "lon_deg": lon} for i, (lat, lon) in enumerate(places)
    ]
    page = watched.page
    page.goto(f"{server}/plans/{stored(server, inputs)}")
    page.get_by_test_id("coast-words").filter(has_text="GSHHG").wait_for()
    for light, colour in (("day", [201, 200, 195]), ("night", [24, 20, 16])):  # --land of each
        page.get_by_test_id(f"light-{light}").click()
        page.wait_for_function(_HAS_COLOUR, arg=colour)
    page.get_by_test_id("coast-switch").click()
    assert page.locator(".coast").count() == 0
    assert "switched off" in page.get_by_test_id("coast-words").inner_text()
    assert watched.foreign == []


def test_a_coast_that_cannot_be_had_is_said(watched: Watched, server: str) -> None:
    page = watched.page
    body = json.dumps({"title": "x", "detail": "the coastline's packages are not installed"})
    page.route(
        "**/api/v1/coastline/**",
        lambda route: route.fulfill(status=404, body=body, content_type="application/problem+json"),
    )
    page.goto(f"{server}/plans/{stored(server)}")
    page.get_by_test_id("coast-words").filter(has_text="not loaded").wait_for()
    assert "not installed" in page.get_by_test_id("coast-words").inner_text()
