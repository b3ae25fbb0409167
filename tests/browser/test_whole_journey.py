"""The whole of it in one story, on the sample files: bring, read, take, plan, change, give out.

Every file goes in by one of the three ways, and every export is read back by the service.
"""

import json
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Page, expect

from tests.browser.conftest import Watched
from tests.browser.service import ask, draft, ids_of, place_of, stored
from tests.browser.test_editing import _grip as grip
from tests.browser.test_editing import fresh, type_into
from wheelover.formats.strict_json import read_json
from wheelover.usecases.read_route import read_route_file

pytestmark = pytest.mark.browser

SAMPLES = Path(__file__).parents[2] / "sample_routes"

DROP = """([name, text]) => {
  const data = new DataTransfer();
  data.items.add(new File([text], name));
  const place = document.querySelector('[data-testid="route-drop"]');
  const more = { dataTransfer: data, bubbles: true, cancelable: true };
  place.dispatchEvent(new DragEvent("drop", more));
}"""


def _text(name: str) -> str:
    return (SAMPLES / name).read_text("utf-8")


def _drop(page: Page, name: str) -> None:
    page.evaluate(DROP, [name, _text(name)])


def _paste(page: Page, name: str) -> None:
    page.get_by_test_id("route-paste").fill(_text(name))
    page.get_by_test_id("route-paste-read").click()


def _pick(page: Page, name: str) -> None:
    page.get_by_test_id("route-file").set_input_files(SAMPLES / name)


@pytest.mark.parametrize(
    ("name", "bring", "rows"),
    [
        ("coastal.csv", _drop, 6),
        ("antimeridian.geojson", _paste, 4),
        ("equator.gpx", _pick, 4),
        ("round-a-light.rtz", _drop, 3),
        ("lines-and-areas.rtz", _paste, 3),
        ("short-legs.rtz", _pick, 4),
    ],
    ids=["csv", "geojson", "gpx", "exchange 1.0", "exchange 1.1", "exchange 1.2"],
)
def test_every_format_is_brought_in_and_drawn(
    watched: Watched, server: str, name: str, bring: Any, rows: int
) -> None:
    page = watched.page
    page.goto(server)
    bring(page, name)
    expect(page.get_by_test_id("count-accepted")).to_have_text(str(rows))
    page.get_by_test_id("take-rows").click()
    page.wait_for_url("**/plans/*")
    fresh(page)
    expect(page.locator("[data-plot-item^=waypoint-]")).to_have_count(rows)
    assert page.locator("path.line-track").count() >= rows - 1
    expect(page.locator("[data-testid^=leg-row-]")).to_have_count(rows - 1)
    watched.assert_quiet()


def test_lines_are_drawn_as_lines_and_areas_as_areas(watched: Watched, server: str) -> None:
    page = watched.page
    inputs = {
        "route": read_route_file((SAMPLES / "lines-and-areas.csv").read_bytes(), "a")["route"],
        "hazards": read_json((SAMPLES / "lines-and-areas-hazards.geojson").read_bytes()),
    }
    page.goto(f"{server}/plans/{stored(server, inputs)}")
    fresh(page)
    edges = page.locator("path.line-edge")
    expect(edges).to_have_count(3)  # the Plot comes a little later than the rows
    fills = edges.evaluate_all("all => all.map((one) => getComputedStyle(one).fill)")
    assert fills.count("none") == 1
    expect(page.get_by_test_id("clearance-row-ring-bank")).to_contain_text("CROSSED")
    expect(page.get_by_test_id("clearance-row-ring-bank")).to_contain_text("ON THE TRACK")
    page.get_by_test_id("turn-open-0").click()
    # Their corners lie outside the card: what they enclose may not.
    expect(page.locator(".card-view .card-area")).to_have_count(2)
    expect(page.locator(".card-view .line-edge:not(.card-area)")).to_have_count(1)
    watched.assert_quiet()


