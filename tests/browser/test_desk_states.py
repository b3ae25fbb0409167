"""The Desk says where each plan stands, on whom it waits, and never hides one in use."""

import pytest
from playwright.sync_api import Page, Route, expect

from tests.browser.conftest import Watched
from tests.browser.recorded import decide, offered, renamed
from tests.browser.service import stored

pytestmark = pytest.mark.browser


def _says(page: Page, server: str, plan_id: str, state: str, *waits: str) -> None:
    page.goto(server)
    expect(page.get_by_test_id(f"state-{plan_id}")).to_have_text(state)
    row = page.get_by_test_id(f"plan-row-{plan_id}")
    for one in waits:
        expect(row).to_contain_text(one)


def test_each_state_is_said_in_words_and_whom_it_waits_on(watched: Watched, server: str) -> None:
    page = watched.page
    plan_id = stored(server)
    _says(page, server, plan_id, "draft", "navigator: offer it", "none")
    offered(server, plan_id=plan_id)
    _says(page, server, plan_id, "offered r1", "master: decide r1")
    decide(server, plan_id, "return", words="Z3 is too near the bank")
    _says(page, server, plan_id, "returned r1", "navigator: change and offer again")
    renamed(server, plan_id, "second")
    offered(server, plan_id=plan_id)
    decide(server, plan_id, "approve", 2)
    _says(page, server, plan_id, "approved r2", "nobody")
    renamed(server, plan_id, "third")
    _says(
        page, server, plan_id, "approved r2, inputs changed since",
        "master: decide r2 again", "navigator: offer the changes since r2",
    )  # fmt: skip
    expect(page.get_by_test_id("desk-waiting")).to_contain_text("on the master")
    watched.assert_quiet()


def test_what_this_engine_has_not_looked_at_is_said_to_be_stale(
    watched: Watched, server: str
) -> None:
    page = watched.page
    plan_id = offered(server)
    decide(server, plan_id, "approve")

    def stale(route: Route) -> None:
        answer = route.fetch()
        found = answer.json()
        for one in found["items"]:
            one["approval_stale"] = one["id"] == plan_id
        route.fulfill(response=answer, json=found)

    page.route("**/api/v1/plans?limit=50", stale)
    _says(page, server, plan_id, "approved r1, stale", "nobody")
    watched.assert_quiet()


def test_a_plan_in_use_stands_first_however_old_it_is(watched: Watched, server: str) -> None:
    page = watched.page
    plan_id = offered(server)
    decide(server, plan_id, "approve")
    decide(server, plan_id, "take_into_use")
    renamed(server, plan_id, "changed under way")
    page.route("**/api/v1/plans?limit=50", lambda route: route.fulfill(json=_without(plan_id)))
    _says(page, server, plan_id, "in use r1, inputs changed since", "master: decide r1 again")
    page.unroute("**/api/v1/plans?limit=50")
    page.reload()
    expect(page.get_by_test_id("plans-in-use")).to_contain_text("Zoo zigzag")
    assert page.locator(f"[data-testid='plan-row-{plan_id}']").count() == 1
    first = page.locator(".desk-table").first
    expect(first).to_have_attribute("data-testid", "plans-in-use")
    watched.assert_quiet()


def _without(plan_id: str) -> dict[str, object]:
    """Return a first page of plans on which one plan does not stand, as when it is an old one."""
    line = {
        "id": f"not-{plan_id}", "name": "Newer", "state": "draft", "approved_revision": None,
        "approval_stands": False, "approval_stale": False, "in_use_revision": None,
        "in_use_stands": False, "in_use_stale": False,
        "edited_since_revision": False, "vessel_id": "own", "edit": 1, "demonstration": False,
        "created_utc": "2026-01-01T00:00:00.000Z", "changed_utc": "2026-01-01T00:00:00.000Z",
        "waypoint_count": 2, "revision_count": 0,
    }  # fmt: skip
    return {"items": [line], "next_cursor": None}
