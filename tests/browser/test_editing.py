"""Changing a stored plan in the page: typed, dragged, by keys; undone, redone and still there."""

import re

import pytest
from playwright.sync_api import Page, expect
from pyproj import Geod

from tests.browser.conftest import Watched, box_of
from tests.browser.service import ask, draft, ids_of, place_of, stored

pytestmark = pytest.mark.browser

WGS84 = Geod(ellps="WGS84")


def fresh(page: Page) -> None:
    """Wait until every change is stored and computed."""
    expect(page.get_by_test_id("saved")).to_contain_text("Saved")
    expect(page.get_by_test_id("work")).to_have_attribute("data-state", "fresh")


def opened(watched: Watched, server: str, plan_id: str | None = None) -> str:
    """Open a plan of the test's own and return its id."""
    plan_id = plan_id or stored(server)
    watched.page.goto(f"{server}/plans/{plan_id}")
    fresh(watched.page)
    return plan_id


def steps(server: str, plan_id: str) -> list[str]:
    """Return the names of the steps of a plan, oldest first."""
    return [one["label"] for one in reversed(draft(server, plan_id)["steps"])]


def type_into(page: Page, test_id: str, text: str) -> None:
    """Type a text and leave the field, as a person does."""
    page.get_by_test_id(test_id).fill(text)
    page.get_by_test_id(test_id).press("Tab")


@pytest.mark.parametrize(
    "text",
    [
        "47 06.456 N 30 01.5 W",
        "47-06.456N 030-01.500W",
        "+47.1076, -30.025",
        "47°06.456'N 030°01.500'W",
        "47°06'27.36\"N 30°01'30\"W",
    ],
)
def test_a_position_is_typed_in_any_usual_spelling(
    watched: Watched, server: str, text: str
) -> None:
    page = watched.page
    plan_id = opened(watched, server)
    page.get_by_test_id("edit-Z1").click()
    type_into(page, "edit-position", text)
    expect(page.get_by_test_id("edit-position")).to_have_value("47-06.456N 030-01.500W")
    expect(page.get_by_test_id("last-step")).to_contain_text("Moved WPT 02")
    fresh(page)
    expect(page.get_by_test_id("wp-row-Z1")).to_contain_text("47-06.456N 030-01.500W")
    lat_deg, lon_deg = place_of(server, plan_id, "Z1")
    assert abs(lat_deg - (47 + 6.456 / 60)) < 1e-9
    assert abs(lon_deg + (30 + 1.5 / 60)) < 1e-9
    assert steps(server, plan_id)[-1].startswith("Moved WPT 02")
    watched.assert_quiet()


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("47 61.2 N 30 00 W", "minutes"),
        ("47-06.4 030-01.5W", "hemisphere"),
        ("91-00.000N 030-00.000W", "90"),
    ],
)
def test_a_doubtful_position_is_refused_beside_its_field(
    watched: Watched, server: str, text: str, says: str
) -> None:
    page = watched.page
    plan_id = opened(watched, server)
    page.get_by_test_id("edit-Z1").click()
    type_into(page, "edit-position", text)
    expect(page.get_by_test_id("edit-position-error")).to_contain_text(
        re.compile(says, re.IGNORECASE)
    )
    expect(page.get_by_test_id("edit-position")).to_have_value(text)
    assert steps(server, plan_id) == ["Started"]


def test_values_are_typed_with_units_and_echoed(watched: Watched, server: str) -> None:
    page = watched.page
    plan_id = opened(watched, server)
    page.get_by_test_id("edit-Z1").click()
    type_into(page, "edit-radius", "3.2cab")
    type_into(page, "edit-speed_kn", "10 kn")
    type_into(page, "edit-min_clearance_m", "0.5nm")
    type_into(page, "edit-name", "abeam the zoo")
    page.get_by_test_id("edit-line").select_option("geodesic")
    page.get_by_test_id("edit-wheel-over").select_option("own")
    type_into(page, "edit-own", "0.45")
    fresh(page)
    expect(page.get_by_test_id("edit-radius")).to_have_value("0.32")
    expect(page.get_by_test_id("edit-min_clearance_m")).to_have_value("926")
    found = draft(server, plan_id)["inputs"]["route"]["waypoints"][1]
    assert found["turn_radius_nm"] == 0.32
    assert found["name"] == "abeam the zoo"
    assert found["wheel_over"] == {"distance_nm": 0.45}
    assert found["leg"] == {"speed_kn": 10, "min_clearance_m": 926, "line": "geodesic"}
    expect(page.get_by_test_id("turn-row-0")).to_contain_text("OWN")
    type_into(page, "edit-radius", "half a mile")
    expect(page.get_by_test_id("edit-radius-error")).to_contain_text("not a number")
    type_into(page, "edit-radius", "0.4 kn")
    expect(page.get_by_test_id("edit-radius-error")).to_contain_text("unit kn")
    watched.assert_quiet()


