"""The turn card on the page: each number is the service's, and what is tried changes no plan."""

import re
from typing import Any

import pytest
from playwright.sync_api import Locator, Page, Route, expect

from tests.api.test_simulated import RESPONSE
from tests.browser.conftest import Watched
from tests.browser.service import Document, ask, draft, stored
from tests.browser.test_editing import fresh, opened, type_into
from tests.browser.test_narrow import measure as measure_narrow
from tests.browser.test_turn_card import _open_card as open_card
from tests.browser.test_turn_card import _wide_turn as wide_turn

pytestmark = pytest.mark.browser

COVARIANCE = [[0.01 if row == one else 0.0 for one in range(8)] for row in range(8)]
OWN = {**RESPONSE, "origin": "fitted", "covariance": COVARIANCE}
ROCK = {
    "type": "Feature",
    "id": "rock",
    "properties": {"name": "Stone Rk"},
    "geometry": {"type": "Point", "coordinates": [-29.9975, 0.5035]},
}
STREAM = {"set_deg": 130.0, "drift_kn": 1.5}


def _inputs(**more: Any) -> Document:
    """Return a plan with one turn beside a rock, for a ship whose response is her own."""
    return {
        **wide_turn(response=OWN),
        "conditions": {"set_deg": 40.0, "drift_kn": 0.5},
        "limits": {"max_off_track_m": 111.0, "min_clearance_m": 185.0},
        "hazards": {"type": "FeatureCollection", "features": [ROCK]},
        **more,
    }


def _card(server: str, inputs: Document, **more: Any) -> Document:
    """Return the card as the service computes it."""
    return ask(server, "POST", "/turns/card", {"plan": inputs, "waypoint_id": "B", **more})


def _values(place: Locator, unit: str) -> list[float]:
    """Return every number of a place that is in a unit, in reading order."""
    found: list[float] = place.locator(f'[data-unit="{unit}"]').evaluate_all(
        "(all) => all.map((one) => Number(one.dataset.value))"
    )
    return found


def _ready(page: Page) -> None:
    """Wait until the card is that of the plan on show."""
    expect(page.get_by_test_id("window-part")).not_to_contain_text("working")
    expect(page.get_by_test_id("run-part")).not_to_contain_text("working")


def _open(watched: Watched, server: str, inputs: Document) -> str:
    plan_id = open_card(watched, server, inputs)
    _ready(watched.page)
    return plan_id


def test_the_methods_have_hull_and_band(watched: Watched, server: str) -> None:
    page = watched.page
    inputs = _inputs()
    _open(watched, server, inputs)
    card = _card(server, inputs)
    for method in card["methods"]:
        row = page.get_by_test_id("methods-table").get_by_test_id(f"method-{method['method']}")
        if method["status"] != "computed":
            expect(row).to_contain_text(method["reason"])
            continue
        assert _values(row.locator(".hull-clear"), "m") == [method["hull"]["clearance_m"]]
        expect(row.locator(".hull-clear")).to_contain_text("Stone Rk")
        assert sorted(_values(row.locator(".band"), "m")) == method["off_track_band_m"]
    simulated = page.get_by_test_id("method-simulated").locator(".band")
    low, high = card["methods"][3]["off_track_band_m"]
    assert low < 0.0 < high
    expect(simulated).to_have_text(f"{high:.0f} in to {-low:.0f} out")  # a turn to starboard
    line = page.get_by_test_id("band-line")
    expect(line).to_contain_text(card["band"]["words"])
    assert _values(line, "m") == card["band"]["distance_m"]
    watched.assert_quiet()


