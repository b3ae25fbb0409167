"""Two revisions side by side: every change as a sentence, the Plot and the list together."""

import pytest
from playwright.sync_api import Page, expect

from tests.browser.conftest import Watched
from tests.browser.recorded import offered
from tests.browser.service import ask, draft
from tests.browser.test_frozen import opened_frozen
from tests.browser.test_narrow import measure

pytestmark = pytest.mark.browser


def changed(server: str, plan_id: str) -> None:
    """Move a waypoint of a draft 0.12 NM south and put another in before it."""
    before = draft(server, plan_id)
    inputs = before["inputs"]
    inputs["route"]["waypoints"][2]["lat_deg"] -= 0.002
    inputs["route"]["waypoints"].insert(1, {"id": "NEW", "lat_deg": 47.05, "lon_deg": -30.001})
    ask(server, "PUT", f"/plans/{plan_id}", inputs, {"If-Match": before["_etag"]})


def two_revisions(server: str) -> str:
    """Store a plan with two revisions that differ, and return its id."""
    plan_id = offered(server)
    changed(server, plan_id)
    return offered(server, plan_id=plan_id)


def compared(page: Page, server: str, plan_id: str, was: int = 1, now: str = "2") -> None:
    """Open the comparison of two revisions and wait for it."""
    page.goto(f"{server}/plans/{plan_id}/review?was={was}&now={now}")
    expect(page.get_by_test_id("unchanged")).to_be_visible()


def test_two_revisions_side_by_side(watched: Watched, server: str) -> None:
    page = watched.page
    plan_id = two_revisions(server)
    opened_frozen(page, server, plan_id, 2)
    page.get_by_test_id("compare").click()
    expect(page).to_have_url(f"{server}/plans/{plan_id}/review?was=1&now=2")
    answer = ask(server, "GET", f"/plans/{plan_id}/differences?was=1&now=2")
    known = {one["id"] for one in answer["changes"]}
    own = [one for one in answer["changes"] if one["follows"] not in known]
    changes = page.get_by_test_id("change")
    expect(changes).to_have_count(len(own))
    moved = page.locator("[data-change-id='waypoint/Z2/position']")
    expect(moved).to_contain_text("WPT 04 moved 0.12 NM 180 T (was 47-06.000N 029-48.000W, now")
    same = sum(answer["unchanged"].values())
    expect(page.get_by_test_id("unchanged")).to_contain_text(f"{same} unchanged rows folded")
    plot = page.locator("#review-plot")
    expect(plot.locator("[data-review-item='waypoint Z2'] .moved-line")).to_have_count(1)
    expect(plot.locator(".moved-plate")).to_have_text("0.12 NM 180 T")
    expect(plot.locator(".was-plate", has_text="was 03")).to_have_count(1)
    expect(plot.locator(".now-plate", has_text="now 04")).to_have_count(1)
    assert plot.locator("path.line-was").count() == plot.locator("path.line-was-gap").count() > 0
    # List and Plot go together, by keys and by pressing.
    page.get_by_test_id("change-next").click()
    expect(page.get_by_test_id("change-at")).to_have_text(f"change 1 of {len(own)}")
    page.keyboard.press("]")
    expect(changes.nth(1)).to_be_focused()
    page.keyboard.press("[")
    expect(changes.first).to_have_attribute("aria-current", "true")
    moved.click()
    expect(plot.locator("[data-review-item='waypoint Z2'].is-selected").first).to_be_attached()
    plot.locator("[data-review-item='waypoint NEW'] .bar").first.click(force=True)
    expect(page.locator("[data-change-id='waypoint/NEW/added']")).to_have_attribute(
        "aria-current", "true"
    )
    page.get_by_test_id("review-now").focus()
    page.get_by_test_id("review-now").select_option("draft")
    expect(page).to_have_url(f"{server}/plans/{plan_id}/review?was=1&now=draft")
    expect(page.get_by_test_id("review-now")).to_be_focused()
    page.get_by_test_id("review-was").select_option("2")
    expect(page.get_by_test_id("no-changes")).to_contain_text("between r2 and the draft")
    page.set_viewport_size({"width": 320, "height": 800})
    compared(page, server, plan_id)
    measure(page)
    watched.assert_quiet()
