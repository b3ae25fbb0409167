"""An answer that arrives while somebody types takes nothing away: no text, no focus, no press."""

from typing import Any

import pytest
from playwright.sync_api import Locator, Page, Request, Route, expect

from tests.browser.conftest import Watched, hold_on
from tests.browser.service import SHIP, Document, ask, draft, stored, zigzag
from tests.browser.test_editing import fresh, opened, type_into
from tests.browser.test_turn_card import TABLE
from tests.browser.test_turn_card import _wide_turn as wide_turn

pytestmark = pytest.mark.browser

PLANS = "**/api/v1/plans/*"


class Held:
    """Changes that are on their way to the service until they are let go."""

    def __init__(self, page: Page) -> None:
        self.page = page
        self.routes: list[Route] = []
        hold_on(page)
        page.route(PLANS, self._hold)

    def _hold(self, route: Route, request: Request) -> None:
        if request.method == "PUT":
            self.routes.append(route)
        else:
            route.fallback()

    def let_go(self) -> None:
        """Let the changes through, and wait until the page has shown their answers."""
        expect(self.page.get_by_test_id("saved")).not_to_contain_text("Saved")
        self.page.unroute(PLANS)
        for route in self.routes:
            route.continue_()
        fresh(self.page)


def _change_under_way(page: Page) -> Held:
    """Make a change whose answer is still to come."""
    held = Held(page)
    page.get_by_test_id("open-limits").click()
    type_into(page, "field-limits-max_off_track_m", "40")
    return held


def _half_typed(page: Page, test_id: str, text: str) -> Locator:
    """Type a text in place of the one that stands there, and stay in the field before its end."""
    field = page.get_by_test_id(test_id)
    field.click()
    page.keyboard.press("ControlOrMeta+A")
    page.keyboard.type(text)
    page.keyboard.press("ArrowLeft")
    return field


def _ship(server: str, plan_id: str) -> Document:
    found: Document = draft(server, plan_id)["inputs"]["ship"]
    return found


def _with_table() -> Document:
    return wide_turn(turn_tables=[TABLE], loadings=[{"name": "laden"}, {"name": "in ballast"}])


def _open_table(page: Page) -> None:
    page.get_by_test_id("open-ship").click()
    page.get_by_test_id("turn-table-0").locator("summary").click()


def _first_of(inputs: Document, where: str) -> Any:
    """Return the member of inputs that a JSON pointer names."""
    found: Any = inputs
    for name in where.strip("/").split("/"):
        found = found[int(name)] if isinstance(found, list) else found[name]
    return found


@pytest.mark.parametrize(
    ("panel", "test_id", "where"),
    [
        ("table", "table-0-1-advance_m", "/ship/turn_tables/0/rows/1/advance_m"),
        ("table", "table-0-rudder_deg", "/ship/turn_tables/0/rudder_deg"),
        ("ship", "field-ship-beam_m", "/ship/beam_m"),
        ("limits", "field-limits-min_clearance_m", "/limits/min_clearance_m"),
        ("route", "route-name", "/route/name"),
        ("editor", "edit-radius", "/route/waypoints/1/turn_radius_nm"),
    ],
)
def test_a_half_typed_text_stays_and_is_taken_when_it_is_left(
    watched: Watched, server: str, panel: str, test_id: str, where: str
) -> None:
    page = watched.page
    plan_id = opened(watched, server, stored(server, _with_table()))
    held = _change_under_way(page)
    if panel == "table":
        _open_table(page)
    elif panel == "editor":
        page.get_by_test_id("edit-B").click()
    elif panel != "limits":
        page.get_by_test_id(f"open-{panel}").click()
    before = draft(server, plan_id)["inputs"]
    field = _half_typed(page, test_id, "15")
    held.let_go()
    expect(field).to_be_focused()
    expect(field).to_have_value("15")
    assert draft(server, plan_id)["inputs"] == {**before, "limits": {"max_off_track_m": 40}}
    page.keyboard.type("0.")  # before the last figure, where the caret was left
    expect(field).to_have_value("10.5")
    page.keyboard.press("Tab")
    fresh(page)
    taken = _first_of(draft(server, plan_id)["inputs"], where)
    assert taken == ("10.5" if test_id == "route-name" else 10.5)
    expect(field).to_have_value("10.5")
    watched.assert_quiet()


def test_a_text_that_was_whole_already_is_taken_too(watched: Watched, server: str) -> None:
    page = watched.page
    plan_id = opened(watched, server, stored(server, _with_table()))
    for key, source in (("Tab", "her booklet"), ("Enter", "her poster")):
        held = Held(page)
        page.get_by_test_id("open-limits").click()
        type_into(page, "field-limits-max_off_track_m", str(40 + len(key)))
        _open_table(page)
        page.get_by_test_id("table-0-source").fill(source)
        held.let_go()
        page.keyboard.press(key)
        fresh(page)
        assert _ship(server, plan_id)["turn_tables"][0]["source"] == source
        page.get_by_test_id("turn-table-0").locator("summary").click()
    watched.assert_quiet()


