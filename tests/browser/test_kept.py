"""That no edit is lost and no older value looks fresh: several pages, a server that is lost."""

import json
from typing import Any

import pytest
from playwright.sync_api import Page, expect

from tests.browser.conftest import Watched, hold_on
from tests.browser.service import ask, draft
from tests.browser.test_editing import fresh, opened, type_into

pytestmark = pytest.mark.browser


def _changed_elsewhere(server: str, plan_id: str, index: int, **members: Any) -> None:
    """Change a waypoint of a stored plan as another page would."""
    other = draft(server, plan_id)
    inputs = json.loads(json.dumps(other["inputs"]))  # noqa: TID251
    inputs["route"]["waypoints"][index].update(members)
    ask(server, "PUT", f"/plans/{plan_id}", inputs, {"If-Match": other["_etag"]})


def _lose(page: Page, *, hangs: bool = False) -> None:
    """Cut the line to the service, or let it take requests and never answer."""
    hold_on(page)
    for pattern in ("**/api/**", "**/healthz"):
        page.route(pattern, lambda route: None if hangs else route.abort())


def _find(page: Page) -> None:
    page.unroute("**/api/**")
    page.unroute("**/healthz")


def _waypoint(server: str, plan_id: str, index: int = 1) -> dict[str, Any]:
    found: dict[str, Any] = draft(server, plan_id)["inputs"]["route"]["waypoints"][index]
    return found


def test_a_plan_changed_elsewhere_is_not_fresh_and_not_exported(
    watched: Watched, server: str
) -> None:
    page = watched.page
    plan_id = opened(watched, server)
    page.get_by_test_id("open-files").click()
    _changed_elsewhere(server, plan_id, 1, turn_radius_nm=0.9)
    page.get_by_test_id("export-csv").click()  # before the page has looked by itself
    expect(page.get_by_test_id("elsewhere")).to_contain_text("changed elsewhere")
    expect(page.get_by_test_id("work")).to_have_attribute("data-state", "stale")
    expect(page.get_by_test_id("saved")).to_contain_text("older")
    expect(page.get_by_test_id("export-reason")).to_contain_text("changed elsewhere")
    assert page.get_by_test_id("file-saved").count() == 0
    page.get_by_test_id("show-elsewhere").click()
    fresh(page)
    expect(page.get_by_test_id("turn-row-0")).to_contain_text("0.90")
    _changed_elsewhere(server, plan_id, 1, turn_radius_nm=0.8)
    expect(page.get_by_test_id("elsewhere")).to_be_visible()  # by itself
    watched.assert_quiet()


def test_after_stop_waiting_the_plan_can_be_computed(watched: Watched, server: str) -> None:
    page = watched.page
    opened(watched, server)
    page.route("**/computed", lambda _: None)
    page.get_by_test_id("edit-Z1").click()
    type_into(page, "edit-radius", "0.7")
    page.get_by_role("button", name="Stop waiting").click()
    expect(page.get_by_test_id("not-computed")).to_contain_text("Not computed since")
    page.unroute("**/computed")
    page.get_by_test_id("compute-now").click()
    fresh(page)
    expect(page.get_by_test_id("not-computed")).to_have_count(0)
    expect(page.get_by_test_id("turn-row-0")).to_contain_text("0.70")


def test_a_failed_computing_is_done_again_when_the_server_is_back(
    watched: Watched, server: str
) -> None:
    page = watched.page
    opened(watched, server)
    page.route("**/computed", lambda route: route.abort())
    page.get_by_test_id("edit-Z1").click()
    type_into(page, "edit-radius", "0.7")
    expect(page.get_by_test_id("problem")).to_contain_text("not computed")
    page.unroute("**/computed")
    fresh(page)
    expect(page.get_by_test_id("turn-row-0")).to_contain_text("0.70")


def test_edits_behind_an_undo_of_a_lost_server_survive_a_reload(
    watched: Watched, server: str
) -> None:
    page = watched.page
    plan_id = opened(watched, server)
    page.get_by_test_id("edit-Z1").click()
    type_into(page, "edit-radius", "0.6")
    fresh(page)
    _lose(page, hangs=True)
    page.get_by_test_id("undo").click()
    type_into(page, "edit-radius", "0.7")
    type_into(page, "edit-name", "kept")
    banner = page.get_by_test_id("banner")
    expect(banner).to_contain_text("2 edits kept in this browser")
    expect(page.get_by_test_id("undo")).to_be_disabled()
    expect(page.get_by_test_id("walk-reason")).to_contain_text("need it")
    _find(page)
    page.reload()
    fresh(page)
    found = _waypoint(server, plan_id)
    assert (found["turn_radius_nm"], found["name"]) == (0.7, "kept")


def test_a_server_that_hangs_is_noticed(watched: Watched, server: str) -> None:
    page = watched.page
    opened(watched, server)
    _lose(page, hangs=True)
    expect(page.get_by_test_id("banner")).to_be_visible()
    expect(page.get_by_test_id("work")).to_have_attribute("data-state", "stale")


def test_a_second_page_does_not_wipe_the_edits_of_the_first(watched: Watched, server: str) -> None:
    page = watched.page
    plan_id = opened(watched, server)
    second = page.context.new_page()
    second.goto(f"{server}/plans/{plan_id}")
    fresh(second)
    page.get_by_test_id("edit-Z1").click()
    _lose(page)
    type_into(page, "edit-name", "first")
    expect(page.get_by_test_id("banner")).to_contain_text("1 edit kept")
    second.get_by_test_id("edit-Z2").click()
    type_into(second, "edit-name", "second")
    fresh(second)
    second.reload()
    fresh(second)  # what an open page keeps is not taken from it
    _find(page)
    page.reload()
    page.get_by_test_id("put-mine").click()
    fresh(page)
    assert _waypoint(server, plan_id, 1)["name"] == "first"
    assert _waypoint(server, plan_id, 2)["name"] == "second"