def test_what_the_service_refuses_is_said_at_the_field(watched: Watched, server: str) -> None:
    page = watched.page
    plan_id = opened(watched, server)
    page.get_by_test_id("edit-Z1").click()
    type_into(page, "edit-radius", "-1")
    expect(page.get_by_test_id("edit-radius-error")).to_be_visible()
    expect(page.get_by_test_id("problem")).to_contain_text("not taken")
    type_into(page, "edit-name", "still works")
    fresh(page)
    found = draft(server, plan_id)["inputs"]["route"]["waypoints"][1]
    assert found["name"] == "still works"
    assert "turn_radius_nm" not in found


def _waypoint_on_plot(page: Page, index: int) -> tuple[float, float]:
    """Return where a waypoint is drawn: the middle of its two bars."""
    bars = page.locator(f'[data-plot-item="waypoint-{index}"] .waypoint-bars')
    box = box_of(bars)
    return box["x"] + box["width"] / 2, box["y"] + box["height"] / 2


def _grip(page: Page, index: int) -> tuple[float, float]:
    """Return a place on the number plate of a waypoint, where a pointer can take hold of it."""
    plate = page.locator(f'[data-plot-item="waypoint-{index}"] .number-plate')
    box = box_of(plate)
    return box["x"] + box["width"] / 2, box["y"] + box["height"] / 2


def test_a_waypoint_is_dragged(watched: Watched, server: str) -> None:
    page = watched.page
    plan_id = opened(watched, server)
    before = page.get_by_test_id("leg-row-1").inner_text()
    x, y = _grip(page, 2)
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x + 20, y - 10, steps=4)
    page.mouse.move(x + 40, y - 30, steps=4)
    leg = page.get_by_test_id("leg-row-1")
    expect(leg).to_have_attribute("data-state", "fresh")
    expect(leg).not_to_have_text(before)
    expect(page.get_by_test_id("work")).to_have_attribute("data-state", "stale")
    expect(page.get_by_test_id("wp-row-Z5")).to_have_attribute("data-state", "stale")
    assert draft(server, plan_id)["edit"] == 1
    page.mouse.up()
    fresh(page)
    lat_deg, lon_deg = place_of(server, plan_id, "Z2")
    assert lat_deg > 47.1
    assert lon_deg > -29.8
    assert steps(server, plan_id)[-1].startswith("Moved WPT 03")
    computed = ask(server, "GET", f"/plans/{plan_id}/computed")
    shown = leg.locator('[data-unit="deg T"]').first.get_attribute("data-value")
    assert float(shown or "nan") == computed["legs"][1]["course_deg"]
    watched.assert_quiet()


def test_the_page_does_not_scroll_under_a_drag(watched: Watched, server: str) -> None:
    """The row of the waypoint lies out of view; bringing it in would move the Plot."""
    page = watched.page
    page.set_viewport_size({"width": 1400, "height": 820})
    plan_id = opened(watched, server)
    x, y = _grip(page, 4)
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x + 5, y, steps=5)
    page.mouse.move(x, y, steps=5)
    expect(page.get_by_test_id("moving")).to_be_visible()
    assert page.evaluate("window.scrollY") == 0
    page.mouse.up()
    fresh(page)
    assert place_of(server, plan_id, "Z4") == (47.2, -29.6)
    assert steps(server, plan_id) == ["Started"]