def test_the_window_is_the_services(watched: Watched, server: str) -> None:
    """As a bar over the wheel-overs and as rows: ends, what binds them, seconds, hard over too."""
    page = watched.page
    inputs = _inputs()
    plan_id = _open(watched, server, inputs)
    card = _card(server, inputs)
    assert (
        ask(server, "GET", f"/plans/{plan_id}/computed")["turns"][0]["hull"]["window"]
        == (card["window"])
    )
    for test_id, window in (
        ("window-planned", card["window"]),
        ("window-hard-over", card["hard_over"]["window"]),
    ):
        row = page.get_by_test_id(test_id)
        ends = [window["earliest"], window["latest"]]
        expected = [end["distance_nm"] * 10 for end in ends]
        assert _values(row, "cab") == pytest.approx(expected, abs=1e-9)
        assert window["latest"]["later_s"] in _values(row, "s")
        for end in ends:
            assert end["bound"]["kind"] == "off_track"
            expect(row).to_contain_text("off the new track, limit 111 m")
    seconds = int(card["window"]["latest"]["later_s"])
    expect(page.get_by_test_id("window-planned")).to_contain_text(f"{seconds} s")
    bar = page.get_by_test_id("window-bar")
    strip = page.get_by_test_id("methods-strip")
    low, high = (float(strip.get_attribute(f"data-{one}") or "nan") for one in ("from", "to"))
    for end, name in ((card["window"]["earliest"], "x0"), (card["window"]["latest"], "x1")):
        place = 48 + (high - end["distance_nm"] * 10) / (high - low) * (640 - 96)
        assert float(bar.get_attribute(f"data-{name}") or "nan") == pytest.approx(place, abs=0.5)
    expect(bar).to_contain_text("window")
    expect(bar).to_contain_text(f"opens {card['window']['earliest']['distance_nm'] * 10:.2f}")
    expect(page.get_by_test_id("window-not-checked")).to_contain_text("traffic")
    expect(page.get_by_test_id("card-not-yet")).not_to_contain_text("window")


def test_a_danger_that_binds_is_named(watched: Watched, server: str) -> None:
    page = watched.page
    inputs = _inputs(limits={"max_off_track_m": 500.0, "min_clearance_m": 450.0})
    _open(watched, server, inputs)
    window = _card(server, inputs)["window"]
    assert window["latest"]["bound"]["hazard_id"] == "rock"
    row = page.get_by_test_id("window-planned")
    expect(row).to_contain_text("hull to Stone Rk, limit 450 m")


def test_a_window_far_from_every_wheel_over_is_pointed_at(watched: Watched, server: str) -> None:
    """Nothing of it is drawn where it is not; the words say where, and that helm is late."""
    page = watched.page
    inputs = _inputs(limits={"max_off_track_m": 5000.0, "min_clearance_m": 1600.0})
    _open(watched, server, inputs)
    window = _card(server, inputs)["window"]
    opens, closes = (window[end]["distance_nm"] * 10 for end in ("earliest", "latest"))
    strip = page.get_by_test_id("methods-strip")
    assert closes > float(strip.get_attribute("data-to") or "nan")
    bar = page.get_by_test_id("window-bar")
    expect(bar).to_have_text(f"< window {opens:.2f} to {closes:.2f}")
    expect(bar.locator("rect")).to_have_count(0)
    expect(page.get_by_test_id("window-planned")).to_contain_text("WOP is late by")
    cells = page.get_by_test_id("methods-table").locator(".hull-clear")
    expect(cells.first).to_contain_text("NOT MET, limit 1")
    box = page.get_by_test_id("methods-table").locator("..")
    assert box.evaluate("(box) => box.scrollWidth - box.clientWidth") <= 1


def test_an_empty_window_says_so_and_names_the_tightest(watched: Watched, server: str) -> None:
    page = watched.page
    inputs = _inputs(limits={"max_off_track_m": 20.0, "min_clearance_m": 1000.0})
    _open(watched, server, inputs)
    window = _card(server, inputs)["window"]
    assert window["earliest"] is None
    tightest = {"danger": "hull to Stone Rk, limit", "off_track": "off the new track, limit"}
    for place in ("window-part", "window-planned"):
        expect(page.get_by_test_id(place)).to_contain_text("No wheel-over tried held every limit")
        expect(page.get_by_test_id(place)).to_contain_text(tightest[window["tightest"]["kind"]])
    expect(page.get_by_test_id("window-bar")).to_contain_text("window: none")
    watched.assert_quiet()


