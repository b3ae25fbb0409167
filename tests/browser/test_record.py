"""The record beside a frozen revision: decided by the master, checked, signed, verified, logged."""

import pytest
from playwright.sync_api import Page, expect

from tests.browser.conftest import Watched
from tests.browser.recorded import AUTHOR, decide, offered, record, renamed
from tests.browser.service import SHIP, draft, waypoint
from tests.browser.test_frozen import opened_frozen

pytestmark = pytest.mark.browser


def _sign(page: Page, part: str, name: str, rank: str) -> None:
    page.get_by_test_id(f"{part}-name").fill(name)
    page.get_by_test_id(f"{part}-rank").fill(rank)


def _refused(watched: Watched, *codes: str) -> None:
    """Only refusals of the service were complained of."""
    assert watched.dialogs == []
    assert all(any(code in one for code in codes) for one in watched.complaints)


def _tight() -> dict[str, object]:
    """Return inputs with two turns that do not fit, so that a cause has several open items."""
    places = [(47.0, -30.0), (47.004, -30.0), (47.004, -29.994), (47.008, -29.994), (47.1, -29.9)]
    waypoints = [waypoint(f"T{i}", *place) for i, place in enumerate(places)]
    return {"route": {"name": "Tight", "waypoints": waypoints}, "ship": SHIP}


def test_the_master_approves_with_a_reason_for_every_cause(watched: Watched, server: str) -> None:
    page = watched.page
    plan_id = offered(server)
    opened_frozen(page, server, plan_id)
    expect(page.get_by_test_id("standing")).to_have_text("r1 is offered.")
    page.get_by_test_id("decide-approve").check()
    _sign(page, "decide", "Jon Holm", "Master")
    items = record(server, plan_id)["open_items"]
    groups = page.locator("[data-testid^='reason-group-']")
    assert page.locator("[data-item-id]").count() == len(items)
    fields = page.locator(".reason-group textarea")
    for field in fields.all()[1:]:
        field.fill("known; the watch looks out")
    page.get_by_test_id("decide-record").click()
    expect(page.get_by_test_id("decide-refused")).to_contain_text("no written reason")
    expect(fields.first).to_have_attribute("aria-invalid", "true")
    expect(fields.first).to_be_focused()
    expect(groups.first).to_contain_text("No reason is written for this yet.")
    assert page.locator(".reason-group [aria-invalid='true']").count() == 1
    assert record(server, plan_id)["state"] == "offered"
    fields.first.fill("the chart in use was looked at")
    page.get_by_test_id("decide-record").click()
    expect(page.get_by_test_id("standing")).to_have_text("r1 is approved.")
    history = page.get_by_test_id("history")
    expect(history).to_contain_text("Approved r1 by Jon Holm, Master, claimed")
    expect(page.get_by_test_id("frozen-word")).to_contain_text("State: approved")
    expect(page.get_by_test_id("reasons-given")).to_contain_text(f"{len(items)} open items")
    _refused(watched, "409")


def test_a_reason_for_a_cause_can_be_split(watched: Watched, server: str) -> None:
    page = watched.page
    plan_id = offered(server, _tight())
    opened_frozen(page, server, plan_id)
    page.get_by_test_id("decide-approve").check()
    _sign(page, "decide", "Jon Holm", "Master")
    for field in page.locator(".reason-group textarea").all():
        field.fill("one for all")
    page.get_by_test_id("reason-split-turn_does_not_fit").click()
    group = page.get_by_test_id("reason-group-turn_does_not_fit")
    parts = group.locator("textarea")
    assert parts.count() == group.locator("[data-item-id]").count() > 1
    parts.first.fill("speed is taken off before")
    page.get_by_test_id("decide-record").click()
    expect(group.locator("[aria-invalid='true']")).to_have_count(parts.count() - 1)
    for index, field in enumerate(parts.all()[1:]):
        field.fill(f"a reason of its own {index}")
    page.get_by_test_id("decide-record").click()
    expect(page.get_by_test_id("standing")).to_have_text("r1 is approved.")
    approval = record(server, plan_id)["approval"]
    words = [one["words"] for one in approval["reasons"]]
    assert "speed is taken off before" in words
    assert "a reason of its own 0" in words
    _refused(watched, "409")


