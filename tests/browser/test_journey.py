"""What a navigator does, in a real browser against the real service: bring, read, take, plan."""

import json
import re

import pytest
from playwright.sync_api import Page, expect

from tests.browser.conftest import Watched

pytestmark = pytest.mark.browser

CSV = """id,name,latitude,longitude,turn_radius_nm
A,Zoo roads,47-00.000N,030-00.000W,
B,Zoo bend,47-12.000N,030-00.000W,0.5
C,,47-12.000N,029-40.000W,0.5
D,,47-61.200N,029-30.000W,
E,,47-20.000N,029-20.000
F,,47-24.000N,029-20.000W,
G,Zoo end,47-30.000N,029-10.000W,
"""
DANGERS = {
    "type": "FeatureCollection",
    "features": [
        {
            "type": "Feature",
            "geometry": {"type": "Point", "coordinates": [-29.995, 47.19]},
            "properties": {"id": "rock", "name": "Zoo rock <b>3</b>"},
        }
    ],
}
SHIP = {
    "name": "Zoo carrier",
    "loa_m": "200",
    "beam_m": "32",
    "draught_fore_m": "10",
    "draught_aft_m": "10.2",
    "speed_kn": "12",
    "turn_radius_nm": "0.5",
}


def _value(page: Page, test_id: str, unit: str, row: int = 0) -> float:
    """Return a number of a row, as the service sent it."""
    cell = page.get_by_test_id(test_id).locator(f'[data-unit="{unit}"]').nth(row)
    return float(cell.get_attribute("data-value") or "nan")


def _bring(page: Page, server: str) -> None:
    """Bring the route file and look at its reading report."""
    page.goto(server)
    page.get_by_test_id("route-file").set_input_files(
        {"name": "zoo.csv", "mimeType": "text/csv", "buffer": CSV.encode()}
    )
    row = page.get_by_test_id("report-row-5")
    expect(row).to_contain_text("47-61.200N")
    expect(row).to_contain_text("minutes 61.200, must be under 60")
    expect(page.get_by_test_id("report-row-6")).to_contain_text("no hemisphere")
    expect(page.get_by_test_id("count-accepted")).to_have_text("5")
    expect(page.get_by_test_id("work")).to_be_hidden()


def _enter_ship(page: Page) -> None:
    page.get_by_test_id("open-ship").click()
    for member, text in SHIP.items():
        page.get_by_test_id(f"field-ship-{member}").fill(text)
        page.get_by_test_id(f"field-ship-{member}").press("Tab")


def _assert_hole(page: Page) -> None:
    """The hole keeps its place, its raw rows and its words."""
    expect(page.get_by_test_id("wp-row-A")).to_contain_text("47-00.000N 030-00.000W")
    hole = page.get_by_test_id("hole-row-3")
    expect(hole).to_contain_text("47-61.200N")
    expect(hole).to_contain_text("47-20.000N")
    expect(hole).to_contain_text("nothing is drawn or computed across it")


def test_from_a_file_to_a_stored_plan(watched: Watched, server: str) -> None:
    page = watched.page
    _bring(page, server)
    page.get_by_test_id("take-rows").click()
    expect(page).to_have_url(re.compile(r"/plans/[\w-]+$"))
    _assert_hole(page)
    _enter_ship(page)
    page.get_by_test_id("open-limits").click()
    page.get_by_test_id("field-limits-min_clearance_m").fill("500")
    page.get_by_test_id("field-limits-min_clearance_m").press("Enter")
    page.get_by_test_id("open-dangers").click()
    page.get_by_test_id("dangers-file").set_input_files(
        {
            "name": "zoo.geojson",
            "mimeType": "application/geo+json",
            "buffer": json.dumps(DANGERS).encode(),
        }
    )
    expect(page.get_by_test_id("dangers-loaded")).to_contain_text("zoo, edition 1")
    page.get_by_test_id("open-dangers").click()
    expect(page.get_by_test_id("saved")).to_contain_text("Saved")
    expect(page.get_by_test_id("clearance-row-rock")).to_be_visible()
    _assert_planned(page)
    page.reload()
    expect(page.get_by_test_id("clearance-row-rock")).to_be_visible()
    _assert_hole(page)
    _assert_planned(page)
    watched.assert_quiet()