def test_the_run_is_drawn_listed_and_read_out(watched: Watched, server: str) -> None:
    page = watched.page
    inputs = _inputs()
    _open(watched, server, inputs)
    card = _card(server, inputs)
    columns = card["run"]["columns"]
    count = len(columns["t_s"])
    page.get_by_test_id("run-details").locator("summary").click()
    rows = page.get_by_test_id("run-table").locator("tbody tr")
    expect(rows).to_have_count(count)
    units = [
        ("t_s", "s"),
        ("heading_deg", "deg T"),
        ("rate_deg_per_min", "deg/min"),
        ("speed_kn", "kn"),
    ]
    for name, unit in units:
        assert _values(page.get_by_test_id("run-table"), unit) == columns[name]
    both = _values(page.get_by_test_id("run-table"), "deg")
    assert both[0::2] == columns["rudder_deg"]
    assert both[1::2] == columns["drift_deg"]
    for name in ("heading_deg", "rate_deg_per_min", "speed_kn", "rudder_deg", "drift_deg"):
        expect(page.get_by_test_id(f"strip-{name}")).to_have_attribute("data-rows", str(count))
    expect(page.get_by_test_id("strip-rudder_deg")).to_contain_text("largest 35")
    expect(page.get_by_test_id("strip-rate_deg_per_min")).to_contain_text("planned 22.9")
    page.get_by_test_id("strip-cursor").focus()
    for _ in range(5):
        page.keyboard.press("ArrowRight")
    readout = page.get_by_test_id("strip-readout")
    assert _values(readout, "s") == [columns["t_s"][5]]
    assert _values(readout, "deg T") == [columns["heading_deg"][5]]
    length = columns["to_go_m"][0]
    line = page.get_by_test_id("strip-speed_kn").locator(".strip-cursor")
    x = 10 + (1 - columns["to_go_m"][5] / length) * 620
    assert float(line.get_attribute("x1") or "nan") == pytest.approx(x, abs=0.1)


def test_the_hull_lies_along_the_run_in_the_plan_view(watched: Watched, server: str) -> None:
    page = watched.page
    inputs = _inputs()
    _open(watched, server, inputs)
    run = _card(server, inputs)["run"]
    outlines = page.get_by_test_id("hull-along").locator(".hull-outline")
    expect(outlines).to_have_count(len(run["outlines"]))
    expect(page.get_by_test_id("hull-along").locator(".is-end")).to_have_count(2)
    path = page.get_by_test_id("swept-strip").get_attribute("d") or ""
    points = len(re.findall(r"-?[\d.]+ -?[\d.]+", path))
    assert points == sum(
        len(ring["lat_deg"]) for ring in [run["strip"]["outer"], *run["strip"]["holes"]]
    )
    expect(page.get_by_test_id("card-key")).to_contain_text("edge of the water it sweeps")
    dashes = "(node) => getComputedStyle(node).strokeDasharray"
    simulated = page.get_by_test_id("simulated-way").locator("path")
    swept = page.get_by_test_id("swept-strip")
    assert swept.evaluate(dashes) not in {"none", simulated.evaluate(dashes)}


def test_what_is_tried_changes_the_result_and_not_the_plan(watched: Watched, server: str) -> None:
    page = watched.page
    inputs = _inputs()
    plan_id = _open(watched, server, inputs)
    before = draft(server, plan_id)
    planned_nm = ask(server, "GET", f"/plans/{plan_id}/computed")["turns"][0]["planned"][
        "distance_nm"
    ]
    for name, text in (("speed_kn", "14"), ("set_deg", "130"), ("drift_kn", "1.5")):
        type_into(page, f"try-{name}", text)
    tried = {"speed_kn": 14.0, **STREAM, "distance_nm": planned_nm}
    card = _card(server, inputs, tried=tried)
    answer = page.get_by_test_id("try-answer")
    expect(answer).to_have_attribute("data-state", "fresh")
    result = answer.locator(".try-result")
    expect(result).to_contain_text("TRY")
    assert _values(result, "m")[0] == card["planned"]["off_track_m"]
    column = page.get_by_test_id("try-table").locator('td[data-label="TRY"]')
    expect(column.nth(2)).not_to_contain_text("moved")
    assert _values(column.nth(1), "m") == [card["planned"]["off_track_m"]]
    assert sorted(_values(column.nth(2), "m")) == card["planned"]["off_track_band_m"]
    for row, end in ((3, "earliest"), (4, "latest")):
        expected = card["window"][end]["distance_nm"] * 10
        assert _values(column.nth(row), "cab") == pytest.approx([expected], abs=1e-9)
    assert _values(column.nth(7), "m") == [card["planned"]["hull"]["clearance_m"]]
    beside = page.get_by_test_id("try-table").locator('td[data-label="Planned"]')
    assert _values(beside.nth(1), "m") == [_card(server, inputs)["planned"]["off_track_m"]]
    assert draft(server, plan_id)["_etag"] == before["_etag"]
    assert draft(server, plan_id)["inputs"] == before["inputs"]
    expect(page.get_by_test_id("try-unchanged")).to_contain_text("plan stays unchanged")
    page.get_by_test_id("try-clear").click()
    expect(answer).to_have_count(0)
    expect(page.get_by_test_id("try-speed_kn")).to_have_value("")
    expect(page.get_by_test_id("try-speed_kn")).to_be_focused()
    watched.assert_quiet()


