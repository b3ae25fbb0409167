"""Index and clearing lines on the page: told by leg and turn, chosen, left out, and undone."""

from typing import Any

import pytest
from playwright.sync_api import expect

from tests.browser.conftest import Watched
from tests.browser.service import SHIP, draft, stored, zigzag
from tests.browser.test_editing import fresh, opened, steps
from tests.core.aids.waters import NORTH, beside

pytestmark = pytest.mark.browser

MILE_M = 1852.0


def _inputs() -> dict[str, Any]:
    """Return the zigzag with two marks beside its first leg and a rock to starboard of it."""
    rock = beside(5000.0, 900.0)
    feature = {
        "type": "Feature",
        "geometry": {"type": "Point", "coordinates": [rock[1], rock[0]]},
        "properties": {"id": "rock", "name": "Zoo rock"},
    }
    places = {"tower": beside(5000.0, 1.5 * MILE_M), "spire": beside(11_500.0, 150.0)}
    marks = [
        {"id": one, "name": one.title(), "lat_deg": lat, "lon_deg": lon, "kind": "landmark",
         "radar_conspicuous": True}
        for one, (lat, lon) in places.items()
    ]  # fmt: skip
    hazards = {"type": "FeatureCollection", "features": [feature]}
    return {
        **zigzag(), "ship": SHIP, "marks": marks, "hazards": hazards,
        "limits": {"min_clearance_m": 300.0},
    }  # fmt: skip


def test_lines_of_a_leg_are_told_chosen_and_undone(watched: Watched, server: str) -> None:
    assert NORTH[0] == (47.0, -30.0)
    page = watched.page
    plan_id = opened(watched, server, stored(server, _inputs()))
    page.get_by_test_id("open-lines").click()
    leg = page.get_by_test_id("lines-leg-Z1")
    leg.locator("summary").click()
    row = page.get_by_test_id("index-row-Z1-0")
    expect(row).to_contain_text("Tower")
    expect(row).to_contain_text("1.50")
    expect(row).to_contain_text("the margin of Zoo rock")
    expect(row).to_contain_text("proposed, not chosen")
    expect(page.get_by_test_id("index-gaps-Z1")).to_contain_text("served")
    clearing = page.get_by_test_id("clearing-row-Z1-0")
    expect(clearing).to_contain_text("Zoo rock")
    expect(clearing).to_contain_text("NLT")
    page.get_by_test_id("index-use-Z1-0-choose").click()
    fresh(page)
    chosen = draft(server, plan_id)["inputs"]["route"]["waypoints"][1]["leg"]
    assert "tower" in chosen["index_mark_ids"]
    assert "index objects" in steps(server, plan_id)[-1]
    expect(leg).to_have_attribute("open", "")
    expect(page.get_by_test_id("index-row-Z1-0")).to_contain_text("chosen")
    page.get_by_test_id("undo").click()
    fresh(page)
    expect(page.get_by_test_id("index-row-Z1-0")).to_contain_text("proposed, not chosen")
    page.goto(f"{server}/plans/{plan_id}#turn=Z1")
    part = page.get_by_test_id("bend-part")
    expect(part).to_contain_text("cross at the centre")
    expect(page.get_by_test_id("bend-row-0")).to_be_visible()
    watched.assert_quiet()
