"""Twenty thousand dangers on the Plot: on one canvas, fluid, found by press, key and table."""

import statistics

import pytest
from playwright.sync_api import Page, expect

from tests.bench.plot import dangers, opened, pan, plan_among
from tests.browser.conftest import Watched, box_of

pytestmark = pytest.mark.browser

COUNT = 20_000


@pytest.fixture(scope="module")
def plan_id(server: str) -> str:
    return plan_among(server, COUNT)


def _open(watched: Watched, server: str, plan_id: str) -> Page:
    page = watched.page
    opened(page, f"{server}/plans/{plan_id}", COUNT)
    expect(page.get_by_test_id("plot-not-drawn")).to_contain_text(f"{COUNT} dangers loaded")
    return page


def test_the_plot_stays_fluid(watched: Watched, server: str, plan_id: str) -> None:
    """Coarse, the figure is the bench's: with an element for each a frame takes 500 ms."""
    page = _open(watched, server, plan_id)
    canvas = page.get_by_test_id("dangers-canvas")
    assert int(canvas.get_attribute("data-drawn") or 0) > 0.9 * COUNT
    assert page.locator("#plot *").count() < 3000
    assert page.locator("#work *").count() < 12_000
    frames_ms = pan(page, 120)
    assert len(frames_ms) > 40
    assert statistics.median(frames_ms) < 60.0
    watched.assert_quiet()


def test_a_danger_far_from_the_track_is_selected(
    watched: Watched, server: str, plan_id: str
) -> None:
    """By key on the Plot, by a press on the canvas, by a row of the table; one marks the others."""
    page = _open(watched, server, plan_id)
    for _ in range(5):
        page.locator(".leaflet-control-zoom-in").click()
    page.locator("#plot").focus()
    page.keyboard.press("d")
    words = page.get_by_test_id("plot-not-drawn")
    expect(words).to_contain_text("Selected: danger")
    first = words.inner_text().split(",")[0]
    page.keyboard.press("d")
    expect(words).not_to_contain_text(f"{first},")
    page.keyboard.press("Shift+D")
    expect(words).to_contain_text(f"{first},")
    page.get_by_test_id("all-dangers-open").click()
    page.get_by_test_id("danger-text").fill("danger 19999")
    page.get_by_test_id("danger-text").press("Enter")
    page.get_by_test_id("danger-row-d19999").click()
    expect(words).to_contain_text("Selected: danger 19999")
    page.get_by_test_id("plot-selected").click()
    box = box_of(page.get_by_test_id("plot"))
    page.keyboard.press("Escape")
    page.get_by_test_id("danger-text").fill("")
    page.get_by_test_id("danger-text").press("Enter")
    page.get_by_test_id("page-words").first.filter(has_text="of").wait_for()
    page.get_by_test_id("danger-row-d0").click()
    expect(words).to_contain_text("Selected: danger 0,")
    page.mouse.click(box["x"] + box["width"] / 2.0, box["y"] + box["height"] / 2.0)
    expect(page.locator('[data-any-danger="d19999"]')).to_have_class("is-selected")
    watched.assert_quiet()


def test_the_table_has_every_danger(watched: Watched, server: str, plan_id: str) -> None:
    page = _open(watched, server, plan_id)
    page.get_by_test_id("all-dangers-open").click()
    table = page.get_by_test_id("all-dangers")
    expect(table.get_by_test_id("page-words")).to_contain_text("Rows 1 to 100 of 20")
    ids = page.locator("[data-any-danger]").evaluate_all("all => all.map(x => x.dataset.anyDanger)")
    table.get_by_test_id("page-last").click()
    expect(page.get_by_test_id("danger-row-d19999")).to_be_visible()
    ids += page.locator("[data-any-danger]").evaluate_all(
        "all => all.map(x => x.dataset.anyDanger)"
    )
    assert ids == [f"d{i}" for i in [*range(100), *range(COUNT - 100, COUNT)]]


def test_what_cannot_be_fetched_is_said(watched: Watched, server: str, plan_id: str) -> None:
    page = watched.page
    page.route("**/editions/**", lambda route: route.abort())
    page.goto(f"{server}/plans/{plan_id}")
    words = page.get_by_test_id("plot-not-drawn")
    expect(words).to_contain_text("They were not fetched")
    expect(words).to_contain_text("Loaded dangers not drawn: 16")
    page.unroute("**/editions/**")
    words.get_by_role("button", name="Try again").click()
    expect(words).to_contain_text(f"{COUNT} dangers loaded, all drawn")


def test_the_scene_is_what_it_says() -> None:
    scene = dangers(100)
    kinds = [one["geometry"]["type"] for one in scene["features"]]
    assert {kind: kinds.count(kind) for kind in set(kinds)} == {
        "Point": 80,
        "LineString": 10,
        "Polygon": 10,
    }