def _bring_bad_rows(page: Page, server: str) -> str:
    """Every row's own text beside what was understood of it or why it was not; then take them."""
    page.goto(server)
    _pick(page, "bad-rows.csv")
    expect(page.get_by_test_id("count-accepted")).to_have_text("5")
    reasons = {3: "minutes 61.000", 5: "over 90 degrees", 6: "longitude is empty", 11: "'fast'"}
    lines = _text("bad-rows.csv").splitlines()
    for line, reason in reasons.items():
        row = page.get_by_test_id(f"report-row-{line}")
        expect(row).to_contain_text(lines[line - 1])
        expect(row).to_contain_text(reason)
    expect(page.get_by_test_id("report-row-2")).to_contain_text("46-10.000N 031-00.000W")
    page.get_by_test_id("take-rows").click()
    page.wait_for_url("**/plans/*")
    fresh(page)
    expect(page.locator(".row-hole")).to_have_count(3)
    expect(page.locator("[data-testid^=leg-row-]")).to_have_count(1)
    return page.url.rsplit("/", 1)[1]


def _take_coastal(page: Page, server: str) -> str:
    """Take the coastal passage, and return the id of its plan."""
    page.goto(server)
    _drop(page, "coastal.csv")
    page.get_by_test_id("take-rows").click()
    page.wait_for_url("**/plans/*")
    fresh(page)
    return page.url.rsplit("/", 1)[1]


def _give_ship_and_dangers(page: Page, ship_id: str) -> None:
    """Pick a stored ship, a limit, and dangers from a file."""
    page.get_by_test_id("open-ship").click()
    page.get_by_test_id("ship-choice").select_option(ship_id)
    page.get_by_test_id("use-ship").click()
    fresh(page)
    page.get_by_test_id("open-limits").click()
    type_into(page, "field-limits-min_clearance_m", "926")
    page.get_by_test_id("open-dangers").click()
    page.get_by_test_id("dangers-file").set_input_files(SAMPLES / "coastal-hazards.geojson")
    expect(page.get_by_test_id("used-set")).to_contain_text("3 dangers")
    page.get_by_test_id("open-dangers").click()
    fresh(page)


def _look_at_the_plan(page: Page) -> None:
    """Coast, legs, arcs, wheel-overs and dangers are drawn; the ledger runs in sailing order."""
    expect(page.get_by_test_id("coast")).to_be_attached()
    expect(page.locator("path.line-arc")).to_have_count(4)
    items = page.locator("[data-plot-item]").evaluate_all("all => all.map(o => o.dataset.plotItem)")
    assert {*(f"waypoint-{i}" for i in range(6)), *(f"turn-{i}" for i in range(4))} <= set(items)
    assert {"hazard-bold-rock", "hazard-bird-wreck", "hazard-bar-spit"} <= set(items)
    rows = page.locator("#ledger [data-testid]").evaluate_all(
        "all => all.map(one => one.dataset.testid).filter(id => /^(wp|leg|turn)-row-/.test(id))"
    )
    wanted = ["wp-row-1", "leg-row-0"]
    for number in range(2, 6):
        wanted += [f"wp-row-{number}", f"turn-row-{number - 2}", f"leg-row-{number - 1}"]
    assert rows == [*wanted, "wp-row-6"]
    expect(page.get_by_test_id("clearance-row-bar-spit")).to_contain_text("NOT MET")
    expect(page.get_by_test_id("cautions")).to_contain_text("Planning aid only")
    assert page.get_by_test_id("finding").count() > 8


def _page_the_cards(page: Page) -> None:
    """There is a card for each alteration of course, with every method on it."""
    page.get_by_test_id("turn-open-0").click()
    for number in range(4):
        row = page.get_by_test_id("method-geometric")
        expect(row).to_have_attribute("data-state", "computed")
        other = page.get_by_test_id("method-simulated")
        expect(other).to_have_attribute("data-state", "not_applicable")
        if number < 3:
            page.get_by_test_id("card-next").click()
    page.get_by_test_id("card-close").click()
    fresh(page)


def _assert_each_id_once(page: Page) -> None:
    """A label names its field by an id: two of one id would mix them up."""
    doubled = page.evaluate(
        "(() => { const ids = [...document.querySelectorAll('[id]')].map((one) => one.id);"
        " return ids.filter((id, at) => ids.indexOf(id) !== at); })()"
    )
    assert doubled == []