def test_a_late_wheel_over_is_said_with_its_seconds(watched: Watched, server: str) -> None:
    page = watched.page
    inputs = _inputs()
    _open(watched, server, inputs)
    type_into(page, "try-distance_nm", "0.3")
    card = _card(server, inputs, tried={"distance_nm": 0.3})
    late_s = -card["window"]["latest"]["later_s"]
    assert late_s > 0.0
    result = page.get_by_test_id("try-answer").locator(".try-result")
    expect(result).to_contain_text(re.compile(rf"WOP is late by {-int(-late_s // 1)}\s*s"))


def test_a_slider_asks_at_most_ten_times_a_second(watched: Watched, server: str) -> None:
    """The last place of the slider is the one that is answered."""
    page = watched.page
    inputs = _inputs()
    _open(watched, server, inputs)
    asked: list[str] = []
    page.on(
        "request",
        lambda one: asked.append(one.url) if one.url.endswith("/turns/card") else None,
    )
    slider = page.get_by_test_id("try-speed_kn-slider")
    slider.focus()
    moved_ms: float = slider.evaluate(
        """async (slider) => {
            const start = performance.now();
            for (let i = 0; i < 60; i += 1) {
                slider.value = (8 + i / 10).toFixed(1);
                slider.dispatchEvent(new Event("input"));
                await new Promise((done) => setTimeout(done, 10));
            }
            slider.dispatchEvent(new Event("change"));
            return performance.now() - start;
        }"""
    )
    expect(page.get_by_test_id("try-speed_kn")).to_have_value("13.9")
    answer = page.get_by_test_id("try-answer")
    expect(answer).to_have_attribute("data-state", "fresh")
    column = page.get_by_test_id("try-table").locator('td[data-label="TRY"]')
    expect(column.nth(2)).not_to_contain_text("moved")
    assert 2 <= len(asked) <= moved_ms / 100 + 3
    planned_nm = _card(server, inputs)["planned"]["distance_nm"]
    card = _card(server, inputs, tried={"speed_kn": 13.9, "distance_nm": planned_nm})
    assert _values(column.nth(1), "m") == [card["planned"]["off_track_m"]]


def test_what_cannot_be_tried_is_said_at_its_field(watched: Watched, server: str) -> None:
    page = watched.page
    inputs = _inputs()
    del inputs["conditions"]
    _open(watched, server, inputs)
    type_into(page, "try-speed_kn", "12 m")
    expect(page.get_by_test_id("try-speed_kn-error")).to_contain_text("does not fit")
    page.get_by_test_id("try-speed_kn").fill("")
    type_into(page, "try-drift_kn", "1.5")
    expect(page.get_by_test_id("try-set_deg-error")).to_contain_text("belong together")
    page.get_by_test_id("try-drift_kn").fill("")
    type_into(page, "try-depth_m", "0")
    expect(page.get_by_test_id("try-depth_m-error")).to_be_visible()
    expect(page.get_by_test_id("try-failed")).to_contain_text("not computed")
    type_into(page, "try-depth_m", "40")
    expect(page.get_by_test_id("try-failed")).to_have_count(0)
    expect(page.get_by_test_id("try-answer")).to_be_visible()


def test_a_card_without_response_says_why(watched: Watched, server: str) -> None:
    page = watched.page
    inputs = wide_turn()
    _open(watched, server, inputs)
    reason = _card(server, inputs)["reason"]
    assert "no response" in reason
    for part in ("window-part", "run-part"):
        expect(page.get_by_test_id(part)).to_contain_text(f"not computed: {reason}")
    row = page.get_by_test_id("method-geometric")
    for cell in (".band", ".hull-clear"):
        expect(row.locator(cell)).to_have_text("not computed: no SIM")
    expect(page.get_by_test_id("hull-along")).to_have_count(0)
    type_into(page, "try-speed_kn", "10")
    expect(page.get_by_test_id("try-answer")).to_contain_text(reason)
    watched.assert_quiet()


