"""The map that stands alone, opened from a file by a Chromium that has no network at all."""

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, Page, expect

from tests import zoo
from tests.render.test_standalone import HOSTILE, fifty, made
from wheelover.render.exports import Stamp

pytestmark = pytest.mark.browser


class Opened:
    """A page opened from a file, every request, complaint and dialog of it kept."""

    def __init__(self, page: Page) -> None:
        self.page = page
        self.asked: list[str] = []
        self.complaints: list[str] = []
        page.on("request", lambda one: self.asked.append(one.url))
        page.on("pageerror", lambda one: self.complaints.append(str(one)))
        page.on("console", lambda one: self.complaints.append(one.text))
        page.on("dialog", lambda one: (self.complaints.append(one.message), one.dismiss()))

    def show(self, folder: Path, request: dict[str, Any]) -> dict[str, Any]:
        file, result = made(request, Stamp(demonstration=True))
        path = folder / file.name
        path.write_bytes(file.body)
        self.page.goto(path.as_uri())
        expect(self.page.locator("html[data-drawn=yes]")).to_have_count(1)
        assert self.asked == [path.as_uri()]
        return result


@pytest.fixture
def opened(browser: Browser) -> Iterator[Opened]:
    context = browser.new_context(viewport={"width": 1400, "height": 1000}, offline=True)
    yield Opened(context.new_page())
    context.close()


def test_it_opens_from_a_file_and_draws_every_layer(opened: Opened, tmp_path: Path) -> None:
    result = opened.show(tmp_path, fifty())
    page = opened.page
    counts: dict[str, int] = {}
    for one in result["layers"]["features"]:
        layer = one["properties"]["layer"]
        counts[layer] = counts.get(layer, 0) + 1
    assert len(counts) >= 9
    for layer, count in counts.items():
        switch = page.get_by_test_id(f"layer-{layer}")
        expect(switch.get_by_role("checkbox")).to_be_checked()
        expect(switch).to_contain_text(f"({count})")
        shapes = page.locator(f".map-box .layer-{layer}")
        assert shapes.count() >= count, layer
        switch.get_by_role("checkbox").uncheck()
        expect(shapes).to_have_count(0)
        switch.get_by_role("checkbox").check()
        assert shapes.count() >= count, layer
    expect(page.locator(".map-box path.coast")).to_have_count(1)
    assert opened.complaints == []


def test_a_press_on_the_map_says_what_the_table_says(opened: Opened, tmp_path: Path) -> None:
    result = opened.show(tmp_path, zoo.request())
    page = opened.page
    page.locator(".map-box .of-hazard").first.dispatch_event("click")
    popup = page.locator(".leaflet-popup-content")
    expect(popup).to_contain_text("Zoo rock")
    popup.get_by_role("button", name="Show in the table").click()
    row = page.locator("tr.is-chosen")
    expect(row).to_be_in_viewport()
    expect(row).to_contain_text("Zoo rock")
    page.get_by_test_id("layer-leg").get_by_role("link", name="as table").click()
    leg = result["legs"][0]
    numbers = page.get_by_test_id("table-leg").locator("tbody tr").first.locator("[data-value]")
    kept = [float(one.get_attribute("data-value") or "") for one in numbers.all()]
    assert leg["course_deg"] in kept
    assert leg["distance_nm"] in kept
    assert opened.complaints == []


def test_hostile_names_run_nothing(opened: Opened, tmp_path: Path) -> None:
    request = zoo.request()
    request["route"]["name"] = HOSTILE[1]
    for number, waypoint in enumerate(request["route"]["waypoints"]):
        waypoint.update(id=f"{number}{HOSTILE[0]}", name=HOSTILE[number])
    request["hazards"]["features"][0]["properties"].update(id=HOSTILE[3], name=HOSTILE[1])
    opened.show(tmp_path, request)
    page = opened.page
    for point in page.locator(".map-box .point").all():
        point.dispatch_event("click")
        expect(page.locator(".leaflet-popup-content").last).to_be_visible()
    assert page.locator("img").count() == 0
    expect(page.get_by_role("heading", level=1)).to_have_text(HOSTILE[1])
    assert opened.complaints == []
    # What stood in the names is markup that the policy would stop as well.
    page.evaluate(
        "document.body.append(Object.assign(document.createElement('script'), {text: 'x=1'}))"
    )
    assert any("Content Security Policy" in one for one in opened.complaints)
    assert page.evaluate("typeof x") == "undefined"


def test_it_goes_dark(opened: Opened, tmp_path: Path) -> None:
    opened.show(tmp_path, zoo.request())
    page = opened.page
    page.get_by_role("button", name="Night").click()
    expect(page.locator("body")).to_have_css("background-color", "rgb(6, 5, 5)")
    lightest = page.evaluate(
        """() => Math.max(...[...document.querySelectorAll("body *")].map((one) => {
          const parts = getComputedStyle(one).backgroundColor.match(/[\\d.]+/g).map(Number);
          return parts[3] === 0 ? 0 : Math.max(...parts.slice(0, 3));
        }))"""
    )
    assert lightest < 80
    assert opened.complaints == []


def test_the_system_s_own_choice_is_kept_until_another_is_made(
    browser: Browser, tmp_path: Path
) -> None:
    context = browser.new_context(color_scheme="dark", offline=True)
    opened = Opened(context.new_page())
    opened.show(tmp_path, zoo.request())
    expect(opened.page.locator("body")).to_have_css("background-color", "rgb(32, 38, 43)")
    context.close()