def test_an_approval_lapses_and_is_decided_again(watched: Watched, server: str) -> None:
    page = watched.page
    plan_id = offered(server)
    decide(server, plan_id, "approve")
    renamed(server, plan_id, "moved on")
    opened_frozen(page, server, plan_id)
    standing = page.get_by_test_id("standing")
    expect(standing).to_contain_text("Approved for r1. Inputs changed since: WPT 02 name")
    expect(page.get_by_test_id("decide-take_into_use")).to_have_count(0)
    page.get_by_test_id("decide-approve").check()
    expect(page.get_by_test_id("reason-group-changed")).to_contain_text("WPT 02 name")
    _sign(page, "decide", "Jon Holm", "Master")
    for field in page.locator(".reason-group textarea").all():
        field.fill("only a name")
    page.get_by_test_id("decide-record").click()
    expect(standing).to_contain_text("r1 is approved. The master decided knowing")
    expect(standing).to_contain_text("WPT 02 name")
    assert record(server, plan_id)["counts_as_approved"] is True
    page.get_by_test_id("decide-take_into_use").check()
    page.get_by_test_id("decide-record").click()
    expect(page.get_by_test_id("frozen-word")).to_contain_text("State: in use")
    watched.assert_quiet()


def test_a_return_needs_words(watched: Watched, server: str) -> None:
    page = watched.page
    plan_id = offered(server)
    opened_frozen(page, server, plan_id)
    page.get_by_test_id("decide-return").check()
    _sign(page, "decide", "Jon Holm", "Master")
    page.get_by_test_id("decide-record").click()
    expect(page.get_by_test_id("error-decide-words")).to_contain_text("a return needs words")
    page.get_by_test_id("decide-words").fill("Z3 is too near the bank")
    page.get_by_test_id("decide-record").click()
    expect(page.get_by_test_id("history")).to_contain_text("Z3 is too near the bank")
    expect(page.get_by_test_id("frozen-word")).to_contain_text("State: returned")
    page.get_by_test_id("decide-close").check()
    page.get_by_test_id("decide-record").click()
    expect(page.get_by_test_id("decide-none")).to_contain_text("closed")
    _refused(watched, "422")


def test_the_author_is_no_second_person(watched: Watched, server: str) -> None:
    page = watched.page
    plan_id = offered(server)
    opened_frozen(page, server, plan_id)
    expect(page.get_by_test_id("author")).to_have_text("Ada Berg, Second officer, claimed")
    page.get_by_test_id("check-open").click()
    _sign(page, "check", AUTHOR["name"], "Master")
    page.get_by_test_id("check-record").click()
    expect(page.get_by_test_id("check-refused")).to_contain_text("cannot be its second person")
    _sign(page, "check", "Per Lund", "Chief officer")
    page.get_by_test_id("check-words").fill("positions against the chart")
    page.get_by_test_id("check-record").click()
    checks = page.get_by_test_id("checks-made")
    expect(checks).to_contain_text("Per Lund, Chief officer, claimed")
    expect(checks).to_contain_text("positions against the chart")
    _refused(watched, "403")


