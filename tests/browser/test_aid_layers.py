"""Layers to steer and watch by on the Plot: a switch that stays, a table of them, and a file."""

from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Page, expect

from tests.browser.conftest import Watched
from tests.browser.service import ask, draft, stored, waypoint
from wheelover.formats.strict_json import read_json

pytestmark = pytest.mark.browser

MARK = {
    "id": "tower",
    "name": "Tower",
    "lat_deg": 47.02,
    "lon_deg": -30.05,
    "kind": "landmark",
    "height_m": 40.0,
    "radar_conspicuous": True,
}
CALL = {
    "id": "call",
    "kind": "report",
    "leg_to_id": "W2",
    "before_nm": 2.0,
    "channel": "VHF 12",
    "text": "Name and ETA.",
}


def _plan(server: str) -> str:
    request = {
        "route": {
            "name": "Bend with a tower",
            "waypoints": [
                waypoint("W1", 47.10, -30.00, turn_radius_nm=0.5),
                waypoint("W2", 47.00, -30.00, turn_radius_nm=0.5, leg={"speed_kn": 12.0}),
                waypoint("W3", 47.00, -29.85, leg={"speed_kn": 12.0}),
            ],
        },
        "marks": [MARK],
        "points": [CALL],
    }
    return stored(server, request)


def _features(server: str, plan_id: str, layer: str) -> list[dict[str, Any]]:
    answer = ask(server, "POST", "/plan", draft(server, plan_id)["inputs"])
    rows = answer["layers"]["features"]
    return [one for one in rows if one["properties"]["layer"] == layer]


def _open(watched: Watched, server: str, plan_id: str) -> Page:
    page = watched.page
    page.goto(f"{server}/plans/{plan_id}")
    expect(page.get_by_test_id("work")).to_have_attribute("data-state", "fresh")
    page.get_by_test_id("aids").locator("summary").click()
    return page


def test_a_layer_is_switched_off_and_stays_so(watched: Watched, server: str) -> None:
    plan_id = _plan(server)
    page = _open(watched, server, plan_id)
    drawn = page.locator('[data-testid="plot-aids"] [data-aid="mark"]')
    expect(drawn).to_have_count(len(_features(server, plan_id, "mark")))
    page.get_by_test_id("layer-mark").uncheck()
    expect(drawn).to_have_count(0)
    expect(page.locator('[data-testid="plot-aids"] [data-aid="point"]')).to_have_count(1)
    page.reload()
    expect(page.get_by_test_id("work")).to_have_attribute("data-state", "fresh")
    expect(page.locator('[data-testid="plot-aids"] [data-aid="point"]')).to_have_count(1)
    expect(drawn).to_have_count(0)
    page.get_by_test_id("aids").locator("summary").click()
    page.get_by_test_id("layer-mark").check()
    expect(drawn).to_have_count(1)


def test_every_layer_has_its_features_as_a_table_and_a_file(
    watched: Watched, server: str, tmp_path: Path
) -> None:
    plan_id = _plan(server)
    page = _open(watched, server, plan_id)
    page.get_by_test_id("layer-as-table-point").click()
    rows = page.get_by_test_id("layer-table-point").locator("tbody tr")
    expect(rows).to_have_count(1)
    expect(rows.first).to_contain_text("channel: VHF 12")
    expect(rows.first).to_contain_text("text: Name and ETA.")
    with page.expect_download() as waiting:
        page.get_by_test_id("layer-save-point").click()
    waiting.value.save_as(tmp_path / "point.geojson")
    saved = read_json((tmp_path / "point.geojson").read_bytes())
    assert saved["features"] == _features(server, plan_id, "point")
    assert saved["cautions"]
