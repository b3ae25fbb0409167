"""Several loadings of a ship on the page: kept from a fit, chosen, taken away, and never mixed."""

from typing import Any

import pytest
from playwright.sync_api import Page, expect

from tests.api.test_simulated import RESPONSE
from tests.browser.conftest import Watched
from tests.browser.service import Document, ask, draft, stored
from tests.browser.test_editing import fresh, opened, steps
from tests.browser.test_narrow import measure as measure_narrow
from tests.browser.test_ship_papers import _enter as enter
from tests.browser.test_ship_papers import _enter_poster as enter_poster
from tests.browser.test_ship_papers import _given as given
from tests.browser.test_ship_papers import _papers as open_papers
from tests.browser.test_ship_papers import _poster_request as poster_request
from tests.browser.test_turn_card import _wide_turn as wide_turn

pytestmark = pytest.mark.browser

OWN = {**RESPONSE, "origin": "fitted"}
SLOW = {**OWN, "k_per_s": RESPONSE["k_per_s"] / 2, "t_s": RESPONSE["t_s"] * 1.5}


def _ship(server: str, plan_id: str) -> Document:
    found: Document = draft(server, plan_id)["inputs"]["ship"]
    return found


def _simulated_nm(turn: Document) -> float | None:
    """Return the distance of SIM in a turn, None where it is not computed."""
    row = next(one for one in turn["wheel_overs"] if one["method"] == "simulated")
    found: float | None = row["distance_nm"]
    return found


def _planned_nm(server: str, inputs: Document) -> float:
    """Return the distance of SIM that the service gives for inputs, asked beside the page."""
    found = _simulated_nm(ask(server, "POST", "/plan", inputs)["turns"][0])
    assert found is not None
    return found


def _expect_shown(page: Page, distance_nm: float) -> None:
    """Hold the distance of SIM on the turn's card against the service's."""
    row = page.get_by_test_id("methods-table").get_by_test_id("method-simulated")
    expect(row.locator('[data-unit="NM"]')).to_have_attribute("data-value", str(distance_nm))


def _choose(page: Page, name: str) -> None:
    page.get_by_test_id("loading-in-use").select_option(label=name)
    fresh(page)


def _fitted(watched: Watched, server: str, **ship: Any) -> str:
    """Open a plan, fit a poster, and return the plan's id."""
    page = watched.page
    plan_id = opened(watched, server, stored(server, wide_turn(lpp_m=184.0, **ship)))
    open_papers(page)
    enter_poster(page)
    enter(page, "sets-0", {"draught_fore_m": "8.0", "draught_aft_m": "8.4"})
    page.get_by_test_id("papers-fit").click()
    expect(page.get_by_test_id("fit-0")).to_be_visible()
    return plan_id


def _fit(server: str) -> Document:
    """Return the service's own fit of those papers."""
    request = poster_request()
    request["sets"][0].update(draught_fore_m=8.0, draught_aft_m=8.4)
    (fit,) = ask(server, "POST", "/ships/fit", request)["fits"]
    found: Document = fit
    return found


def test_a_fit_is_kept_as_a_loading_and_planned_with(watched: Watched, server: str) -> None:
    page = watched.page
    plan_id = _fitted(watched, server, response=OWN)
    before = _ship(server, plan_id)
    expect(page.get_by_test_id("loadings-none")).to_be_visible()
    page.get_by_test_id("fit-keep-0").click()
    fresh(page)
    (kept,) = _ship(server, plan_id)["loadings"]
    assert (kept["name"], kept["draught_fore_m"], kept["draught_aft_m"]) == ("laden", 8.0, 8.4)
    assert given(kept["response"]) == given(_fit(server)["response"])
    assert _ship(server, plan_id)["response"] == before["response"]
    assert len(steps(server, plan_id)) == 2
    row = page.get_by_test_id("loading-0")
    expect(row).to_contain_text("laden")
    expect(row).to_contain_text("fitted")
    shown = [
        float(one.get_attribute("data-value") or "nan") for one in row.locator(".figure").all()
    ]
    response = kept["response"]
    numbers = [response[name] for name in ("k_per_s", "t_s", "at_speed_kn")]
    assert shown == [8.0, 8.4, *numbers]
    expect(page.get_by_test_id("fit-keep-note-0")).to_contain_text("Kept as the loading laden")
    watched.assert_quiet()


def test_the_loading_in_use_is_the_one_the_plan_is_computed_in(
    watched: Watched, server: str
) -> None:
    page = watched.page
    plan_id = _fitted(watched, server, response=SLOW)
    page.get_by_test_id("fit-keep-0").click()
    fresh(page)
    inputs = draft(server, plan_id)["inputs"]
    stands_nm = _planned_nm(server, inputs)
    laden_nm = _planned_nm(server, {**inputs, "ship": {**inputs["ship"], "loading": "laden"}})
    assert stands_nm != laden_nm
    page.get_by_test_id("turn-open-0").click()
    _expect_shown(page, stands_nm)
    _choose(page, "laden")
    assert _ship(server, plan_id)["loading"] == "laden"
    expect(page.get_by_test_id("helm-loading")).to_contain_text("In use is the loading laden")
    _expect_shown(page, laden_nm)
    page.get_by_test_id("card-close").click()
    page.get_by_test_id("undo").click()
    fresh(page)
    page.get_by_test_id("turn-open-0").click()
    _expect_shown(page, stands_nm)
    assert "loading" not in given(_ship(server, plan_id))
    page.get_by_test_id("card-close").click()
    page.get_by_test_id("undo").click()
    fresh(page)
    assert "loadings" not in given(_ship(server, plan_id))
    page.get_by_test_id("redo").click()
    fresh(page)
    expect(page.get_by_test_id("loading-in-use")).to_have_value("")
    expect(page.get_by_test_id("loading-0")).to_contain_text("laden")
    watched.assert_quiet()