def test_the_watch_signs_verifies_courses_and_keeps_the_log(watched: Watched, server: str) -> None:
    page = watched.page
    plan_id = offered(server)
    opened_frozen(page, server, plan_id)
    expect(page.get_by_test_id("watch-not-yet")).to_contain_text("once r1 is approved")
    decide(server, plan_id, "approve")
    page.reload()
    page.get_by_test_id("watch-open").click()
    page.get_by_test_id("sign-record").click()
    expect(page.get_by_test_id("error-watch-name")).to_be_visible()
    _sign(page, "watch", "Eva Strand", "Third officer")
    page.get_by_test_id("sign-record").click()
    expect(page.get_by_test_id("signed")).to_contain_text("Eva Strand, Third officer, claimed")
    page.get_by_test_id("sign-record").click()
    expect(page.get_by_test_id("sign-refused")).to_contain_text("has signed revision 1 already")
    expect(page.get_by_test_id("verify-0")).to_have_text("verify 000")
    page.get_by_test_id("verify-0").click()
    expect(page.get_by_test_id("course-row-0")).to_contain_text("000 by Eva Strand")
    expect(page.get_by_test_id("verify-0")).to_be_focused()
    expect(page.get_by_test_id("course-row-1")).to_contain_text("not verified")
    expect(page.get_by_test_id("courses-verified")).to_have_text("Courses verified: 1 of 5.")
    page.get_by_test_id("log-time").fill("26 Nov, two o'clock")
    page.get_by_test_id("log-waypoint").select_option("Z1")
    page.get_by_test_id("log-record").click()
    expect(page.get_by_test_id("error-log-time")).to_be_visible()
    page.get_by_test_id("log-time").fill("2026-11-26 14:02")
    page.get_by_test_id("log-record").click()
    log = page.get_by_test_id("log")
    expect(log).to_contain_text("WPT 02 (Z1): actual 26 Nov 2026 14:02Z")
    page.get_by_test_id("log-waypoint").select_option("")
    page.get_by_test_id("log-words").fill("set to the west")
    page.get_by_test_id("log-record").click()
    expect(log).to_contain_text("set to the west")
    assert [one["kind"] for one in record(server, plan_id)["log"]] == ["actual", "remark"]
    assert draft(server, plan_id)["approval_stands"] is True
    _refused(watched, "409", "422")


def test_typed_reasons_outlive_what_others_record(watched: Watched, server: str) -> None:
    page = watched.page
    plan_id = offered(server)
    opened_frozen(page, server, plan_id)
    page.get_by_test_id("decide-approve").check()
    field = page.get_by_test_id("reason-leg_land")
    field.fill("half a sent")
    renamed(server, plan_id, "changed meanwhile")
    expect(page.get_by_test_id("reason-group-changed")).to_be_visible(timeout=20_000)
    expect(field).to_have_value("half a sent")
    page.reload()
    page.get_by_test_id("decide-approve").check()
    expect(field).to_have_value("half a sent")
    watched.assert_quiet()


def test_the_demonstration_says_why_it_cannot_be_approved(watched: Watched, server: str) -> None:
    page = watched.page
    if not draft(server, "demonstration")["revisions"]:
        offered(server, plan_id="demonstration")
    opened_frozen(page, server, "demonstration")
    expect(page.get_by_test_id("decide-none")).to_contain_text("cannot be approved")
    expect(page.get_by_test_id("decide-approve")).to_be_disabled()
    watched.assert_quiet()


def test_a_revision_is_computed_again_and_compared(watched: Watched, server: str) -> None:
    page = watched.page
    plan_id = offered(server)
    opened_frozen(page, server, plan_id)
    page.get_by_test_id("recompute").click()
    expect(page.get_by_test_id("recomputed")).to_contain_text("the same result, byte for byte")
    page.route(
        "**/recomputed",
        lambda route: route.fulfill(
            json={
                "revision": 1, "same": False, "engine": "0.2.0 (b)", "made_by": "0.1.0 (a)",
                "difference_count": 2,
                "differences": [{"pointer": "/turns/0/arc_m", "was": 1.5, "now": 1.6}],
            }
        ),
    )  # fmt: skip
    page.get_by_test_id("recompute").click()
    expect(page.get_by_test_id("recomputed")).to_contain_text(
        "Engine 0.2.0 (b) gives 2 values that differ. First: turns, 0, arc m, was 1.5, now 1.6."
    )
    watched.assert_quiet()