def test_escape_puts_a_dragged_waypoint_back(watched: Watched, server: str) -> None:
    page = watched.page
    plan_id = opened(watched, server)
    before = page.get_by_test_id("ledger-table").inner_text()
    x, y = _grip(page, 2)
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x + 40, y - 30, steps=4)
    expect(page.get_by_test_id("leg-row-1")).to_have_attribute("data-state", "fresh")
    page.keyboard.press("Escape")
    page.mouse.up()
    fresh(page)
    assert page.get_by_test_id("ledger-table").inner_text() == before
    assert steps(server, plan_id) == ["Started"]
    watched.assert_quiet()


@pytest.mark.parametrize("way", ["keys", "typed"])
def test_three_hundredths_of_a_mile_due_east(watched: Watched, server: str, way: str) -> None:
    """By M and arrows, and by bearing and distance, without a pointer after the first focus."""
    page = watched.page
    plan_id = opened(watched, server)
    before = place_of(server, plan_id, "Z3")
    page.get_by_test_id("wp-row-Z3").focus()
    page.get_by_test_id("wp-row-Z3").press("ArrowDown")
    page.keyboard.press("ArrowUp")
    if way == "keys":
        page.keyboard.press("m")
        for _ in range(3):
            page.keyboard.press("ArrowRight")
        page.keyboard.press("Enter")
    else:
        page.keyboard.press("F2")
        type_into(page, "edit-offset", "090 0.03")
    expect(page.get_by_test_id("last-step")).to_contain_text("Moved WPT 04 0.03 NM 090 T")
    fresh(page)
    after = place_of(server, plan_id, "Z3")
    bearing, _, distance = WGS84.inv(before[1], before[0], after[1], after[0])
    assert abs(distance - 0.03 * 1852) < 1.0
    assert abs(bearing - 90) < 0.5
    assert abs(after[0] - before[0]) < 1e-7
    watched.assert_quiet()


def test_escape_ends_a_move_by_keys_without_a_step(watched: Watched, server: str) -> None:
    page = watched.page
    plan_id = opened(watched, server)
    page.get_by_test_id("wp-row-Z3").click(position={"x": 200, "y": 8})
    page.keyboard.press("m")
    page.keyboard.press("Shift+ArrowUp")
    expect(page.get_by_test_id("moving")).to_contain_text("47-12.100N")
    page.keyboard.press("Escape")
    fresh(page)
    expect(page.get_by_test_id("wp-row-Z3")).to_contain_text("47-12.000N")
    assert steps(server, plan_id) == ["Started"]


def test_insert_and_remove_keep_every_other_id(watched: Watched, server: str) -> None:
    page = watched.page
    plan_id = opened(watched, server)
    page.get_by_test_id("wp-row-Z1").focus()
    page.get_by_test_id("wp-row-Z1").click(position={"x": 200, "y": 8})
    page.keyboard.press("n")
    expect(page.get_by_test_id("last-step")).to_contain_text("Inserted WPT 03")
    fresh(page)
    ids = ids_of(server, plan_id)
    new = ids[2]
    assert [one for one in ids if one != new] == [f"Z{i}" for i in range(6)]
    lat_deg, lon_deg = place_of(server, plan_id, new)
    assert abs(lat_deg - 47.1) < 1e-6
    assert abs(lon_deg + 29.9) < 1e-6
    expect(page.get_by_test_id("editor")).to_contain_text("WPT 03")
    page.get_by_test_id("edit-remove").click()
    expect(page.get_by_test_id("last-step")).to_contain_text("Removed WPT 03")
    fresh(page)
    assert ids_of(server, plan_id) == [f"Z{i}" for i in range(6)]
    page.get_by_test_id("wp-row-Z0").click(position={"x": 200, "y": 8})
    page.keyboard.press("Delete")
    expect(page.get_by_test_id("last-step")).to_contain_text("Removed WPT 01")
    fresh(page)
    assert ids_of(server, plan_id) == [f"Z{i}" for i in range(1, 6)]
    watched.assert_quiet()


