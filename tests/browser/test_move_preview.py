"""What a move shows before it is kept: fresh only where the whole plan would say it."""

import re

import pytest
from playwright.sync_api import Page, expect

from tests.browser.conftest import Watched
from tests.browser.service import ask, draft, ids_of, place_of, stored, waypoint, zigzag
from tests.browser.test_editing import fresh, opened

pytestmark = pytest.mark.browser


def test_a_preview_holds_what_the_kept_plan_holds(watched: Watched, server: str) -> None:
    page = watched.page
    opened(watched, server)
    row = page.get_by_test_id("wp-row-Z3")
    row.focus()
    row.click(position={"x": 200, "y": 8})
    page.keyboard.press("m")
    page.keyboard.press("ArrowRight")
    expect(page.locator(".is-preview").first).to_be_visible()
    shown = {
        one.get_attribute("data-testid") or "": one.locator("[data-unit='NM']").all_inner_texts()
        for one in page.locator('.is-preview[data-state="fresh"]').all()
    }
    assert "leg-row-2" in shown
    assert "turn-row-2" in shown
    page.keyboard.press("Enter")
    expect(page.get_by_test_id("last-step")).to_contain_text("Moved WPT 04")
    fresh(page)
    for test_id, before in shown.items():
        after = page.get_by_test_id(test_id)
        expect(after).to_have_attribute("data-state", "fresh")
        inside = after.locator("td:not(.least) [data-unit='NM']").all_inner_texts()
        assert before[: len(inside)] == inside, test_id
    watched.assert_quiet()


def test_where_the_part_ends_nothing_is_called_fresh(watched: Watched, server: str) -> None:
    """The part asked about begins at WPT 03, so the turn there is missing from it."""
    page = watched.page
    opened(watched, server)
    page.get_by_test_id("wp-row-Z5").click(position={"x": 200, "y": 8})
    before = page.get_by_test_id("leg-row-2").inner_text()
    page.keyboard.press("m")
    page.keyboard.press("ArrowUp")
    expect(page.get_by_test_id("leg-row-4")).to_have_class(re.compile("is-preview"))
    expect(page.get_by_test_id("leg-row-2")).to_have_attribute("data-state", "stale")
    assert page.get_by_test_id("leg-row-2").inner_text() == before
    page.keyboard.press("Escape")
    fresh(page)
    expect(page.get_by_test_id("leg-row-2")).to_have_attribute("data-state", "fresh")


def test_findings_stay_on_a_row_while_it_is_moved(watched: Watched, server: str) -> None:
    page = watched.page
    request = ask(server, "GET", "/demonstration")["request"]
    opened(watched, server, stored(server, request))
    links = page.get_by_test_id("turn-row-2").locator(".finding-link")
    before = links.all_inner_texts()
    assert before
    name = request["route"]["waypoints"][3]["id"]
    page.get_by_test_id(f"wp-row-{name}").click(position={"x": 200, "y": 8})
    page.keyboard.press("m")
    page.keyboard.press("ArrowRight")
    expect(page.get_by_test_id("turn-row-2")).to_have_class(re.compile("is-preview"))
    assert links.all_inner_texts() == before
    expect(links.first).to_have_attribute("data-state", "stale")
    page.keyboard.press("Escape")


def test_what_the_moved_legs_clear_is_checked_while_they_are_moved(
    watched: Watched, server: str
) -> None:
    page = watched.page
    request = ask(server, "GET", "/demonstration")["request"]
    opened(watched, server, stored(server, request))
    name = request["route"]["waypoints"][3]["id"]
    page.get_by_test_id(f"wp-row-{name}").click(position={"x": 200, "y": 8})
    before = page.get_by_test_id("leg-row-2").locator(".least").inner_text()
    page.keyboard.press("m")
    page.keyboard.press("Shift+ArrowRight")
    page.keyboard.press("Shift+ArrowRight")
    least = page.get_by_test_id("leg-row-2").locator('.least[data-state="fresh"]')
    expect(least).to_be_visible()
    expect(least).not_to_contain_text("stale")
    expect(least).not_to_have_text(before)
    page.wait_for_timeout(500)  # the second step is asked about after the first
    for kind in ("leg", "turn"):
        said = page.get_by_test_id(f"{kind}-row-2").get_by_test_id("not-in-full")
        expect(said).to_have_text("land, depth and chart cover not looked at while it moves")
    shown = [_measured(page, leg) for leg in (2, 3)]
    page.keyboard.press("Enter")
    fresh(page)
    for leg, text in zip((2, 3), shown, strict=True):
        kept = page.get_by_test_id(f"leg-row-{leg}")
        expect(kept).to_have_attribute("data-state", "fresh")
        assert _measured(page, leg) == text, leg
        expect(kept.locator(".least")).not_to_contain_text("while it moves")
    watched.assert_quiet()


def _measured(page: Page, leg: int) -> str:
    """Return what stands in the least clearance of a leg but for what was not looked at."""
    least = page.get_by_test_id(f"leg-row-{leg}").locator(".least")
    text = least.inner_text()
    for said in least.get_by_test_id("not-in-full").all_inner_texts():
        text = text.replace(said, "")
    return text.strip()