def test_what_is_set_aside_survives_a_reload(watched: Watched, server: str) -> None:
    page = watched.page
    plan_id = opened(watched, server)
    _changed_elsewhere(server, plan_id, 1, name="theirs")
    page.get_by_test_id("edit-Z1").click()
    type_into(page, "edit-name", "mine")
    page.get_by_test_id("keep-theirs").click()
    page.reload()
    expect(page.get_by_test_id("aside")).to_contain_text("mine")
    page.get_by_role("button", name="Put it in place").click()
    fresh(page)
    assert _waypoint(server, plan_id)["name"] == "mine"
    page.reload()
    fresh(page)
    expect(page.get_by_test_id("aside")).to_have_count(0)


def test_the_desk_says_which_edits_are_only_here_and_lists_when_it_can(
    watched: Watched, server: str
) -> None:
    page = watched.page
    plan_id = opened(watched, server)
    page.get_by_test_id("edit-Z1").click()
    _lose(page)
    type_into(page, "edit-name", "kept")
    expect(page.get_by_test_id("banner")).to_be_visible()
    page.get_by_test_id("to-desk").click()
    expect(page.get_by_test_id("desk-kept")).to_contain_text("Zoo zigzag: 1 edit kept")
    expect(page.get_by_test_id("problem")).to_contain_text("could not be listed")
    _find(page)
    expect(page.get_by_test_id(f"plan-row-{plan_id}")).to_be_visible()
    expect(page.get_by_test_id("problem")).to_have_count(0)
    page.get_by_test_id(f"open-kept-{plan_id}").click()
    fresh(page)
    assert _waypoint(server, plan_id)["name"] == "kept"
    page.get_by_test_id("to-desk").click()
    expect(page.get_by_test_id(f"plan-row-{plan_id}")).to_be_visible()
    expect(page.get_by_test_id("desk-kept")).to_have_count(0)


def test_changed_fields_of_a_stored_ship_survive_a_reload(watched: Watched, server: str) -> None:
    page = watched.page
    opened(watched, server)
    page.get_by_test_id("open-ship").click()
    page.get_by_test_id("keep-ship").click()
    expect(page.get_by_test_id("stored-ship")).to_contain_text("edition 1 of 1")
    type_into(page, "field-ship-turn_radius_nm", "0.8")
    expect(page.get_by_test_id("open-ship")).to_contain_text("edited, not stored")
    page.reload()
    fresh(page)
    expect(page.get_by_test_id("open-ship")).to_contain_text("edited, not stored")
    page.get_by_test_id("open-ship").click()
    expect(page.get_by_test_id("field-ship-turn_radius_nm")).to_have_value("0.8")
    page.get_by_test_id("store-ship-edition").click()
    expect(page.get_by_test_id("stored-ship")).to_contain_text("edition 1 of 2")
    expect(page.get_by_test_id("open-ship")).not_to_contain_text("not stored")
    page.reload()
    fresh(page)
    expect(page.get_by_test_id("open-ship")).not_to_contain_text("not stored")
    watched.assert_quiet()


def test_a_half_typed_text_is_asked_about_before_the_page_goes(
    watched: Watched, server: str
) -> None:
    page = watched.page
    opened(watched, server)
    page.get_by_test_id("edit-Z1").click()
    page.get_by_test_id("edit-name").press_sequentially("half")
    with page.expect_event("dialog") as asked:
        page.close(run_before_unload=True)
    assert asked.value.type == "beforeunload"
    page.get_by_test_id("edit-name").press("Tab")
    fresh(page)
    with page.expect_event("close"):
        page.close(run_before_unload=True)
    assert len(watched.dialogs) == 1


def test_a_position_without_the_server_says_so_until_it_is_back(
    watched: Watched, server: str
) -> None:
    page = watched.page
    opened(watched, server)
    page.get_by_test_id("edit-Z1").click()
    _lose(page)
    type_into(page, "edit-position", "47-06.456N 030-01.500W")
    expect(page.get_by_test_id("edit-position-error")).to_contain_text("needs the server")
    expect(page.get_by_test_id("edit-position")).to_have_value("47-06.456N 030-01.500W")
    page.get_by_test_id("edit-insert").click()
    notice = page.get_by_text("No waypoint was inserted: A position needs the server")
    expect(notice).to_be_visible()
    _find(page)
    expect(notice).to_be_hidden()


def test_a_refusal_is_gone_when_a_good_value_is_stored(watched: Watched, server: str) -> None:
    page = watched.page
    plan_id = opened(watched, server)
    page.get_by_test_id("edit-Z1").click()
    type_into(page, "edit-radius", "99999")
    message = page.get_by_test_id("edit-radius-error")
    expect(message).to_be_visible()
    type_into(page, "edit-radius", "0.5")
    fresh(page)
    expect(message).to_be_hidden()
    expect(page.get_by_test_id("edit-radius")).to_have_attribute("aria-invalid", "false")
    assert _waypoint(server, plan_id)["turn_radius_nm"] == 0.5


def test_the_place_of_a_fault_is_the_place_in_the_file(watched: Watched, server: str) -> None:
    page = watched.page
    opened(watched, server)
    page.get_by_test_id("open-dangers").click()
    page.get_by_test_id("dangers-file").set_input_files(
        {"name": "zöö.geojson", "mimeType": "application/geo+json", "buffer": b"not json"}
    )
    problem = page.get_by_test_id("problem")
    expect(problem).to_contain_text("line 1 column 2")  # "n" may begin null, "no" begins nothing