def test_a_half_typed_row_of_a_new_table_stays(watched: Watched, server: str) -> None:
    page = watched.page
    opened(watched, server, stored(server, wide_turn()))
    held = _change_under_way(page)
    page.get_by_test_id("open-ship").click()
    page.get_by_test_id("add-turn-table").click()
    type_into(page, "table-0-rudder_deg", "15")
    field = _half_typed(page, "table-0-0-advance_m", "3.9cab")
    held.let_go()
    expect(field).to_be_focused()
    expect(field).to_have_value("3.9cab")
    expect(page.get_by_test_id("table-0-rudder_deg")).to_have_value("15")
    with page.expect_event("dialog") as asked:  # it is kept nowhere yet
        page.close(run_before_unload=True)
    assert asked.value.type == "beforeunload"
    watched.dialogs.clear()
    field.focus()
    page.keyboard.press("Tab")
    expect(field).to_have_value("722.28")
    watched.assert_quiet()


def test_the_choice_of_a_loading_stays_open(watched: Watched, server: str) -> None:
    page = watched.page
    plan_id = opened(watched, server, stored(server, _with_table()))
    held = _change_under_way(page)
    page.get_by_test_id("open-ship").click()
    choice = page.get_by_test_id("loading-in-use")
    choice.focus()
    choice.evaluate("(node) => { node.isTheSame = true; }")
    held.let_go()
    expect(choice).to_be_focused()
    assert choice.evaluate("(node) => node.isTheSame === true")  # its list would be shut else
    choice.select_option(label="in ballast")
    fresh(page)
    assert _ship(server, plan_id)["loading"] == "in ballast"
    expect(choice).to_be_focused()
    away = page.get_by_test_id("loading-0-away")
    away.focus()
    held = Held(page)
    type_into(page, "field-ship-beam_m", "31")
    away.focus()
    held.let_go()
    expect(away).to_be_focused()
    watched.assert_quiet()


def test_a_stored_ship_that_is_chosen_stays_chosen(watched: Watched, server: str) -> None:
    page = watched.page
    for name in ("Zoo ferry one", "Zoo ferry two"):
        ask(server, "POST", "/ships", {**SHIP, "name": name})
    plan_id = opened(watched, server, stored(server, wide_turn()))
    held = _change_under_way(page)
    page.get_by_test_id("open-ship").click()
    choice = page.get_by_test_id("ship-choice")
    other = choice.locator("option").nth(1).get_attribute("value")
    choice.select_option(value=other)
    page.get_by_test_id("keep-ship").focus()
    held.let_go()
    expect(choice).to_have_value(other)
    page.get_by_test_id("use-ship").click()
    expect(page.get_by_test_id("stored-ship")).to_be_visible()
    fresh(page)
    assert draft(server, plan_id)["inputs"]["ship_id"] == other
    watched.assert_quiet()


def test_half_of_a_current_waits_in_its_field(watched: Watched, server: str) -> None:
    page = watched.page
    plan_id = opened(watched, server)
    held = _change_under_way(page)
    type_into(page, "field-conditions-set_deg", "040")
    drift = page.get_by_test_id("field-conditions-drift_kn")
    drift.click()
    page.keyboard.type("1.")
    held.let_go()
    expect(page.get_by_test_id("field-conditions-set_deg")).to_have_value("040")
    page.keyboard.type("5")
    page.keyboard.press("Tab")
    fresh(page)
    assert draft(server, plan_id)["inputs"]["conditions"] == {"set_deg": 40, "drift_kn": 1.5}
    watched.assert_quiet()


def test_a_field_that_was_emptied_stays_empty(watched: Watched, server: str) -> None:
    page = watched.page
    inputs = {**zigzag(), "limits": {"min_clearance_m": 500}}
    plan_id = opened(watched, server, stored(server, inputs))
    held = _change_under_way(page)
    field = page.get_by_test_id("field-limits-min_clearance_m")
    field.click()
    page.keyboard.press("ControlOrMeta+A")
    page.keyboard.press("Delete")
    held.let_go()
    expect(field).to_have_value("")
    page.keyboard.press("Tab")
    fresh(page)
    assert draft(server, plan_id)["inputs"]["limits"] == {"max_off_track_m": 40}
    watched.assert_quiet()


def test_a_position_typed_for_a_hole_stays(watched: Watched, server: str) -> None:
    page = watched.page
    inputs = zigzag()
    inputs["route"]["waypoints"][3]["gap_before"] = True
    plan_id = opened(watched, server, stored(server, inputs))
    held = Held(page)
    page.get_by_test_id("edit-Z1").click()
    page.get_by_test_id("edit-insert").click()
    expect(page.get_by_test_id("saved")).not_to_contain_text("Saved")
    page.get_by_test_id("hole-fill-3").fill("47-09.000N 029-48.000W")
    page.get_by_test_id("hole-put-3").focus()
    held.let_go()
    expect(page.get_by_test_id("hole-fill-4")).to_have_value("47-09.000N 029-48.000W")
    page.get_by_test_id("hole-put-4").click()
    expect(page.get_by_test_id("hole-fill-4")).to_have_count(0)
    fresh(page)
    found = draft(server, plan_id)["inputs"]["route"]["waypoints"]
    assert len(found) == len(inputs["route"]["waypoints"]) + 2
    assert found[4]["lat_deg"] == 47.15
    watched.assert_quiet()