def test_a_waypoint_is_placed_on_the_plot(watched: Watched, server: str) -> None:
    page = watched.page
    plan_id = opened(watched, server)
    page.get_by_test_id("edit-Z1").click()
    page.get_by_test_id("edit-place").click()
    (x1, y1), (x2, y2) = _waypoint_on_plot(page, 1), _waypoint_on_plot(page, 2)
    page.mouse.click((x1 + x2) / 2 + 30, (y1 + y2) / 2)  # on the line of the leg itself
    expect(page.get_by_test_id("last-step")).to_contain_text("Inserted WPT 03")
    fresh(page)
    lat_deg, lon_deg = place_of(server, plan_id, ids_of(server, plan_id)[2])
    assert abs(lat_deg - 47.1) < 0.01
    assert -30.0 < lon_deg < -29.8


def test_three_edits_back_and_forth(watched: Watched, server: str) -> None:
    page = watched.page
    plan_id = opened(watched, server)
    original = draft(server, plan_id)["inputs"]
    page.get_by_test_id("edit-Z2").click()
    type_into(page, "edit-radius", "0.7")
    type_into(page, "edit-offset", "045 0.2")
    expect(page.get_by_test_id("last-step")).to_contain_text("Moved WPT 03")
    type_into(page, "edit-name", "Third edit")
    expect(page.get_by_test_id("last-step")).to_contain_text("Third edit")
    fresh(page)
    edited = draft(server, plan_id)["inputs"]
    assert edited != original
    page.locator("#ledger-title").click()
    for _ in range(3):
        page.keyboard.press("Control+z")
    expect(page.get_by_test_id("undo")).to_be_disabled()
    fresh(page)
    assert draft(server, plan_id)["inputs"] == original
    page.reload()
    fresh(page)
    expect(page.get_by_test_id("redo")).to_contain_text("radius")
    page.get_by_test_id("redo").click()
    page.keyboard.press("Control+y")
    page.keyboard.press("Control+Shift+z")
    expect(page.get_by_test_id("redo")).to_be_disabled()
    fresh(page)
    assert draft(server, plan_id)["inputs"] == edited
    watched.assert_quiet()


def test_single_keys_do_nothing_while_text_is_typed(watched: Watched, server: str) -> None:
    page = watched.page
    plan_id = opened(watched, server)
    page.get_by_test_id("edit-Z2").click()
    page.get_by_test_id("edit-name").click()
    page.keyboard.type("mn[]fgl")
    page.keyboard.press("Delete")
    page.keyboard.press("Tab")
    fresh(page)
    assert draft(server, plan_id)["inputs"]["route"]["waypoints"][2]["name"] == "mn[]fgl"
    assert len(ids_of(server, plan_id)) == 6


def test_edits_made_at_once_are_stored_in_their_order(watched: Watched, server: str) -> None:
    """Each waits for the one before; none is lost and none is stored twice."""
    page = watched.page
    plan_id = opened(watched, server)
    page.get_by_test_id("edit-Z1").click()
    page.route("**/plans/*", lambda route: (page.wait_for_timeout(150), route.continue_()))
    for text in ("0.6", "0.7", "0.8"):
        type_into(page, "edit-radius", text)
    type_into(page, "edit-name", "last")
    fresh(page)
    assert steps(server, plan_id) == [
        "Started",
        "WPT 02 radius: none to 0.6 NM",
        "WPT 02 radius: 0.6 to 0.7 NM",
        "WPT 02 radius: 0.7 to 0.8 NM",
        "WPT 02 name: none to last",
    ]
    watched.assert_quiet()


def test_a_text_half_typed_survives_the_answer_to_the_edit_before(
    watched: Watched, server: str
) -> None:
    page = watched.page
    plan_id = opened(watched, server)
    page.get_by_test_id("edit-Z1").click()
    type_into(page, "edit-radius", "0.6")
    page.get_by_test_id("edit-name").click()
    page.keyboard.type("half")
    fresh(page)
    expect(page.get_by_test_id("edit-name")).to_be_focused()
    page.keyboard.type(" typed")
    page.keyboard.press("Tab")
    fresh(page)
    found = draft(server, plan_id)["inputs"]["route"]["waypoints"][1]
    assert (found["turn_radius_nm"], found["name"]) == (0.6, "half typed")