def _assert_planned(page: Page) -> None:
    """The plan shows its turn, its danger and what was not checked."""
    expect(page.get_by_test_id("work")).to_have_attribute("data-state", "fresh")
    turn = page.get_by_test_id("turn-row-0")
    expect(turn).to_contain_text("GEO")
    expect(turn).to_contain_text("22.9")
    # A name is shown as text, whatever is in it.
    expect(page.get_by_test_id("clearance-row-rock")).to_contain_text("Zoo rock <b>3</b>")
    expect(page.get_by_test_id("clearance-row-rock")).to_contain_text("NOT MET")
    expect(page.get_by_test_id("cautions")).to_contain_text("Planning aid only")
    assert int(page.get_by_test_id("count-not_checked").locator("strong, b").inner_text()) > 5
    done = page.get_by_test_id("checks-done")
    assert int(done.get_attribute("data-done") or 0) < int(done.get_attribute("data-expected") or 0)
    _assert_plot(page)


def test_a_hole_is_filled_where_it_stands(watched: Watched, server: str) -> None:
    page = watched.page
    _bring(page, server)
    page.get_by_test_id("take-rows").click()
    _assert_hole(page)
    page.get_by_test_id("hole-fill-3").fill("47-62.0N 029-30.0W")
    page.get_by_test_id("hole-put-3").click()
    expect(page.get_by_test_id("hole-row-3").get_by_role("alert")).to_contain_text("minutes")
    page.get_by_test_id("hole-fill-3").fill("47-01.200N 029-30.0W")
    page.get_by_test_id("hole-put-3").click()
    hole = page.get_by_test_id("hole-row-4")
    expect(hole).to_contain_text("47-20.000N")
    expect(hole).not_to_contain_text("47-61.200N")
    page.get_by_test_id("hole-join-4").click()
    expect(page.locator(".row-hole")).to_have_count(0)
    page.get_by_test_id("undo").click()
    expect(hole).to_contain_text("47-20.000N")
    page.get_by_test_id("undo").click()
    _assert_hole(page)


def _assert_plot(page: Page) -> None:
    """The Plot shows every leg, turn, waypoint and danger, and is no chart."""
    expect(page.get_by_test_id("plot-pane")).to_contain_text("Not a chart")
    # After a reload the Plot comes a little later than the rows.
    expect(page.locator('[data-plot-item="waypoint-4"]').first).to_be_attached()
    items = page.locator("[data-plot-item]").evaluate_all(
        "all => all.map(one => one.dataset.plotItem)"
    )
    assert {f"waypoint-{index}" for index in range(5)} <= set(items)
    assert "hazard-rock" in items
    assert page.locator("path.line-track").count() >= 4


def _assert_words(page: Page) -> None:
    """No verdict and no course of 360 stands anywhere on the page."""
    text = page.locator("body").inner_text()
    assert not re.search(r"\b(safe|safely|unsafe|all clear|passed|OK)\b", text, re.I)
    assert not re.search(r"\b360\b", text)


