"""The turn card: the numbers of the hand calculation, and every dot a row of its table."""

import re
from typing import Any

import pytest
from playwright.sync_api import Page, expect
from pyproj import Geod

from tests.browser.conftest import Watched
from tests.browser.service import SHIP, ask, draft, stored, waypoint
from tests.browser.test_editing import fresh, opened, type_into

pytestmark = pytest.mark.browser

# Advance 3.90 and transfer 1.15 cables at 44 degrees, in metres of 185.2 to the cable.
TABLE = {
    "rudder_deg": 15.0,
    "speed_kn": 12.0,
    "source": "made up for this test",
    "rows": [
        {"heading_change_deg": 30.0, "advance_m": 600.0, "transfer_m": 90.0},
        {"heading_change_deg": 44.0, "advance_m": 3.90 * 185.2, "transfer_m": 1.15 * 185.2},
        {"heading_change_deg": 60.0, "advance_m": 850.0, "transfer_m": 420.0},
    ],
}


def _wide_turn(**ship: Any) -> dict[str, Any]:
    """Return a plan with one turn of 44 degrees, 078 to 122, at the equator's quiet neighbour."""
    geod = Geod(ellps="WGS84")
    lon0, lat0, _ = geod.fwd(-30.0, 0.5, 258.0, 4 * 1852)
    lon2, lat2, _ = geod.fwd(-30.0, 0.5, 122.0, 4 * 1852)
    route = [
        waypoint("A", lat0, lon0),
        waypoint("B", 0.5, -30.0, turn_radius_nm=0.5),
        waypoint("C", lat2, lon2),
    ]
    return {
        "route": {"name": "One wide turn", "waypoints": route},
        "ship": {**SHIP, "reach_m": 190.0, **ship},
    }


def _open_card(watched: Watched, server: str, inputs: dict[str, Any]) -> str:
    plan_id = opened(watched, server, stored(server, inputs))
    watched.page.get_by_test_id("turn-open-0").click()
    expect(watched.page.get_by_test_id("turn-card")).to_be_visible()
    assert watched.page.url.endswith("#turn=B")
    return plan_id


def _cables(page: Page, method: str) -> str:
    """Return the cables that the table of the card shows for a method."""
    row = page.get_by_test_id("turn-card").get_by_test_id(f"method-{method}")
    return row.locator('[data-unit="cab"]').inner_text()


def test_the_numbers_of_the_hand_calculation(watched: Watched, server: str) -> None:
    page = watched.page
    _open_card(watched, server, _wide_turn(turn_tables=[TABLE]))
    card = page.get_by_test_id("turn-card")
    expect(card).to_contain_text("44 deg stbd, 078 to 122 T")
    expect(card).to_contain_text("22.9")
    expect(card).to_contain_text("2.02 cab")
    assert _cables(page, "geometric") == "3.05"
    assert _cables(page, "rule_of_thumb") == "2.86"
    assert _cables(page, "advance_transfer") == "2.71"
    working = page.get_by_test_id("workings")
    expect(working).to_contain_text("tan")
    expect(working).to_contain_text("made up for this test")
    expect(page.get_by_test_id("spread")).to_contain_text("GEO is earliest, ADV latest")
    expect(page.get_by_test_id("method-simulated")).to_contain_text("not computed:")
    expect(page.get_by_test_id("card-not-yet")).to_be_visible()
    assert page.get_by_test_id("plan-view").locator("path.line-track").count() >= 3
    watched.assert_quiet()


