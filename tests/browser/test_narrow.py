"""Every screen at 320 px: nothing scrolls sideways, targets and text keep their size."""

from typing import Any

import pytest
from playwright.sync_api import Page, expect

from tests.browser.conftest import Watched
from tests.browser.recorded import decide
from tests.browser.service import ask, stored
from tests.browser.test_editing import fresh, opened
from tests.browser.test_frozen import opened_frozen

pytestmark = pytest.mark.browser

# WCAG 2.2: reflow at 320 px (1.4.10) and targets of 24 px (2.5.8); text of 16 px is our own rule.
_MEASURE = """() => {
  const shown = (node) => node.offsetParent && !node.classList.contains("skip");
  const under = ({ width, height }) => width < 24 || height < 24;
  const small = [...document.querySelectorAll("button, a, input, select, summary")]
    .filter((node) => shown(node) && under(node.getBoundingClientRect()));
  const isText = (one) => one.nodeType === 3 && one.data.trim();
  const hasText = (node) => [...node.childNodes].some(isText);
  const fine = [...document.querySelectorAll("body *")].filter(shown).filter(hasText)
    .filter((node) => parseFloat(getComputedStyle(node).fontSize) < 16);
  return {
    sideways: document.documentElement.scrollWidth - window.innerWidth,
    small: small.map((node) => node.outerHTML.slice(0, 120)),
    fine: fine.map((node) => node.outerHTML.slice(0, 120)),
  };
}"""


def measure(page: Page) -> None:
    found: dict[str, Any] = page.evaluate(_MEASURE)
    assert found["sideways"] <= 0
    assert found["small"] == []
    assert found["fine"] == []


@pytest.fixture
def narrow(watched: Watched, server: str) -> tuple[Page, str]:
    """Return a page 320 px wide, and the id of a plan with a revision."""
    watched.page.set_viewport_size({"width": 320, "height": 800})
    plan_id = stored(server)
    ask(server, "POST", f"/plans/{plan_id}/revisions")
    return watched.page, plan_id


def test_the_desk(narrow: tuple[Page, str], server: str) -> None:
    page, plan_id = narrow
    page.goto(server)
    expect(page.get_by_test_id(f"plan-row-{plan_id}")).to_be_visible()
    measure(page)


def test_the_plan_its_fields_and_panels(
    narrow: tuple[Page, str], watched: Watched, server: str
) -> None:
    page, plan_id = narrow
    opened(watched, server, plan_id)
    measure(page)
    page.get_by_test_id("edit-Z2").click()
    measure(page)
    for panel in ("route", "ship", "limits", "dangers", "files"):
        page.get_by_test_id(f"open-{panel}").click()
        expect(page.get_by_test_id(f"panel-{panel}")).to_be_visible()
        measure(page)
    page.get_by_test_id("edit-move").click()
    expect(page.get_by_test_id("keep-move")).to_be_in_viewport()
    measure(page)


def test_the_strips_and_alternatives(
    narrow: tuple[Page, str], watched: Watched, server: str
) -> None:
    page, plan_id = narrow
    decide(server, plan_id, "approve")
    opened(watched, server, plan_id)
    page.get_by_test_id("offer").click()
    expect(page.get_by_test_id("offer-record")).to_be_visible()
    measure(page)
    page.get_by_test_id("offer-record").click()
    measure(page)
    page.get_by_test_id("amend").click()
    expect(page.get_by_test_id("offer-strip")).to_be_hidden()
    page.get_by_test_id("amend-record").click()
    measure(page)
    page.get_by_test_id("open-alternatives").click()
    page.get_by_test_id("alternative-new").fill("A name of some length, north about")
    page.get_by_test_id("alternative-keep").click()
    fresh(page)
    measure(page)


def test_a_frozen_revision_and_its_record(narrow: tuple[Page, str], server: str) -> None:
    page, plan_id = narrow
    opened_frozen(page, server, plan_id)
    page.get_by_test_id("decide-approve").check()
    page.get_by_test_id("check-open").click()
    measure(page)
    decide(server, plan_id, "approve")
    opened_frozen(page, server, plan_id)
    page.get_by_test_id("watch-open").click()
    page.get_by_test_id("reasons-given").click()
    page.get_by_test_id("recompute").click()
    expect(page.get_by_test_id("recomputed")).to_contain_text("byte for byte")
    measure(page)
    page.goto(f"{server}/plans/{plan_id}/r/1/turns/Z2")
    expect(page.get_by_test_id("turn-card-title")).to_be_visible()
    measure(page)


def test_the_turn_card(narrow: tuple[Page, str], server: str) -> None:
    page, plan_id = narrow
    page.goto(f"{server}/plans/{plan_id}#turn=Z2")
    expect(page.get_by_test_id("plan-view")).to_be_visible()
    measure(page)


def test_moving_by_buttons_needs_no_keys(
    narrow: tuple[Page, str], watched: Watched, server: str
) -> None:
    page, plan_id = narrow
    opened(watched, server, plan_id)
    page.get_by_test_id("edit-Z2").click()
    page.get_by_test_id("edit-move").click()
    page.get_by_role("button", name="0.01 NM E").click()
    page.get_by_role("button", name="0.01 NM E").click()
    page.get_by_test_id("keep-move").click()
    expect(page.get_by_test_id("last-step")).to_contain_text("Moved WPT 03 0.02 NM 090 T")
    fresh(page)


@pytest.mark.parametrize("width", [320, 390, 900, 1100, 1280])
def test_no_table_scrolls_sideways_in_its_box(watched: Watched, server: str, width: int) -> None:
    page = watched.page
    page.set_viewport_size({"width": width, "height": 900})
    opened(watched, server, "demonstration")
    page.get_by_test_id("checks-details").locator("summary").click()
    page.get_by_test_id("basis-details").locator("summary").click()
    expect(page.get_by_test_id("check-row").first).to_be_visible()
    over = "(box) => box.scrollWidth - box.clientWidth"
    for box in page.locator(".table-box").all():
        if box.is_visible():
            assert box.evaluate(over) <= 1, box.get_attribute("aria-label")


def test_text_follows_the_text_size_of_the_browser(
    narrow: tuple[Page, str], watched: Watched, server: str
) -> None:
    page, plan_id = narrow
    page.add_init_script("document.documentElement.style.fontSize = '200%'")
    opened(watched, server, plan_id)
    page.evaluate("document.documentElement.style.fontSize = '200%'")
    size = "(node) => getComputedStyle(node).fontSize"
    assert page.locator("body").evaluate(size) == "32px"


def test_a_position_breaks_only_between_its_halves(narrow: tuple[Page, str], server: str) -> None:
    page, plan_id = narrow
    page.goto(f"{server}/plans/{plan_id}#turn=Z2")
    expect(page.get_by_test_id("run-part")).to_contain_text("no response")  # the card is here
    halves = page.get_by_test_id("methods-table").locator(".half")
    expect(halves.first).to_be_visible()
    lines = "(node) => node.getClientRects().length"
    assert {one.evaluate(lines) for one in halves.all()} == {1}


def test_the_heading_has_the_focus_when_a_plan_is_opened(watched: Watched, server: str) -> None:
    page = watched.page
    plan_id = stored(server)
    page.goto(server)
    page.get_by_test_id(f"plan-row-{plan_id}").locator("a").first.press("Enter")
    fresh(page)
    expect(page.locator("#ledger-title")).to_be_focused()
