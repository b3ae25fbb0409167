"""Marks and cues on the page: one's own marks, ranked cues of a turn, two chosen, warnings."""

import pytest
from playwright.sync_api import expect

from tests.browser.conftest import Watched
from tests.browser.service import ask, draft, stored
from tests.browser.test_editing import fresh, opened, steps

pytestmark = pytest.mark.browser

MANY = """id,name,lat_deg,lon_deg,kind,height_m,radar_conspicuous,nominal_range_nm
tall,Tall tower,47.2,-29.9,landmark,60,yes,
low,"Low, far beacon",47.15,-30.1,beacon,20,yes,9
"""


def test_marks_are_typed_pasted_and_used(watched: Watched, server: str) -> None:
    page = watched.page
    plan_id = opened(watched, server)
    page.get_by_test_id("open-marks").click()
    expect(page.get_by_test_id("marks-none")).to_be_visible()
    expect(page.get_by_test_id("marks-loaded")).to_contain_text("cues are not checked")
    page.get_by_test_id("mark-name").fill("North light")
    page.get_by_test_id("mark-position").fill("47-12.0N 030-06.0W")
    page.get_by_test_id("mark-kind").select_option("light")
    page.get_by_test_id("mark-height_m").fill("30 m")
    page.get_by_test_id("mark-nominal_range_nm").fill("14")
    page.get_by_test_id("mark-radar_conspicuous").select_option("true")
    page.get_by_test_id("mark-take").click()
    expect(page.get_by_text("Steps: 2")).to_be_visible()
    fresh(page)
    (mark,) = draft(server, plan_id)["inputs"]["marks"]
    assert mark["lat_deg"] == pytest.approx(47.2)
    assert (mark["height_m"], mark["radar_conspicuous"]) == (30.0, True)
    assert steps(server, plan_id)[-1] == "Own marks changed"
    page.get_by_test_id("marks-text").fill("name,lat_deg\nx,abc")
    page.get_by_test_id("marks-take").click()
    expect(page.get_by_test_id("error-marks-text")).to_contain_text("Line 2, lat_deg: abc")
    page.get_by_test_id("marks-text").fill(MANY)
    page.get_by_test_id("marks-take").click()
    expect(page.get_by_text("Steps: 3")).to_be_visible()
    fresh(page)
    names = [one["name"] for one in draft(server, plan_id)["inputs"]["marks"]]
    assert names == ["North light", "Tall tower", "Low, far beacon"]
    expect(page.get_by_test_id("marks-loaded")).to_have_attribute("data-count", "3")
    page.get_by_test_id("mark-drop-low").click()
    fresh(page)
    expect(page.get_by_test_id("mark-row-low")).to_have_count(0)
    watched.assert_quiet()


def test_cues_are_ranked_chosen_and_undone(watched: Watched, server: str) -> None:
    page = watched.page
    plan_id = stored(server, ask(server, "GET", "/demonstration")["request"])
    page.goto(f"{server}/plans/{plan_id}#turn=WP03")
    expect(page.get_by_test_id("cues-table")).to_be_visible()
    expect(page.get_by_test_id("cue-light")).to_contain_text("It is not dark then")
    first = page.get_by_test_id("cue-first")
    expect(first).to_contain_text("by rank, not chosen")
    expect(first).to_contain_text("West Bank beacon bears")
    expect(page.get_by_test_id("wheel-over-set")).to_contain_text("of the new track")
    expect(page.get_by_test_id("warning-0")).to_contain_text("before (default)")
    kept = page.get_by_test_id("cue-second").get_attribute("data-cue")
    wanted = page.get_by_test_id("cue-row-2").get_attribute("data-cue")
    page.get_by_test_id("cue-first-2").click()
    fresh(page)
    expect(first).to_have_attribute("data-cue", wanted or "")
    expect(first).to_contain_text("(chosen)")
    waypoints = draft(server, plan_id)["inputs"]["route"]["waypoints"]
    assert waypoints[2]["turn"]["cue_ids"] == [wanted, kept]
    assert "cues of the wheel-over" in steps(server, plan_id)[-1]
    page.get_by_test_id("cue-clear").click()
    fresh(page)
    expect(first).to_contain_text("by rank, not chosen")
    watched.assert_quiet()