def test_a_card_that_does_not_come_is_said_and_asked_again(watched: Watched, server: str) -> None:
    page = watched.page
    fails = [True]

    def answer(route: Route) -> None:
        if fails[0]:
            route.fulfill(status=500, body='{"title": "Broken", "detail": "on purpose"}')
        else:
            route.continue_()

    page.route("**/turns/card", answer)
    open_card(watched, server, _inputs())
    failed = page.get_by_test_id("card-failed")
    expect(failed).to_contain_text("did not come: Broken")
    expect(page.get_by_test_id("window-part")).to_contain_text("the card did not come")
    expect(page.get_by_test_id("method-geometric").locator(".band")).to_contain_text(
        "the card did not come"
    )
    fails[0] = False
    failed.get_by_role("button").click()
    expect(failed).to_have_count(0)
    expect(page.get_by_test_id("window-planned")).to_contain_text("off the new track")


def test_an_edit_makes_the_card_stale_until_the_next_is_here(watched: Watched, server: str) -> None:
    page = watched.page
    plan_id = _open(watched, server, _inputs())
    held: list[Route] = []
    cancelled: list[str] = []
    page.on("requestfailed", lambda one: cancelled.append(one.failure or ""))

    def hold(route: Route) -> None:
        held.append(route)

    page.route("**/turns/card", hold)
    type_into(page, "edit-radius", "0.7")
    fresh(page)
    part = page.locator('[data-state="stale"] > [data-testid="window-part"]')
    expect(part).to_contain_text("stale, working")
    expect(page.get_by_test_id("method-geometric").locator(".band")).to_contain_text("working")
    with page.expect_event("requestfailed"), page.expect_request("**/turns/card"):
        type_into(page, "edit-radius", "0.8")
    expect(part).to_contain_text("stale, working")
    assert cancelled == ["net::ERR_ABORTED"]
    held[-1].continue_()
    page.unroute("**/turns/card")
    _ready(page)
    inputs = draft(server, plan_id)["inputs"]
    assert inputs["route"]["waypoints"][1]["turn_radius_nm"] == 0.8
    window = _card(server, inputs)["window"]
    ends = [window[end]["distance_nm"] * 10 for end in ("earliest", "latest")]
    row = page.get_by_test_id("window-planned")
    assert _values(row, "cab") == pytest.approx(ends, abs=1e-9)


def test_a_case_is_kept_undone_and_removed(watched: Watched, server: str) -> None:
    page = watched.page
    plan_id = _open(watched, server, _inputs())
    planned_nm = ask(server, "GET", f"/plans/{plan_id}/computed")["turns"][0]["planned"][
        "distance_nm"
    ]
    for name, text in (("set_deg", "130"), ("drift_kn", "1.5")):
        type_into(page, f"try-{name}", text)
    page.get_by_test_id("case-name").fill("flood")
    page.get_by_test_id("case-keep").click()
    fresh(page)
    tried = {**STREAM, "distance_nm": planned_nm}
    kept = {"name": "flood", "waypoint_id": "B", "tried": tried}
    assert draft(server, plan_id)["inputs"]["cases"] == [kept]
    case = page.get_by_test_id("case")
    expect(case).to_contain_text("flood")
    (answer,) = ask(server, "GET", f"/plans/{plan_id}/computed")["cases"]
    expect(case).not_to_contain_text("working")
    outcome = case.locator("p")
    assert _values(outcome, "m")[0] == answer["planned"]["off_track_m"]
    assert answer["hull"]["least"]["clearance_m"] in _values(outcome, "m")
    window = answer["hull"]["window"]
    ends = [window[end]["distance_nm"] * 10 for end in ("earliest", "latest")]
    assert _values(outcome, "cab") == pytest.approx([planned_nm * 10, *ends], abs=1e-9)
    page.get_by_test_id("card-close").click()
    page.get_by_test_id("undo").click()
    fresh(page)
    assert "cases" not in draft(server, plan_id)["inputs"]
    page.get_by_test_id("turn-open-0").click()
    _ready(page)
    expect(case).to_have_count(0)
    page.get_by_test_id("card-close").click()
    page.get_by_test_id("redo").click()
    fresh(page)
    page.get_by_test_id("turn-open-0").click()
    expect(case).to_have_count(1)
    page.reload()
    fresh(page)
    expect(case).to_contain_text("flood")
    page.get_by_test_id("case-remove").click()
    expect(case).to_have_count(0)
    fresh(page)
    assert "cases" not in draft(server, plan_id)["inputs"]
    watched.assert_quiet()