def test_typing_goes_on_from_cell_to_cell(watched: Watched, server: str) -> None:
    page = watched.page
    plan_id = opened(watched, server, stored(server, wide_turn()))
    page.get_by_test_id("open-ship").click()
    page.get_by_test_id("add-turn-table").click()
    page.get_by_test_id("table-0-rudder_deg").click()
    for text in ("15", "12"):
        page.keyboard.type(text)
        page.keyboard.press("Tab")
    page.get_by_test_id("table-0-0-heading_change_deg").click()
    for text in ("30", "600", "90"):
        page.keyboard.type(text)
        page.keyboard.press("Tab")
    expect(page.get_by_test_id("table-incomplete")).to_have_count(0)
    fresh(page)
    (table,) = _ship(server, plan_id)["turn_tables"]
    assert table["rows"] == [{"heading_change_deg": 30, "advance_m": 600, "transfer_m": 90}]
    watched.assert_quiet()


def test_a_press_right_after_typing_counts(watched: Watched, server: str) -> None:
    page = watched.page
    plan_id = opened(watched, server, stored(server, _with_table()))
    _open_table(page)
    page.get_by_test_id("table-0-2-advance_m").fill("851")
    page.get_by_test_id("table-0-add").click()
    expect(page.get_by_test_id("table-0-3-advance_m")).to_be_visible()
    page.get_by_test_id("table-0-source").fill("her booklet")
    page.get_by_test_id("table-0-3-away").click()
    expect(page.get_by_test_id("table-0-3-advance_m")).to_have_count(0)
    fresh(page)
    (table,) = _ship(server, plan_id)["turn_tables"]
    assert (table["rows"][2]["advance_m"], table["source"]) == (851, "her booklet")
    page.get_by_test_id("field-ship-beam_m").fill("31")
    page.get_by_test_id("undo").click()
    expect(page.get_by_test_id("field-ship-beam_m")).to_have_value("32")
    fresh(page)
    assert _ship(server, plan_id)["beam_m"] == 32
    watched.assert_quiet()


def test_a_fold_drawn_anew_right_after_the_press_stays_as_it_was_left(
    watched: Watched, server: str
) -> None:
    page = watched.page
    opened(watched, server, stored(server, _with_table()))
    page.get_by_test_id("open-ship").click()
    table = page.get_by_test_id("turn-table-0")
    expect(table).to_be_visible()
    for still_open in (True, False):  # the press, and a draw before the browser tells of it
        page.evaluate(
            """async () => {
              const main = document.querySelector("script[type=module]").src;
              const { set, state } = await import(new URL("state.js", main));
              const old = document.querySelector("[data-testid=turn-table-0]");
              old.querySelector("summary").click();
              set({ extra: structuredClone(state.extra) });
              if (old.isConnected) throw new Error("nothing was drawn");
            }"""
        )
        page.wait_for_timeout(100)
        assert table.evaluate("(fold) => fold.open") is still_open
    watched.assert_quiet()


def test_another_plan_does_not_get_what_was_typed(watched: Watched, server: str) -> None:
    page = watched.page
    first = opened(watched, server, stored(server, _with_table()))
    second = stored(server, _with_table())
    _open_table(page)
    _half_typed(page, "table-0-1-advance_m", "15")
    page.evaluate(
        "(path) => { history.pushState(null, '', path); dispatchEvent(new Event('popstate')); }",
        f"/plans/{second}",
    )
    fresh(page)
    _open_table(page)
    expect(page.get_by_test_id("table-0-1-advance_m")).to_have_value("722.28")
    assert _ship(server, first) == _ship(server, second)


def test_a_line_being_put_right_stays_while_another_is_read(watched: Watched, server: str) -> None:
    page = watched.page
    page.goto(server)
    page.get_by_test_id("route-paste").fill(
        "name,latitude,longitude\nA,47-00.0N,030-00.0W\nB,47 06.0,30 00.0\nC,47 12.0,30 00.0\n"
    )
    page.get_by_test_id("route-paste-read").click()
    for line in (3, 4):
        page.get_by_test_id(f"row-edit-{line}").click()
    page.get_by_test_id("row-text-4").fill("C,47-12.0N,030-00.0W")
    page.get_by_test_id("row-text-3").fill("B,47-06.0N,030-00.0W")
    page.get_by_test_id("row-read-3").click()
    expect(page.get_by_test_id("report-row-3")).to_have_attribute("data-state", "understood")
    expect(page.get_by_test_id("row-text-4")).to_have_value("C,47-12.0N,030-00.0W")
    page.get_by_test_id("row-read-4").click()
    expect(page.get_by_test_id("count-accepted")).to_have_text("3")
    watched.assert_quiet()