def _change_and_take_back(page: Page, server: str, plan_id: str) -> None:
    """Type, drag, insert, remove; undo and redo; a reload loses nothing."""
    page.get_by_test_id("edit-3").click()
    type_into(page, "edit-position", "39-19.000N 009-50.000W")
    expect(page.get_by_test_id("last-step")).to_contain_text("Moved WPT 03")
    type_into(page, "edit-radius", "1.2")
    type_into(page, "edit-speed_kn", "11")
    fresh(page)
    typed = draft(server, plan_id)["inputs"]["route"]["waypoints"][2]
    assert (typed["turn_radius_nm"], typed["leg"]["speed_kn"]) == (1.2, 11)
    assert abs(typed["lat_deg"] - (39 + 19 / 60)) < 1e-9
    _assert_each_id_once(page)
    x, y = grip(page, 1)
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x - 12, y - 6, steps=4)
    page.mouse.up()
    fresh(page)
    assert place_of(server, plan_id, "2")[1] < -9.75
    page.get_by_test_id("edit-3").click()
    page.keyboard.press("Escape")
    page.get_by_test_id("wp-row-3").click(position={"x": 200, "y": 8})
    page.keyboard.press("n")
    expect(page.get_by_test_id("last-step")).to_contain_text("Inserted")
    fresh(page)
    assert len(ids_of(server, plan_id)) == 7
    page.get_by_test_id("edit-remove").click()
    expect(page.get_by_test_id("last-step")).to_contain_text("Removed")
    fresh(page)
    page.get_by_test_id("edit-3").click()
    type_into(page, "edit-name", "Bird Stacks, outside")
    fresh(page)
    changed = draft(server, plan_id)["inputs"]
    for count in (6, 7, 6):
        page.get_by_test_id("undo").click()
        fresh(page)
        waypoints = draft(server, plan_id)["inputs"]["route"]["waypoints"]
        assert len(waypoints) == count
        assert [one["name"] for one in waypoints if one["id"] == "3"] == ["Bird Stacks"]
    page.reload()
    fresh(page)
    assert len(ids_of(server, plan_id)) == 6
    for _ in range(3):
        assert draft(server, plan_id)["inputs"] != changed
        page.get_by_test_id("redo").click()
        fresh(page)
    assert draft(server, plan_id)["inputs"] == changed


def _export_and_read_back(page: Page, server: str, plan_id: str) -> None:
    """Each export is a file that reads back to the route of the plan."""
    route = draft(server, plan_id)["inputs"]["route"]
    page.get_by_test_id("open-files").click()
    for form in ("geojson", "rtz", "gpx", "csv"):
        with page.expect_download() as download:
            page.get_by_test_id(f"export-{form}").click()
        body = Path(download.value.path()).read_bytes()
        assert b"Planning aid only" in body
        back = read_route_file(body, download.value.suggested_filename)
        assert (back["format"], back["rejected_count"]) == (form, 0)
        assert back["route"]["name"] == route["name"]
        for one, other in zip(back["route"]["waypoints"], route["waypoints"], strict=True):
            place = {m: pytest.approx(other[m], rel=0.0, abs=1e-9) for m in ("lat_deg", "lon_deg")}
            assert one == {**other, **place}


def test_the_whole_journey(watched: Watched, server: str) -> None:
    page = watched.page
    holed = _bring_bad_rows(page, server)
    ship = read_json((SAMPLES / "ship-coaster-84.json").read_bytes())
    ship_id = ask(server, "POST", "/ships", {**ship, "name": "A journey's coaster"})["id"]
    plan_id = _take_coastal(page, server)
    assert plan_id != holed
    _give_ship_and_dangers(page, ship_id)
    _look_at_the_plan(page)
    _page_the_cards(page)
    _change_and_take_back(page, server, plan_id)
    _export_and_read_back(page, server, plan_id)
    page.goto(server)
    expect(page.get_by_test_id(f"plan-row-{holed}")).to_be_visible()
    expect(page.get_by_test_id(f"plan-row-{plan_id}")).to_be_visible()
    stored = json.dumps(draft(server, holed)["inputs"])
    assert stored.count("gap_before") == 3
    watched.assert_quiet()