def test_a_case_goes_with_its_waypoint(watched: Watched, server: str) -> None:
    page = watched.page
    case = {"name": "flood", "waypoint_id": "B", "tried": STREAM}
    plan_id = opened(watched, server, stored(server, _inputs(cases=[case])))
    page.get_by_test_id("edit-B").click()
    page.get_by_test_id("edit-remove").click()
    fresh(page)
    assert "cases" not in draft(server, plan_id)["inputs"]
    page.get_by_test_id("undo").click()
    fresh(page)
    assert draft(server, plan_id)["inputs"]["cases"] == [case]


def test_steering_and_currents_of_the_turn_are_given(watched: Watched, server: str) -> None:
    page = watched.page
    plan_id = _open(watched, server, _inputs())
    page.get_by_test_id("edit-steering").select_option("rate")
    fresh(page)
    type_into(page, "edit-turn-current", "040")
    expect(page.get_by_test_id("edit-turn-current-error")).to_contain_text("like 040 1.5")
    type_into(page, "edit-turn-current", "130 1.5")
    expect(page.get_by_test_id("edit-turn-current-error")).to_be_hidden()
    fresh(page)
    type_into(page, "edit-leg-current", "90 0.7kn")
    fresh(page)
    waypoint = draft(server, plan_id)["inputs"]["route"]["waypoints"][1]
    assert waypoint["turn"] == {"steering": "rate", **STREAM}
    assert waypoint["leg"] == {"set_deg": 90, "drift_kn": 0.7}
    expect(page.get_by_test_id("edit-leg-current")).to_have_value("090 0.7")
    expect(page.get_by_test_id("simulated-part")).to_contain_text("Steered by rate of turn")
    page.get_by_test_id("edit-steering").select_option("rudder")
    fresh(page)
    type_into(page, "edit-turn-rudder", "20")
    fresh(page)
    expect(page.get_by_test_id("simulated-part")).to_contain_text("Rudder as planned: 20")
    type_into(page, "edit-turn-current", "")
    fresh(page)
    turn = draft(server, plan_id)["inputs"]["route"]["waypoints"][1]["turn"]
    assert turn == {"steering": "rudder", "rudder_deg": 20}
    page.get_by_test_id("card-close").click()
    page.get_by_test_id("undo").click()
    fresh(page)
    page.get_by_test_id("edit-B").click()
    expect(page.get_by_test_id("edit-turn-current")).to_have_value("130 1.5")
    watched.assert_quiet()


@pytest.mark.parametrize("light", ["Day", "Dusk", "Night"])
@pytest.mark.parametrize("width", [320, 375, 1280])
def test_the_card_fits_in_every_light(
    watched: Watched, server: str, width: int, light: str
) -> None:
    page = watched.page
    page.set_viewport_size({"width": width, "height": 900})
    _open(watched, server, _inputs())
    page.get_by_test_id(f"light-{light.lower()}").click()
    type_into(page, "try-distance_nm", "0.3")
    expect(page.get_by_test_id("try-answer")).to_be_visible()
    page.get_by_test_id("run-details").locator("summary").click()
    expect(page.get_by_test_id("run-table")).to_be_visible()
    measure_narrow(page)
    over = "(box) => box.scrollWidth - box.clientWidth"
    for box in page.get_by_test_id("turn-card").locator(".table-box").all():
        assert box.evaluate(over) <= 1, box.get_attribute("aria-label")
    luminance = """(node) => {
        const parts = getComputedStyle(node).fill.match(/[\\d.]+/g).slice(0, 3);
        return parts.reduce((sum, one) => sum + Number(one), 0) / 765;
    }"""
    if light == "Night":
        for shape in (".window-fill", ".hull-outline.is-end"):
            assert page.locator(shape).first.evaluate(luminance) < 0.5
    watched.assert_quiet()
