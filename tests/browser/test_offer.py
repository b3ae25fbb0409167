"""Offering a draft: a strip in place, open items travel with it, undo ends there."""

import pytest
from playwright.sync_api import expect

from tests.browser.conftest import Watched
from tests.browser.service import ask, draft, stored
from tests.browser.test_editing import fresh, opened, type_into

pytestmark = pytest.mark.browser


def test_a_draft_is_offered_from_its_head(watched: Watched, server: str) -> None:
    page = watched.page
    plan_id = opened(watched, server)
    expect(page.get_by_test_id("plan-state")).to_contain_text("State: draft.")
    page.get_by_test_id("offer").click()
    strip = page.get_by_test_id("offer-strip")
    answer = ask(server, "GET", f"/plans/{plan_id}/computed")
    for grade in ("must_resolve", "must_explain", "note", "not_checked"):
        count = sum(one["grade"] == grade for one in answer["findings"])
        expect(page.get_by_test_id(f"offer-{grade}")).to_contain_text(str(count))
    left = sum(one["result"] == "not_checked" for one in answer["checks"]["rows"])
    expect(page.get_by_test_id("offer-unchecked")).to_contain_text(f"{left} of")
    defaults = sum(row["source"] == "default" for row in answer["basis"])
    expect(page.get_by_test_id("offer-defaults")).to_contain_text(f"{defaults} DEFAULT")
    expect(page.get_by_test_id("offer-record")).to_have_text("Offer as r1")
    page.get_by_test_id("offer-record").click()
    expect(page.get_by_test_id("error-offer-name")).to_have_text("A name is needed.")
    assert draft(server, plan_id)["revisions"] == []
    page.get_by_test_id("offer-name").fill("Ada Berg")
    page.get_by_test_id("offer-rank").fill("Second officer")
    page.get_by_test_id("offer-words").fill("turn 3 is tight")
    page.get_by_test_id("offer-record").click()
    expect(page.get_by_test_id("offered")).to_contain_text("Undo reaches no further back than r1")
    expect(page.get_by_test_id("plan-state")).to_contain_text("State: offered r1.")
    expect(page.get_by_test_id("plan-state")).to_be_focused()
    expect(strip).to_be_hidden()
    record = ask(server, "GET", f"/plans/{plan_id}/revisions/1/record")
    assert record["author"]["name"] == "Ada Berg"
    assert record["author"]["claimed"] is True
    assert record["decisions"][0]["words"] == "turn 3 is tight"
    page.get_by_test_id("edit-Z1").click()
    type_into(page, "edit-name", "later")
    fresh(page)
    expect(page.get_by_test_id("plan-state")).to_contain_text("changes since r1")
    page.reload()
    fresh(page)
    page.get_by_test_id("offer").click()
    expect(page.get_by_test_id("offer-name")).to_have_value("Ada Berg")
    expect(page.get_by_test_id("offer-record")).to_have_text("Offer as r2")
    watched.assert_quiet()


def test_the_strip_is_left_by_key_and_its_button_has_the_focus(
    watched: Watched, server: str
) -> None:
    page = watched.page
    opened(watched, server)
    page.get_by_test_id("offer").press("Enter")
    expect(page.get_by_test_id("offer-name")).to_be_focused()
    page.keyboard.press("Escape")
    expect(page.get_by_test_id("offer-strip")).to_be_hidden()
    expect(page.get_by_test_id("offer")).to_be_focused()


def test_what_is_not_stored_is_not_offered(watched: Watched, server: str) -> None:
    page = watched.page
    plan_id = opened(watched, server)
    page.get_by_test_id("offer").click()
    page.get_by_test_id("offer-name").fill("Ada Berg")
    page.get_by_test_id("offer-rank").fill("Second officer")
    page.route(
        "**/api/v1/plans/*",
        lambda route: None if route.request.method == "PUT" else route.fallback(),
    )
    page.get_by_test_id("edit-Z1").click()
    type_into(page, "edit-name", "not stored yet")
    expect(page.get_by_test_id("offer-reason")).to_contain_text("not stored yet")
    expect(page.get_by_test_id("offer-record")).to_be_disabled()
    expect(page.get_by_test_id("offer-name")).to_have_value("Ada Berg")
    assert draft(server, plan_id)["revisions"] == []


def test_an_offer_of_what_was_changed_elsewhere_is_refused(watched: Watched, server: str) -> None:
    page = watched.page
    plan_id = opened(watched, server, stored(server))
    page.get_by_test_id("offer").click()
    page.get_by_test_id("offer-name").fill("Ada Berg")
    page.get_by_test_id("offer-rank").fill("Second officer")
    other = draft(server, plan_id)
    inputs = other["inputs"]
    inputs["route"]["waypoints"][2]["name"] = "theirs"
    page.route(f"**/api/v1/plans/{plan_id}", lambda route: route.abort("timedout"))
    ask(server, "PUT", f"/plans/{plan_id}", inputs, {"If-Match": other["_etag"]})
    page.get_by_test_id("offer-record").click()
    expect(page.get_by_test_id("offer-refused")).to_contain_text("changed")
    assert draft(server, plan_id)["revisions"] == []
