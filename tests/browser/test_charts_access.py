"""Charts, depth and limits at every width and in every light: reach, names, contrast."""

import os
import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, expect

from tests.browser.charted_waters import shoal_cell, stored
from tests.browser.service import SHIP, ask
from tests.browser.test_narrow import measure

pytestmark = pytest.mark.browser

LIGHTS = ("day", "dusk", "night")
WIDTHS = (320, 400, 900, 1400)
PANELS = ("charts", "depth", "limits")
SETS = {"name": "Access", "coastal": {"min_clearance_m": 1852, "min_ukc_m": 2}}
ROCK = {
    "type": "FeatureCollection",
    "features": [
        {
            "type": "Feature",
            "geometry": {"type": "Point", "coordinates": [-29.99, 47.05]},
            "properties": {"id": "rk", "kind": "rock", "name": "A rock"},
        }
    ],
}

# WCAG 2.2, 1.4.3 (contrast of text), 4.1.2 (names), 1.3.1 (ids told once, heads of columns).
_AUDIT = """(hosts) => {
  const lum = ([r, g, b]) => [r, g, b].map((v) => v / 255)
    .map((v) => (v <= 0.03928 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4))
    .reduce((sum, v, i) => sum + v * [0.2126, 0.7152, 0.0722][i], 0);
  const rgb = (text) => text.match(/[\\d.]+/g).map(Number);
  const ground = (node) => {
    for (let one = node; one; one = one.parentElement) {
      const colour = rgb(getComputedStyle(one).backgroundColor);
      if (colour.length < 4 || colour[3] > 0.99) return colour;
    }
    return [255, 255, 255];
  };
  const shown = (node) => node.offsetParent && getComputedStyle(node).visibility !== 'hidden';
  const faults = [];
  const tell = (words, node) => faults.push(`${words}: ${node.outerHTML.slice(0, 90)}`);
  for (const host of document.querySelectorAll(hosts)) {
    if (!shown(host)) continue;
    for (const node of host.querySelectorAll('*')) {
      if (!shown(node)) continue;
      const text = [...node.childNodes].some((one) => one.nodeType === 3 && one.data.trim());
      if (text && !node.disabled) {
        const [a, b] = [lum(rgb(getComputedStyle(node).color)), lum(ground(node))];
        const ratio = (Math.max(a, b) + 0.05) / (Math.min(a, b) + 0.05);
        if (ratio < 4.5) tell(`contrast ${ratio.toFixed(2)}`, node);
      }
      if (node.matches('input, select, textarea') && !node.labels?.length
          && !node.getAttribute('aria-label')) tell('no label', node);
      if (node.matches('button') && !node.textContent.trim() && !node.getAttribute('aria-label'))
        tell('no name', node);
      if (node.matches('th') && !node.getAttribute('scope'))
        tell('no scope', node);
      for (const id of (node.getAttribute('aria-describedby') || '').split(' ').filter(Boolean))
        if (!document.getElementById(id)) faults.push(`described by nothing: ${id}`);
    }
  }
  const ids = [...document.querySelectorAll('[id]')].map((one) => one.id);
  ids.filter((id, i) => ids.indexOf(id) !== i).forEach((id) => faults.push(`id twice: ${id}`));
  return faults;
}"""
_HOSTS = (
    "#panel-charts, #panel-depth, #panel-limits, #charted, #depths, #rules, #all-dangers,"
    " .plot-layers, #nearest"
)
_KEEP = os.environ.get("WHEELOVER_PICTURES")


@pytest.fixture(scope="module")
def page(browser: Browser, server: str) -> Iterator[Page]:
    """Open a plan with cells, depths and a limit set, all panes of it filled."""
    kept = ask(server, "POST", "/limit-sets", SETS)
    context = browser.new_context(viewport={"width": 1400, "height": 900})
    page = context.new_page()
    ship = {**SHIP, "block_coefficient": 0.8}
    given = {"all_charts": True, "limit_set_id": kept["id"], "limit_set_edition": 1}
    plan_id = stored(server, ship=ship, hazards=ROCK, limits={"water": "coastal"}, **given)
    page.goto(f"{server}/plans/{plan_id}")
    page.get_by_test_id("open-charts").click()
    page.get_by_test_id("cells-file").set_input_files(
        [
            {
                "name": "ZZ5ACC.000",
                "mimeType": "application/octet-stream",
                "buffer": shoal_cell("ZZ5ACC"),
            },
            {"name": "bad.000", "mimeType": "application/octet-stream", "buffer": b"bad"},
        ]
    )
    expect(page.get_by_test_id("import-report")).to_be_visible()
    page.get_by_test_id("cells-none").check()
    page.get_by_test_id("cells-all").check()
    page.get_by_test_id("open-depth").click()
    page.get_by_test_id("leg-charted_depth_m-Z4").fill("14")
    page.get_by_test_id("leg-charted_depth_m-Z4").press("Tab")
    page.locator("[data-testid^=sum-open-leg]").first.click()
    page.get_by_test_id("all-dangers-open").click()
    page.locator("[data-testid^=waive-]").first.click()
    page.get_by_test_id("layer-as-table-no_go").click()
    yield page
    context.close()


def _faults(page: Page) -> list[str]:
    found: list[str] = page.evaluate(_AUDIT, _HOSTS)
    return found


@pytest.mark.parametrize("light", LIGHTS)
def test_names_contrast_and_words(page: Page, light: str) -> None:
    page.get_by_test_id(f"light-{light}").click()
    for panel in PANELS:
        if page.get_by_test_id(f"panel-{panel}").is_hidden():
            page.get_by_test_id(f"open-{panel}").click()
        expect(page.get_by_test_id(f"panel-{panel}").locator("h2")).to_be_visible()
        page.evaluate("document.querySelectorAll('details').forEach((one) => { one.open = true; })")
        page.mouse.move(1, 1)
        assert _faults(page) == []
        text = page.locator("body").inner_text()
        assert not re.search(r"\b(safe|safely|unsafe|all clear|passed|OK)\b", text, re.I)
        if _KEEP:
            _pictures(page, f"{panel}-{light}")


def _pictures(page: Page, name: str) -> None:
    """Keep what a person should look at."""
    for width in WIDTHS:
        page.set_viewport_size({"width": width, "height": 2400})
        page.screenshot(path=Path(_KEEP or ".") / f"{name}-{width}.png")
    page.set_viewport_size({"width": 1400, "height": 900})


@pytest.mark.parametrize("width", WIDTHS)
def test_nothing_scrolls_sideways(page: Page, width: int) -> None:
    page.set_viewport_size({"width": width, "height": 900})
    for panel in PANELS:
        if page.get_by_test_id(f"panel-{panel}").is_hidden():
            page.get_by_test_id(f"open-{panel}").click()
        expect(page.get_by_test_id(f"panel-{panel}").locator("h2")).to_be_visible()
        page.evaluate("document.querySelectorAll('details').forEach((one) => { one.open = true; })")
        measure(page)
