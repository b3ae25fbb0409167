"""Routes side by side, one selected: kept, named, swapped, taken away, undone; not checked."""

import pytest
from playwright.sync_api import Page, expect

from tests.browser.conftest import Watched
from tests.browser.recorded import offered
from tests.browser.service import draft, place_of
from tests.browser.test_editing import fresh, opened, steps, type_into
from tests.browser.test_frozen import opened_frozen

pytestmark = pytest.mark.browser


def _kept(page: Page, name: str) -> None:
    page.get_by_test_id("open-alternatives").click()
    page.get_by_test_id("alternative-new").fill(name)
    page.get_by_test_id("alternative-keep").click()
    fresh(page)


def test_alternatives_are_kept_swapped_and_undone(watched: Watched, server: str) -> None:
    page = watched.page
    plan_id = opened(watched, server)
    _kept(page, "North about")
    row = page.get_by_test_id("alternative")
    expect(row).to_contain_text("6 waypoints")
    answer = page.evaluate(f"fetch('/api/v1/plans/{plan_id}/computed').then((one) => one.json())")
    length = answer["alternatives"][0]["distance_nm"]
    expect(row).to_contain_text(f"{length:.2f}")
    ledger = page.get_by_test_id("ledger-alternative")
    expect(ledger).to_contain_text('"North about"')
    expect(ledger).to_contain_text("laid, not checked until selected")
    page.get_by_test_id("edit-Z2").click()
    type_into(page, "edit-position", "47-09.000N 029-48.000W")
    expect(page.get_by_test_id("last-step")).to_contain_text("Moved WPT")
    fresh(page)
    moved = place_of(server, plan_id, "Z2")
    page.get_by_test_id("alternative-select-0").click()
    fresh(page)
    assert steps(server, plan_id)[-1] == "Selected 'North about'"
    assert place_of(server, plan_id, "Z2") != moved
    beside = draft(server, plan_id)["inputs"]["alternatives"]
    assert [one["route"]["name"] for one in beside] == ["Zoo zigzag"]
    assert beside[0]["route"]["waypoints"][2]["lat_deg"] == moved[0]
    page.get_by_test_id("undo").click()
    fresh(page)
    assert place_of(server, plan_id, "Z2") == moved
    expect(page.get_by_test_id("alternative")).to_have_count(1)
    watched.assert_quiet()


def test_an_alternative_is_renamed_remarked_and_removed(watched: Watched, server: str) -> None:
    page = watched.page
    plan_id = opened(watched, server)
    _kept(page, "North about")
    type_into(page, "alternative-name-0", "Outside the bank")
    fresh(page)
    type_into(page, "alternative-remark-0", "deeper, 4 NM longer")
    fresh(page)
    (one,) = draft(server, plan_id)["inputs"]["alternatives"]
    assert (one["route"]["name"], one["remark"]) == ("Outside the bank", "deeper, 4 NM longer")
    page.get_by_test_id("alternative-name-0").fill("")
    page.get_by_test_id("alternative-name-0").press("Tab")
    expect(page.get_by_test_id("error-alternative-name-0")).to_contain_text("needs a name")
    page.get_by_test_id("alternative-remove-0").click()
    fresh(page)
    assert "alternatives" not in draft(server, plan_id)["inputs"]
    assert steps(server, plan_id)[1:] == [
        "Alternative kept: 'North about'",
        "Alternative 'North about' named 'Outside the bank'",
        "Remark of alternative 'Outside the bank' changed",
        "Alternative taken away: 'Outside the bank'",
    ]
    expect(page.get_by_test_id("alternatives-none")).to_have_text("None is kept.")
    expect(page.get_by_test_id("alternative-keep")).to_be_focused()
    watched.assert_quiet()


def test_an_alternative_is_drawn_named_and_in_the_key(watched: Watched, server: str) -> None:
    page = watched.page
    plan_id = opened(watched, server)
    _kept(page, "<b>North</b> about")
    page.get_by_test_id("edit-Z2").click()
    type_into(page, "edit-position", "47-12.000N 029-50.000W")
    expect(page.get_by_test_id("last-step")).to_contain_text("Moved WPT")
    fresh(page)
    line = page.locator("#plot path.line-alternative")
    expect(line).to_have_count(1)
    dashes = line.evaluate("(one) => getComputedStyle(one).strokeDasharray")
    assert dashes != "none"
    expect(page.locator("[data-plot-alternative]")).to_contain_text("<b>North</b> about")
    expect(page.get_by_test_id("plot-key")).to_contain_text(
        "alternative, laid and not checked: <b>North</b> about"
    )
    offered(server, plan_id=plan_id)
    opened_frozen(page, server, plan_id)
    expect(page.get_by_test_id("ledger-alternative")).to_contain_text("<b>North</b> about")
    expect(line).to_have_count(1)
    watched.assert_quiet()
