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
    expect(clearing).to_contain_text("proposed, not chosen")
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


def _of_leg(server: str, plan_id: str) -> dict[str, Any]:
    """Return what is asked of the first leg."""
    found: dict[str, Any] = (
        draft(server, plan_id)["inputs"]["route"]["waypoints"][1].get("leg") or {}
    )
    return found


def test_marks_to_clear_by_are_chosen_left_out_and_left_to_the_rank(
    watched: Watched, server: str
) -> None:
    """What the page asks for is what the draft keeps, and every step of it has a name."""
    page = watched.page
    inputs = _inputs()
    lat, lon = beside(12_500.0, 600.0)
    inputs["marks"].append({"id": "chapel", "name": "Chapel", "lat_deg": lat, "lon_deg": lon,
                            "kind": "landmark"})  # fmt: skip
    plan_id = opened(watched, server, stored(server, inputs))
    before = _of_leg(server, plan_id)
    page.get_by_test_id("open-lines").click()
    page.get_by_test_id("lines-leg-Z1").locator("summary").click()
    rows = page.locator("[data-testid^=clearing-row-Z1-]")
    used = {one.get_attribute("data-mark") for one in rows.all()}
    assert len(used) > 1
    page.get_by_test_id("clearing-choose-Z1-0").click()
    fresh(page)
    assert set(_of_leg(server, plan_id)["clearing_mark_ids"]) == used
    assert "clearing marks: none to" in steps(server, plan_id)[-1]
    expect(page.get_by_test_id("clearing-row-Z1-0")).not_to_contain_text("proposed")
    expect(page.get_by_test_id("clearing-row-Z1-0")).to_contain_text("chosen")
    left = page.get_by_test_id("clearing-row-Z1-0").get_attribute("data-mark")
    page.get_by_test_id("clearing-leave-Z1-0").click()
    fresh(page)
    assert set(_of_leg(server, plan_id)["clearing_mark_ids"]) == used - {left}
    expect(page.locator(f"[data-testid^=clearing-row-Z1-][data-mark={left}]")).to_have_count(0)
    page.get_by_test_id("clearing-other-Z1").select_option(left)
    page.get_by_test_id("clearing-other-Z1-take").click()
    fresh(page)
    assert set(_of_leg(server, plan_id)["clearing_mark_ids"]) == used
    page.get_by_test_id("undo").click()
    fresh(page)
    assert set(_of_leg(server, plan_id)["clearing_mark_ids"]) == used - {left}
    page.get_by_test_id("clearing_mark_ids-clear-Z1").click()
    fresh(page)
    assert _of_leg(server, plan_id).get("clearing_mark_ids") is None
    assert _of_leg(server, plan_id) == before
    expect(page.get_by_test_id("clearing-row-Z1-0")).to_contain_text("proposed, not chosen")
    watched.assert_quiet()