def test_turns_without_a_radius_and_findings_stay_stale_while_it_moves(
    watched: Watched, server: str
) -> None:
    """Legs that keep their line are told as they are: NOT MET does not turn into nothing near."""
    page = watched.page
    rocks = [[-29.9, 47.1015], [-29.7, 47.2015], [-29.6, 47.25], [-30.0, 47.05]]
    features = [
        {
            "type": "Feature",
            "id": f"R{number}",
            "properties": {"kind": "rock"},
            "geometry": {"type": "Point", "coordinates": place},
        }
        for number, place in enumerate(rocks)
    ]
    hazards = {"type": "FeatureCollection", "features": features}
    limits = {"min_clearance_m": 900.0}
    request = {"route": zigzag()["route"], "hazards": hazards, "limits": limits}
    opened(watched, server, stored(server, request))
    page.get_by_test_id("wp-row-Z3").click(position={"x": 200, "y": 8})
    page.keyboard.press("m")
    page.keyboard.press("ArrowRight")
    for leg in (1, 4):
        row = page.get_by_test_id(f"leg-row-{leg}")
        expect(row.locator('.least[data-state="fresh"]')).to_be_visible()
        expect(row.locator(".least")).to_contain_text("NOT MET")
        expect(row.locator(".finding-link").first).to_have_attribute("data-state", "stale")
    turn = page.get_by_test_id("turn-row-2")
    expect(turn).to_have_class(re.compile("is-preview"))
    expect(turn.locator('.least[data-state="stale"]')).to_contain_text("stale")
    expect(turn).not_to_contain_text("while it moves")
    page.keyboard.press("Escape")
    watched.assert_quiet()


def test_keys_pressed_on_a_button_do_not_keep_a_move(watched: Watched, server: str) -> None:
    page = watched.page
    plan_id = opened(watched, server)
    page.get_by_test_id("wp-row-Z3").click(position={"x": 200, "y": 8})
    page.keyboard.press("m")
    page.keyboard.press("ArrowRight")
    expect(page.locator(".is-preview").first).to_be_visible()
    page.get_by_test_id("drop-move").press("Enter")
    expect(page.get_by_test_id("moving")).to_be_hidden()
    assert place_of(server, plan_id, "Z3") == (47.2, -29.8)
    expect(page.get_by_test_id("wp-row-Z3")).to_be_focused()


def test_two_inserts_at_once_lie_apart(watched: Watched, server: str) -> None:
    page = watched.page
    plan_id = opened(watched, server)
    page.get_by_test_id("wp-row-Z1").click(position={"x": 200, "y": 8})
    page.keyboard.press("n")
    page.keyboard.press("n")
    expect(page.get_by_test_id("wp-row-Z5")).to_contain_text("08")
    fresh(page)
    ids = ids_of(server, plan_id)
    assert len(ids) == 8
    assert place_of(server, plan_id, ids[2]) != place_of(server, plan_id, ids[3])


def test_the_fields_of_a_new_waypoint_have_the_focus(watched: Watched, server: str) -> None:
    page = watched.page
    plan_id = opened(watched, server)
    page.get_by_test_id("wp-row-Z1").click(position={"x": 200, "y": 8})
    page.get_by_test_id("wp-row-Z1").focus()
    page.keyboard.press("n")
    expect(page.get_by_test_id("editor")).to_contain_text("WPT 03")
    fresh(page)
    expect(page.get_by_test_id("edit-position")).to_be_focused()
    new = ids_of(server, plan_id)[2]
    expect(page.get_by_test_id(f"wp-row-{new}")).to_have_attribute("aria-current", "true")


def test_what_was_not_measured_is_never_clear(watched: Watched, server: str) -> None:
    """One point far off, a line across the first leg without a limit, and an empty set."""
    page = watched.page
    line = {"type": "LineString", "coordinates": [[-30.1, 47.05], [-29.9, 47.05]]}
    rock = {"type": "Point", "coordinates": [-35.0, 40.0]}
    kinds = {"L1": ("depth_contour", line), "P1": ("rock", rock)}
    features = [
        {"type": "Feature", "id": name, "properties": {"kind": kind}, "geometry": geometry}
        for name, (kind, geometry) in kinds.items()
    ]
    hazards = {"type": "FeatureCollection", "features": features}
    opened(watched, server, stored(server, {**zigzag(), "hazards": hazards}))
    least = page.get_by_test_id("leg-row-0").locator(".least")
    expect(least).to_contain_text("0.0 m")
    expect(least).to_contain_text("ON THE TRACK")
    expect(least).not_to_contain_text("more NOT MET")
    least = page.get_by_test_id("leg-row-2").locator(".least")
    expect(least).to_contain_text("none of 2 loaded dangers within 2 NM or its limit")
    empty = {"type": "FeatureCollection", "features": []}
    made = ask(server, "POST", "/hazard-sets", {"name": "nothing in it", "hazards": empty})
    opened(watched, server, stored(server, {**zigzag(), "hazard_set_ids": [made["id"]]}))
    least = page.get_by_test_id("leg-row-0").locator(".least")
    expect(least).to_contain_text("not checked: the set holds no danger")


def test_no_track_total_says_why(watched: Watched, server: str) -> None:
    page = watched.page
    tight = zigzag()
    tight["route"]["waypoints"][2] = waypoint("Z2", 47.1, -29.8, turn_radius_nm=8)
    plan_id = opened(watched, server, stored(server, tight))
    expect(page.get_by_test_id("track-total")).to_contain_text("not fit")
    assert draft(server, plan_id)["edit"] == 1