def test_the_demonstration(watched: Watched, server: str) -> None:
    page = watched.page
    page.goto(f"{server}/plans/demonstration")
    expect(page.get_by_test_id("work")).to_have_attribute("data-state", "fresh")
    expect(page.get_by_test_id("demo-word")).to_be_visible()
    expect(page.get_by_test_id("plot-demo")).to_have_text("DEMONSTRATION")
    expect(page.get_by_test_id("turn-row-2")).to_contain_text("DOES NOT FIT")
    expect(page.get_by_test_id("clearance-row-gat-wreck")).to_contain_text("NOT MET")
    expect(page.get_by_test_id("dangers-measured")).to_contain_text("6 dangers loaded and measured")
    expect(page.get_by_test_id("clearance-row-gat-bank")).to_contain_text("Gat Bank")
    expect(page.get_by_test_id("leg-row-3")).to_contain_text("not judged: no track here")
    expect(page.locator("path.line-no-track")).to_have_count(3)
    findings = page.get_by_test_id("finding")
    assert findings.count() > 10
    _assert_words(page)
    assert _value(page, "turn-row-0", "NM") == 1.0
    page.get_by_test_id("checks-details").locator("summary").click()
    done = page.get_by_test_id("checks-done")
    rows = page.get_by_test_id("check-row")
    expect(rows).to_have_count(int(done.get_attribute("data-expected") or 0))
    page.get_by_test_id("turn-open-1").click()
    expect(page.get_by_test_id("card-not-checked")).to_be_visible()
    _assert_words(page)
    sent = page.evaluate(
        "performance.getEntriesByType('resource').reduce((all, one) => all + one.transferSize, 0)"
    )
    assert 0 < sent < 400_000
    watched.assert_quiet()


def test_a_refused_value_stays_in_its_field_and_out_of_the_plan(
    watched: Watched, server: str
) -> None:
    page = watched.page
    page.goto(f"{server}/plans/demonstration")
    expect(page.get_by_test_id("work")).to_have_attribute("data-state", "fresh")
    page.get_by_test_id("open-ship").click()
    page.get_by_test_id("field-ship-speed_kn").fill("-1")
    page.get_by_test_id("field-ship-speed_kn").press("Tab")
    expect(page.get_by_test_id("error-field-ship-speed_kn")).to_be_visible()
    expect(page.get_by_test_id("field-ship-speed_kn")).to_have_value("-1")
    expect(page.get_by_test_id("last-step")).to_contain_text("Started")
    expect(page.get_by_test_id("work")).to_have_attribute("data-state", "fresh")
    assert all("422" in complaint for complaint in watched.complaints)


@pytest.mark.parametrize(
    ("name", "body", "says"),
    [
        ("empty.csv", b"", "empty"),
        ("ship.png", b"\x89PNG\r\n", "not UTF-8"),
        ("half.geojson", b'{"type": "LineString", "coordinates": [[1', "line 1"),
    ],
)
def test_files_that_are_no_routes(
    watched: Watched, server: str, name: str, body: bytes, says: str
) -> None:
    page = watched.page
    page.goto(server)
    page.get_by_test_id("route-file").set_input_files(
        {"name": name, "mimeType": "application/octet-stream", "buffer": body}
    )
    expect(page.get_by_test_id("problem")).to_contain_text(says)
    expect(page.get_by_test_id("take-rows")).to_have_count(0)


@pytest.mark.parametrize("light", ["day", "dusk", "night"])
def test_three_lights_at_a_narrow_width(watched: Watched, server: str, light: str) -> None:
    page = watched.page
    page.set_viewport_size({"width": 320, "height": 800})
    page.goto(f"{server}/plans/demonstration")
    expect(page.get_by_test_id("work")).to_have_attribute("data-state", "fresh")
    page.get_by_test_id(f"light-{light}").click()
    expect(page.locator("html")).to_have_attribute("data-light", light)
    wide = page.evaluate("document.documentElement.scrollWidth - window.innerWidth")
    assert wide <= 0
    inside = page.evaluate(
        "(() => { const box = document.querySelector('#ledger .table-box');"
        " return box.scrollWidth - box.clientWidth; })()"
    )
    assert inside <= 0
    backgrounds = {"day": "rgb(244, 243, 239)", "dusk": "rgb(32, 38, 43)", "night": "rgb(6, 5, 5)"}
    assert page.evaluate("getComputedStyle(document.body).backgroundColor") == backgrounds[light]
    page.reload()
    expect(page.locator("html")).to_have_attribute("data-light", light)
    watched.assert_quiet()