def test_each_dot_stands_where_its_row_says(watched: Watched, server: str) -> None:
    page = watched.page
    _open_card(watched, server, _wide_turn(turn_tables=[TABLE]))
    strip = page.get_by_test_id("methods-strip")
    left, right = (float(strip.get_attribute(f"data-{end}") or "nan") for end in ("to", "from"))
    words = {"geometric": "GEO", "rule_of_thumb": "RUL", "advance_transfer": "ADV"}
    for method, word in words.items():
        dot = page.get_by_test_id(f"dot-{method}")
        expect(dot.locator("text")).to_contain_text(word)
        cell = page.get_by_test_id(f"method-{method}").locator('[data-unit="cab"]')
        cables = float(cell.get_attribute("data-value") or "nan")
        x = float(dot.locator("circle").get_attribute("cx") or "nan")
        assert abs(x - (48 + (left - cables) / (left - right) * (640 - 96))) < 1.0
    expect(page.get_by_test_id("dot-geometric").locator("text")).to_contain_text("planned")


def test_a_turn_is_planned_on_its_card(watched: Watched, server: str) -> None:
    page = watched.page
    plan_id = _open_card(watched, server, _wide_turn())
    page.get_by_test_id("edit-wheel-over").select_option("rule_of_thumb")
    fresh(page)
    expect(page.get_by_test_id("dot-rule_of_thumb").locator("text")).to_contain_text("planned")
    type_into(page, "edit-radius", "0.6")
    fresh(page)
    expect(page.get_by_test_id("turn-card")).to_contain_text("0.60 NM")
    found = draft(server, plan_id)["inputs"]["route"]["waypoints"][1]
    assert found["wheel_over"] == {"method": "rule_of_thumb"}
    assert found["turn_radius_nm"] == 0.6
    page.reload()
    expect(page.get_by_test_id("turn-card")).to_contain_text("0.60 NM")
    page.get_by_test_id("card-close").click()
    expect(page.get_by_test_id("work")).to_be_visible()
    watched.assert_quiet()


def test_cards_are_paged_by_key(watched: Watched, server: str) -> None:
    page = watched.page
    plan_id = opened(watched, server)
    page.get_by_test_id("turn-open-0").click()
    expect(page.locator("#turn-card-title")).to_contain_text("Turn 02 (Z1)")
    page.keyboard.press("]")
    expect(page.locator("#turn-card-title")).to_contain_text("Turn 03 (Z2)")
    page.keyboard.press("[")
    expect(page.locator("#turn-card-title")).to_contain_text("Turn 02 (Z1)")
    page.go_back()
    expect(page.locator("#turn-card-title")).to_contain_text("Turn 03 (Z2)")
    computed = ask(server, "GET", f"/plans/{plan_id}/computed")
    rate = computed["turns"][1]["rate_of_turn_deg_per_min"]
    expect(page.get_by_test_id("turn-card")).to_contain_text(f"{abs(rate):.1f}")
    assert not re.search(r"\b360\b", page.get_by_test_id("turn-card").inner_text())


def test_a_turning_table_is_typed(watched: Watched, server: str) -> None:
    page = watched.page
    plan_id = opened(watched, server, stored(server, _wide_turn()))
    page.get_by_test_id("open-ship").click()
    page.get_by_test_id("add-turn-table").click()
    expect(page.get_by_test_id("table-incomplete")).to_be_visible()
    type_into(page, "table-0-rudder_deg", "15")
    type_into(page, "table-0-speed_kn", "12")
    rows = (("30", "600", "90"), ("44", "3.90cab", "1.15cab"), ("60", "850", "420"))
    for number, row in enumerate(rows):
        if number:
            page.get_by_test_id("table-0-add").click()
        for name, text in zip(("heading_change_deg", "advance_m", "transfer_m"), row, strict=True):
            type_into(page, f"table-0-{number}-{name}", text)
    expect(page.get_by_test_id("table-incomplete")).to_be_hidden()
    fresh(page)
    kept = draft(server, plan_id)["inputs"]["ship"]["turn_tables"][0]["rows"]
    assert [row["heading_change_deg"] for row in kept] == [30, 44, 60]
    assert abs(kept[1]["advance_m"] - 722.28) < 1e-9
    page.get_by_test_id("turn-open-0").click()
    assert _cables(page, "advance_transfer") == "2.71"
