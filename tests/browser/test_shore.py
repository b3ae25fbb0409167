"""What the shore says of a revision: beside the master's decision, never a lock on it."""

import pytest
from playwright.sync_api import expect

from tests.browser.conftest import Watched
from tests.browser.recorded import decide, offered, record
from tests.browser.service import ask
from tests.browser.test_frozen import opened_frozen

pytestmark = pytest.mark.browser

SUPT = {"name": "S. Upt", "rank": "Superintendent"}


def test_the_shore_returns_with_a_thread_and_agrees_later(watched: Watched, server: str) -> None:
    page = watched.page
    plan_id = offered(server)
    opened_frozen(page, server, plan_id)
    page.get_by_test_id("shore-return").check()
    expect(page.get_by_test_id("shore")).to_contain_text("0 open threads now")
    page.get_by_test_id("shore-name").fill("S. Upt")
    page.get_by_test_id("shore-rank").fill("Superintendent")
    page.get_by_test_id("shore-words").fill("see the thread")
    page.get_by_test_id("shore-record").click()
    expect(page.get_by_test_id("shore-refused")).to_contain_text("at least one open thread")
    anchor = {"kind": "turn", "id": "Z2"}
    said = {"anchor": anchor, "words": "too tight", "by": SUPT, "side": "shore", "revision": 1}
    ask(server, "POST", f"/plans/{plan_id}/threads", said)
    page.get_by_test_id("shore-record").click()
    told = page.get_by_test_id("shore-said")
    expect(told).to_contain_text("Returned from ashore: r1 by S. Upt, Superintendent, claimed")
    expect(told).to_contain_text("see the thread")
    expect(page.get_by_test_id("shore-master")).to_contain_text("has not decided r1")
    # It locks nothing: the master approves all the same, and the shore reads it beside its own.
    decide(server, plan_id, "approve")
    opened_frozen(page, server, plan_id)
    expect(page.get_by_test_id("shore-master")).to_contain_text("Approved r1 by Jon Holm, Master")
    page.get_by_test_id("shore-agree").check()
    page.get_by_test_id("shore-record").click()
    expect(told).to_contain_text("Agreed ashore with r1 by S. Upt")
    expect(page.get_by_test_id("standing")).to_have_text("r1 is approved.")
    assert [one["kind"] for one in record(server, plan_id)["shore"]] == [
        "shore_returned",
        "shore_agreed",
    ]
    assert all("409" in one for one in watched.complaints)