def test_a_loading_of_the_same_name_is_replaced(watched: Watched, server: str) -> None:
    """What the fit says nothing of, such as the loading's tables, stays; the others too."""
    page = watched.page
    table = {
        "rudder_deg": 35,
        "speed_kn": 12,
        "rows": [{"heading_change_deg": 90, "advance_m": 600, "transfer_m": 300}],
    }
    laden = {"name": "laden", "draught_fore_m": 12.0, "response": SLOW, "turn_tables": [table]}
    ballast = {"name": "ballast", "draught_fore_m": 5.0, "draught_aft_m": 6.0, "response": OWN}
    plan_id = _fitted(watched, server, loadings=[laden, ballast])
    expect(page.get_by_test_id("loading-0")).to_contain_text("as in the field above")
    expect(page.get_by_test_id("fit-keep-note-0")).to_contain_text("would take its place")
    page.get_by_test_id("fit-keep-0").click()
    fresh(page)
    first, second = _ship(server, plan_id)["loadings"]
    assert given(first["response"]) == given(_fit(server)["response"])
    assert (first["draught_fore_m"], first["draught_aft_m"]) == (8.0, 8.4)
    assert [given(one) for one in first["turn_tables"]] == [table]
    assert given(second) == ballast
    page.get_by_test_id("undo").click()
    fresh(page)
    assert _ship(server, plan_id)["loadings"][0]["response"] == SLOW
    watched.assert_quiet()


def test_a_loading_in_use_that_is_taken_away_is_in_use_no_more(
    watched: Watched, server: str
) -> None:
    page = watched.page
    bare = {"name": "bare", "draught_fore_m": 7.0, "draught_aft_m": 7.0}
    loadings = [{"name": "ballast", "response": SLOW}, bare]
    inputs = wide_turn(response=OWN, loadings=loadings, loading="bare")
    plan_id = opened(watched, server, stored(server, inputs))
    turn = ask(server, "GET", f"/plans/{plan_id}/computed")["turns"][0]
    assert _simulated_nm(turn) is None
    page.get_by_test_id("open-ship").click()
    expect(page.get_by_test_id("loading-1")).to_contain_text("none: SIM is not computed")
    expect(page.get_by_test_id("loading-1")).to_contain_text("in use")
    page.get_by_test_id("loading-0-away").click()
    fresh(page)
    assert _ship(server, plan_id)["loading"] == "bare"
    page.get_by_test_id("loading-0-away").click()
    fresh(page)
    ship = given(_ship(server, plan_id))
    assert ship.keys().isdisjoint({"loading", "loadings"})
    expect(page.get_by_test_id("loading-in-use")).to_be_focused()
    expect(page.get_by_test_id("helm-loading")).to_have_count(0)
    turn = ask(server, "GET", f"/plans/{plan_id}/computed")["turns"][0]
    assert _simulated_nm(turn) is not None
    page.get_by_test_id("undo").click()
    fresh(page)
    expect(page.get_by_test_id("loading-in-use").locator("option:checked")).to_have_text("bare")
    watched.assert_quiet()


def test_what_the_service_refuses_is_said_at_the_loadings(watched: Watched, server: str) -> None:
    page = watched.page
    many = [{"name": f"loading {number}"} for number in range(20)]
    plan_id = _fitted(watched, server, loadings=many)
    page.get_by_test_id("fit-keep-0").click()
    error = page.get_by_test_id("loadings-error")
    expect(error).to_contain_text("20")
    expect(page.get_by_test_id("loading-in-use")).to_have_attribute("aria-invalid", "true")
    assert len(_ship(server, plan_id)["loadings"]) == 20
    expect(page.get_by_test_id("loading-20")).to_contain_text("laden")
    page.get_by_test_id("loading-0-away").click()
    fresh(page)
    expect(error).to_be_hidden()
    names = [one["name"] for one in _ship(server, plan_id)["loadings"]]
    assert names == [*(f"loading {number}" for number in range(1, 20)), "laden"]


@pytest.mark.parametrize("width", [320, 1280])
def test_the_loadings_fit_the_screen(watched: Watched, server: str, width: int) -> None:
    page = watched.page
    page.set_viewport_size({"width": width, "height": 800})
    loadings = [{"name": "laden", "response": SLOW}, {"name": "in ballast, winter"}]
    opened(watched, server, stored(server, wide_turn(loadings=loadings, loading="laden")))
    page.get_by_test_id("open-ship").click()
    expect(page.get_by_test_id("loading-1")).to_be_visible()
    measure_narrow(page)
    box = page.get_by_test_id("loadings").locator(".table-box")
    assert box.evaluate("(box) => box.scrollWidth - box.clientWidth") <= 1
    watched.assert_quiet()
