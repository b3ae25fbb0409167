"""Ship papers in, response out, on the page: typed or brought, fitted, used, and never lost."""

from typing import Any

import pytest
from playwright.sync_api import Locator, Page, expect

from tests.browser.conftest import Watched
from tests.browser.service import Document, ask, draft, stored
from tests.browser.test_editing import fresh, opened, steps, type_into
from tests.browser.test_narrow import measure as measure_narrow
from tests.browser.test_turn_card import _wide_turn as wide_turn

pytestmark = pytest.mark.browser

SET = {"loading": "laden", "draught_fore_m": "10.0", "draught_aft_m": "10.2"}
CIRCLE = {"rudder_deg": "35", "speed_kn": "15.2", "advance": "0.33 NM", "transfer": "195"}
MOMENTS = (("1:36", "10.5"), ("185", "8.2"))
ZIG_ZAG = {
    "rudder_deg": "10",
    "heading_change_deg": "10",
    "speed_kn": "15.2",
    "first_overshoot_deg": "7",
    "second_overshoot_deg": "14",
}
FILE = """\
set,side,rudder_deg,speed_kn,at_deg,quantity,value,unit
,,,,,loa,182.5,m
laden,,,,,draught_fore,11.0,m
laden,,,,,draught_aft,11.4,m
laden,starboard,35,15.2,,advance,0.305,NM
laden,starboard,35,15.2,,tactical_diameter,3.4,L
laden,starboard,35,15.2,90,time,1:36,min:s
laden,starboard,35,15.2,,transfer,195,fathoms
"""


def _papers(page: Page) -> Locator:
    """Open the part of the ship's panel and return it."""
    page.get_by_test_id("open-ship").click()
    part = page.get_by_test_id("papers")
    part.locator("> summary").click()
    return part


def _enter(page: Page, place: str, texts: dict[str, str]) -> None:
    for name, text in texts.items():
        type_into(page, f"papers-{place}-{name}", text)


def _enter_poster(page: Page) -> None:
    """Enter a circle to either side and a zig-zag."""
    _enter(page, "sets-0", SET)
    for circle in ("sets-0-circles-0", "sets-0-circles-1"):
        _enter(page, circle, {**CIRCLE, "tactical_diameter": "3.3 L"})
        for index, (time, speed) in enumerate(MOMENTS):
            _enter(page, f"{circle}-points-{index}", {"time_s": time, "speed_kn": speed})
    page.get_by_test_id("papers-sets-0-zig_zags-add").click()
    _enter(page, "sets-0-zig_zags-0", ZIG_ZAG)


def _poster_request() -> Document:
    """Return what those texts say, as the service takes it."""
    circle = {
        "rudder_deg": 35,
        "speed_kn": 15.2,
        "advance_m": 611.16,
        "transfer_m": 195,
        "tactical_diameter_lengths": 3.3,
        "points": [
            {"heading_change_deg": 90, "time_s": 96, "speed_kn": 10.5},
            {"heading_change_deg": 180, "time_s": 185, "speed_kn": 8.2},
        ],
    }
    ship = {"name": "Zoo carrier", "loa_m": 190, "lpp_m": 184, "beam_m": 32}
    loading = {
        "loading": "laden",
        "draught_fore_m": 10,
        "draught_aft_m": 10.2,
        "circles": [{"side": "starboard", **circle}, {"side": "port", **circle}],
        "zig_zags": [{"side": "starboard", **{name: float(ZIG_ZAG[name]) for name in ZIG_ZAG}}],
    }
    return {
        "ship": {**ship, "draught_fore_m": 10, "draught_aft_m": 10.2, "speed_kn": 12},
        "sets": [loading],
        "wanted": {"speed_kn": 12, "draught_m": 10.1},
    }


def _given(response: Document) -> Document:
    """Return a response as a ship keeps it."""
    return {name: value for name, value in response.items() if value is not None}


def _ship(server: str, plan_id: str) -> Document:
    found: Document = draft(server, plan_id)["inputs"]["ship"]
    return found


def _fitted(watched: Watched, server: str, **ship: Any) -> str:
    """Open a plan, enter a poster, use its fit, and return the id of the plan."""
    page = watched.page
    plan_id = opened(watched, server, stored(server, wide_turn(lpp_m=184.0, **ship)))
    _papers(page)
    _enter_poster(page)
    page.get_by_test_id("papers-fit").click()
    page.get_by_test_id("fit-use-0").click()
    fresh(page)
    return plan_id


def test_a_poster_is_entered_fitted_and_planned_with(watched: Watched, server: str) -> None:
    page = watched.page
    plan_id = opened(watched, server, stored(server, wide_turn(lpp_m=184.0)))
    expect(page.get_by_test_id("not-simulated-line")).to_contain_text("no response to the helm")
    part = _papers(page)
    expect(part).to_contain_text("kept in this browser")
    _enter_poster(page)
    page.get_by_test_id("papers-fit").click()
    (fit,) = ask(server, "POST", "/ships/fit", _poster_request())["fits"]
    shown = page.get_by_test_id("fit-0")
    expect(shown.get_by_test_id("fit-origin")).to_contain_text("fitted to her own trials")
    rows = shown.get_by_test_id("fit-comparison")
    expect(rows).to_have_count(len(fit["comparisons"]))
    for row, one in zip(rows.all(), fit["comparisons"], strict=True):
        given, computed = row.locator("[data-value]").all()
        assert float(given.get_attribute("data-value") or "nan") == one["given"]
        assert float(computed.get_attribute("data-value") or "nan") == one["computed"]
        expect(row).to_contain_text(one["words"])
    shown.get_by_test_id("fit-checks").locator("summary").click()
    expect(shown.get_by_test_id("fit-check")).to_have_count(len(fit["checks"]))
    for said in fit["statements"]:
        expect(shown.get_by_test_id("fit-statements")).to_contain_text(said["message"])
    page.get_by_test_id("fit-use-0").click()
    fresh(page)
    assert _given(_ship(server, plan_id)["response"]) == _given(fit["response"])
    assert len(steps(server, plan_id)) == 2
    expect(page.get_by_test_id("fit-use-note-0")).to_contain_text("is in the ship's fields")
    page.get_by_test_id("turn-open-0").click()
    turn = ask(server, "GET", f"/plans/{plan_id}/computed")["turns"][0]
    assert turn["planned"]["method"] == "simulated"
    row = page.get_by_test_id("methods-table").get_by_test_id("method-simulated")
    expect(row).to_contain_text("planned")
    expect(row.locator('[data-unit="NM"]')).to_have_attribute(
        "data-value", str(turn["planned"]["distance_nm"])
    )
    watched.assert_quiet()


def test_a_fit_that_is_used_can_be_undone_and_kept_through_other_edits(
    watched: Watched, server: str
) -> None:
    page = watched.page
    plan_id = _fitted(watched, server)
    response = _ship(server, plan_id)["response"]
    type_into(page, "field-ship-speed_kn", "13")
    fresh(page)
    assert _ship(server, plan_id)["response"] == response
    page.get_by_test_id("undo").click()
    fresh(page)
    page.get_by_test_id("undo").click()
    fresh(page)
    assert "response" not in _ship(server, plan_id)
    expect(page.get_by_test_id("field-ship-response-k_per_s")).to_have_value("")
    page.get_by_test_id("redo").click()
    fresh(page)
    assert _ship(server, plan_id)["response"] == response
    expect(page.get_by_test_id("response-spread")).to_be_visible()
    page.reload()
    fresh(page)
    page.get_by_test_id("open-ship").click()
    expect(page.get_by_test_id("response-spread")).to_be_visible()
    watched.assert_quiet()


def test_a_number_changed_by_hand_is_not_fitted_any_more(watched: Watched, server: str) -> None:
    page = watched.page
    plan_id = _fitted(watched, server)
    fitted = _ship(server, plan_id)["response"]
    field = "field-ship-response-t_s"
    type_into(page, field, str(fitted["t_s"]))
    type_into(page, field, "many")
    expect(page.get_by_test_id(f"error-{field}")).to_contain_text("not a number")
    assert _ship(server, plan_id)["response"] == fitted
    type_into(page, field, "90")
    fresh(page)
    kept = _ship(server, plan_id)["response"]
    assert kept["t_s"] == 90
    assert _given(kept) == {
        name: value
        for name, value in {**_given(fitted), "t_s": 90}.items()
        if name not in ("origin", "covariance")
    }
    expect(page.get_by_test_id("response-by-hand")).to_contain_text("changed by hand")
    expect(page.get_by_label("Where they come from")).to_have_value("")
    page.get_by_test_id("undo").click()
    fresh(page)
    assert _ship(server, plan_id)["response"] == fitted
    page.get_by_test_id("clear-response").click()
    fresh(page)
    assert "response" not in _ship(server, plan_id)
    watched.assert_quiet()


def _bring(page: Page, text: str) -> None:
    page.get_by_test_id("papers-file").set_input_files(
        {"name": "poster.csv", "mimeType": "text/csv", "buffer": text.encode()}
    )


def test_every_line_of_a_file_is_reported(watched: Watched, server: str) -> None:
    page = watched.page
    plan_id = opened(watched, server, stored(server, wide_turn()))
    _papers(page)
    _enter(page, "sets-0", {"loading": "typed before"})
    _bring(page, FILE)
    expect(page.get_by_test_id("papers-counts")).to_contain_text("7 lines: 6 understood, 1 not")
    bad = page.get_by_test_id("papers-line-8")
    expect(bad).to_contain_text("laden,starboard,35,15.2,,transfer,195,fathoms")
    expect(bad).to_contain_text("NOT UNDERSTOOD, unit 'fathoms' of transfer is none of m, nm")
    expect(page.get_by_test_id("papers-line-5")).to_contain_text("advance_m 564.86")
    expect(page.get_by_test_id("papers-file-ship")).to_contain_text("182.5 m, the field has 190")
    expect(page.get_by_test_id("papers-sets-0-loading")).to_have_value("typed before")
    page.get_by_test_id("papers-file-put-ship").click()
    fresh(page)
    assert _ship(server, plan_id)["loa_m"] == 182.5
    page.get_by_test_id("papers-file-take").click()
    circle = "papers-sets-0-circles-0"
    expect(page.get_by_test_id(f"{circle}-advance")).to_have_value("564.86")
    expect(page.get_by_test_id(f"{circle}-tactical_diameter")).to_have_value("3.4 L")
    expect(page.get_by_test_id(f"{circle}-points-0-time_s")).to_have_value("96")
    page.get_by_test_id("papers-back").click()
    expect(page.get_by_test_id("papers-sets-0-loading")).to_have_value("typed before")
    _bring(page, FILE)
    page.get_by_test_id("papers-file-beside").click()
    expect(page.get_by_test_id("papers-sets-1-loading")).to_have_value("laden")
    watched.assert_quiet()


def test_a_file_that_is_no_table_is_refused_in_words(watched: Watched, server: str) -> None:
    page = watched.page
    opened(watched, server)
    part = _papers(page)
    _bring(page, "speed\n1\n")
    expect(part.get_by_test_id("problem")).to_contain_text("poster.csv was not read")
    expect(part.get_by_test_id("problem")).to_contain_text("quantity")


def test_a_wrong_number_is_said_at_its_field(watched: Watched, server: str) -> None:
    """What the page cannot read is not sent; what the service refuses comes back to its place."""
    page = watched.page
    opened(watched, server, stored(server, wide_turn(lpp_m=184.0)))
    part = _papers(page)
    _enter(page, "sets-0", SET)
    _enter(page, "sets-0-circles-1", {**CIRCLE, "advance": "3,4"})
    field = page.get_by_test_id("papers-sets-0-circles-1-advance")
    error = page.get_by_test_id("error-papers-sets-0-circles-1-advance")
    expect(error).to_contain_text("decimals with a point")
    page.get_by_test_id("papers-sets-0-circles-add").click()
    expect(error).to_contain_text("decimals with a point")
    page.get_by_test_id("papers-fit").click()
    expect(page.get_by_test_id("fit-unsent")).to_contain_text("Not sent: 1 place")
    expect(field).to_be_focused()
    watched.assert_quiet()
    _enter(page, "sets-0-circles-1", {"advance": "300 L"})
    expect(error).to_be_hidden()
    page.get_by_test_id("papers-fit").click()
    expect(error).to_contain_text("100")
    expect(field).to_have_value("300 L")
    expect(field).to_have_attribute("aria-invalid", "true")
    expect(field).to_be_focused()
    expect(part.get_by_test_id("problem")).to_contain_text("loading 1, turning circle 2, advance: ")
    _enter(page, "sets-0-circles-1", {"advance": "3.4 L", "speed_kn": "80"})
    page.get_by_test_id("papers-fit").click()
    expect(page.get_by_test_id("error-papers-sets-0-circles-1-speed_kn")).to_contain_text("45")
    _enter(page, "sets-0-circles-1", {"speed_kn": "15.2"})
    type_into(page, "field-ship-lpp_m", "")
    page.get_by_test_id("papers-fit").click()
    expect(page.get_by_test_id("error-field-ship-lpp_m")).to_contain_text("lpp_m of the ship")
    expect(page.get_by_test_id("field-ship-lpp_m")).to_be_focused()
    type_into(page, "field-ship-lpp_m", "184")
    fresh(page)
    page.get_by_test_id("papers-fit").click()
    expect(page.get_by_test_id("fit-0")).to_be_visible()
    expect(page.get_by_test_id("error-field-ship-lpp_m")).to_be_hidden()


def test_a_trial_without_a_number_is_not_sent(watched: Watched, server: str) -> None:
    page = watched.page
    opened(watched, server)
    _papers(page)
    page.get_by_test_id("papers-fit").click()
    expect(page.get_by_test_id("fit-unsent")).to_contain_text("no number")
    _enter(page, "sets-0-circles-0", {"rudder_deg": "35", "speed_kn": "12"})
    page.get_by_test_id("papers-fit").click()
    error = page.get_by_test_id("error-papers-sets-0-circles-0")
    expect(error).to_contain_text("gives no number yet: advance, transfer")
    _enter(page, "sets-0-circles-0", {"transfer": "195"})
    expect(error).to_be_hidden()
    watched.assert_quiet()


def test_without_trials_she_is_estimated_and_marked_so(watched: Watched, server: str) -> None:
    page = watched.page
    plan_id = opened(watched, server, stored(server, wide_turn()))
    _papers(page)
    page.get_by_test_id("papers-estimate").click()
    refused = page.get_by_test_id("fit-refused")
    expect(refused).to_contain_text("block")
    expect(page.get_by_test_id("fit-use-0")).to_have_count(0)
    type_into(page, "field-ship-block_coefficient", "0.8")
    fresh(page)
    expect(page.get_by_test_id("fit-stale")).to_be_visible()
    page.get_by_test_id("papers-estimate").click()
    expect(page.get_by_test_id("fit-origin")).to_contain_text("ESTIMATED")
    page.get_by_test_id("fit-use-0").click()
    fresh(page)
    response = _ship(server, plan_id)["response"]
    assert response["origin"] == "estimated"
    assert len(response["covariance"]) == 8
    turn = ask(server, "GET", f"/plans/{plan_id}/computed")["turns"][0]
    assert turn["planned"]["method"] != "simulated"
    type_into(page, "field-ship-response-t_s", "90")
    fresh(page)
    response = _ship(server, plan_id)["response"]
    assert response["origin"] == "estimated"
    assert response.get("covariance") is None
    watched.assert_quiet()


def test_drives_that_are_refused_say_why(watched: Watched, server: str) -> None:
    page = watched.page
    opened(watched, server, stored(server, wide_turn(propulsion="azimuthing")))
    _papers(page)
    page.get_by_test_id("papers-estimate").click()
    expect(page.get_by_test_id("fit-refused")).to_contain_text("steered by pods")
    watched.assert_quiet()


def test_what_is_typed_is_never_lost(watched: Watched, server: str) -> None:
    """Not by a reload, not by a lost server, not by taking a row away."""
    page = watched.page
    opened(watched, server, stored(server, wide_turn(lpp_m=184.0)))
    _papers(page)
    _enter_poster(page)
    page.get_by_test_id("papers-sets-0-zig_zags-0-second_overshoot_deg").fill("15")
    page.reload()
    fresh(page)
    part = _papers(page)
    second = page.get_by_test_id("papers-sets-0-zig_zags-0-second_overshoot_deg")
    expect(second).to_have_value("15")
    expect(part).to_contain_text("laden: 2 turning circles, 1 zig-zag")
    page.get_by_test_id("papers-sets-0-zig_zags-0-away").click()
    expect(second).to_have_count(0)
    expect(page.get_by_test_id("papers-sets-0-zig_zags-add")).to_be_focused()
    page.get_by_test_id("papers-back").click()
    expect(second).to_have_value("15")
    page.route("**/ships/fit", lambda route: route.abort())
    page.get_by_test_id("papers-fit").click()
    expect(part.get_by_test_id("problem")).to_contain_text("No answer from the server")
    page.unroute("**/ships/fit")
    part.get_by_test_id("retry").click()
    expect(page.get_by_test_id("fit-0")).to_be_visible()
    _enter(page, "sets-0-circles-0", {"advance": "620"})
    expect(page.get_by_test_id("fit-stale")).to_be_visible()
    expect(page.get_by_test_id("fit-use-0")).to_be_disabled()
    _enter(page, "sets-0-circles-0", {"advance": CIRCLE["advance"]})
    expect(page.get_by_test_id("fit-use-0")).to_be_enabled()


def test_all_of_it_by_keys(watched: Watched, server: str) -> None:
    page = watched.page
    plan_id = opened(watched, server, stored(server, wide_turn(block_coefficient=0.8)))
    page.get_by_test_id("open-ship").press("Enter")
    page.get_by_test_id("papers").locator("> summary").press("Enter")
    page.get_by_test_id("papers-sets-0-stoppings-add").press("Enter")
    expect(page.get_by_test_id("papers-sets-0-stoppings-0-order")).to_be_focused()
    page.keyboard.type("full astern")
    page.keyboard.press("Tab")
    expect(page.get_by_test_id("papers-sets-0-stoppings-0-speed_kn")).to_be_focused()
    page.get_by_test_id("papers-estimate").press("Enter")
    page.get_by_test_id("fit-use-0").press("Enter")
    fresh(page)
    assert _ship(server, plan_id)["response"]["origin"] == "estimated"
    watched.assert_quiet()


@pytest.mark.parametrize("width", [320, 375, 1280])
def test_papers_and_fit_fit_the_screen(watched: Watched, server: str, width: int) -> None:
    page = watched.page
    page.set_viewport_size({"width": width, "height": 800})
    opened(watched, server, stored(server, wide_turn(lpp_m=184.0)))
    part = _papers(page)
    for name in ("initial_turnings", "course_changes", "stoppings"):
        page.get_by_test_id(f"papers-sets-0-{name}-add").click()
    page.get_by_test_id("papers-engine_orders-add").click()
    _enter_poster(page)
    _bring(page, FILE)
    expect(page.get_by_test_id("papers-report")).to_be_visible()
    page.get_by_test_id("papers-fit").click()
    page.get_by_test_id("fit-checks").locator("summary").click()
    for light in ("Dusk", "Night", "Day"):
        page.get_by_test_id(f"light-{light.lower()}").click()
        measure_narrow(page)
    over = "(box) => box.scrollWidth - box.clientWidth"
    for box in part.locator(".table-box").all():
        assert box.evaluate(over) <= 1, box.get_attribute("aria-label")
    watched.assert_quiet()


def test_a_stored_ship_takes_the_response_into_a_new_edition(watched: Watched, server: str) -> None:
    page = watched.page
    inputs = wide_turn(lpp_m=184.0, block_coefficient=0.8)
    kept = ask(server, "POST", "/ships", inputs.pop("ship"))
    inputs.update(ship_id=kept["id"], ship_edition=1)
    plan_id = opened(watched, server, stored(server, inputs))
    _papers(page)
    page.get_by_test_id("papers-estimate").click()
    page.get_by_test_id("fit-use-0").click()
    expect(page.get_by_test_id("fit-use-note-0")).to_contain_text("not stored with it yet")
    page.reload()
    fresh(page)
    page.get_by_test_id("open-ship").click()
    expect(page.get_by_test_id("response-spread")).to_be_visible()
    page.get_by_test_id("store-ship-edition").click()
    page.get_by_test_id("use-newest-ship").click()
    expect(page.get_by_test_id("stored-ship")).to_contain_text("edition 2 of 2")
    fresh(page)
    assert draft(server, plan_id)["inputs"]["ship_edition"] == 2
    response = ask(server, "GET", f"/ships/{kept['id']}")["ship"]["response"]
    assert (response["origin"], len(response["covariance"])) == ("estimated", 8)
    expect(page.get_by_label("Where they come from")).to_have_value("estimated")
    expect(page.get_by_test_id("response-spread")).to_be_visible()
    watched.assert_quiet()


def _recorded_turn(server: str) -> list[Document]:
    """Return a turn under 15 degrees of starboard rudder by a known response, a row in 10 s."""
    asked = {
        "response": {"k_per_s": 0.05, "t_s": 40.0, "at_speed_kn": 15.2},
        "loa_m": 190.0,
        "speed_kn": 15.2,
        "rudder_rate_deg_per_s": 2.5,
        "heading_deg": 40.0,
        "orders": [{"rudder_deg": 15.0, "at_s": 0.0}],
        "until_s": 240.0,
        "step_s": 10.0,
    }
    rows: list[Document] = ask(server, "POST", "/manoeuvre", asked)["track"]
    return rows


def _pasted(rows: list[Document], mark: str) -> str:
    """Return rows as they come out of a table, under a header line."""
    names = ("t_s", "heading_deg", "rudder_deg", "east_m", "north_m")
    lines = [mark.join(f"{row[name]:.2f}" for name in names) for row in rows]
    return "\n".join([mark.join(("time_s", *names[1:])), *lines]) + "\n"


def _begin_turn(page: Page) -> str:
    """Enter a circle and begin a recorded turn; return the place of the turn."""
    _enter(page, "sets-0", SET)
    _enter(page, "sets-0-circles-0", {**CIRCLE, "tactical_diameter": "3.3 L"})
    page.get_by_test_id("papers-sets-0-own_turns-add").click()
    turn = "sets-0-own_turns-0"
    expect(page.get_by_test_id(f"papers-{turn}-name")).to_be_focused()
    _enter(page, turn, {"name": "off the cape", "speed_kn": "15.2"})
    return turn


def test_a_recorded_turn_is_pasted_and_fitted(watched: Watched, server: str) -> None:
    """Pasted or brought as a file, it goes into the fit as it was recorded."""
    page = watched.page
    page.set_viewport_size({"width": 1280, "height": 800})
    opened(watched, server, stored(server, wide_turn(lpp_m=184.0)))
    part = _papers(page)
    turn = _begin_turn(page)
    track = _recorded_turn(server)
    area = page.get_by_test_id(f"papers-{turn}-rows")
    _enter(page, turn, {"rows": _pasted(track, "\t")})
    csv = {"name": "turn.csv", "mimeType": "text/csv", "buffer": _pasted(track, ", ").encode()}
    page.get_by_test_id(f"papers-{turn}-rows-file").set_input_files(csv)
    expect(area).to_have_value(_pasted(track, ", "))
    page.get_by_test_id("papers-back").click()
    expect(area).to_have_value(_pasted(track, "\t"))
    expect(part).to_contain_text("laden: 1 turning circle, 1 recorded turn")
    with page.expect_request("**/ships/fit") as sent:
        page.get_by_test_id("papers-fit").click()
    (own,) = sent.value.post_data_json["sets"][0]["own_turns"]
    members = {"time_s": "t_s", **{name: name for name in track[0] if name in own["rows"][0]}}
    rows = [{name: round(row[of], 2) for name, of in members.items()} for row in track]
    assert own == {"name": "off the cape", "speed_kn": 15.2, "rows": rows}
    assert len(members) == 5
    expect(page.get_by_test_id("fit-origin")).to_have_attribute("data-origin", "recorded")
    expect(page.get_by_test_id("fit-comparison").last).to_contain_text("largest miss of")
    measure_narrow(page)
    watched.assert_quiet()


def test_every_wrong_line_of_a_recorded_turn_is_named(watched: Watched, server: str) -> None:
    """Nothing is sent, the text stays as typed; a refusal of the service has its line too."""
    page = watched.page
    opened(watched, server, stored(server, wide_turn(lpp_m=184.0)))
    _papers(page)
    turn = _begin_turn(page)
    lines = _pasted(_recorded_turn(server), "\t").split("\n")
    wrong = [*lines]
    wrong[3] = wrong[3].replace("\t", "\tabout ", 1)
    wrong[6] = wrong[5]
    wrong[9] = "\t".join(wrong[9].split("\t")[:2])
    area, error = (page.get_by_test_id(f"{kind}papers-{turn}-rows") for kind in ("", "error-"))
    asked: list[str] = []
    page.on("request", lambda request: asked.append(request.url))
    _enter(page, turn, {"rows": "\n".join(wrong)})
    page.get_by_test_id("papers-fit").click()
    expect(page.get_by_test_id("fit-unsent")).to_contain_text("Not sent: 1 place")
    expect(area).to_be_focused()
    said = error.inner_text().split("\n")
    assert [one.split(":")[0] for one in said] == ["Line 4", "Line 7", "Line 10"]
    assert 'heading "about ' in said[0]
    assert "is not after that of line 6" in said[1]
    assert said[2].endswith("no rudder")
    assert [url for url in asked if url.endswith("/ships/fit")] == []
    page.reload()
    fresh(page)
    _papers(page)
    expect(area).to_have_value("\n".join(wrong))
    expect(error).to_contain_text("Line 7: ")
    beyond = lines[4].split("\t")
    lines[4] = "\t".join([*beyond[:2], "75", *beyond[3:]])
    _enter(page, turn, {"rows": "\n".join(lines)})
    expect(error).to_be_hidden()
    page.get_by_test_id("papers-fit").click()
    expect(error).to_contain_text("Line 5, rudder: ")
    expect(area).to_have_value("\n".join(lines))


def test_papers_kept_before_there_were_recorded_turns_open(watched: Watched, server: str) -> None:
    page = watched.page
    opened(watched, server, stored(server, wide_turn(lpp_m=184.0)))
    _papers(page)
    _enter(page, "sets-0", SET)
    forgotten = page.evaluate("""() => Object.keys(localStorage).filter((key) => {
        const kept = JSON.parse(localStorage[key]);
        const sets = kept.sets?.filter((one) => delete one.own_turns) ?? [];
        localStorage[key] = JSON.stringify(kept);
        return sets.length > 0;
    }).length""")
    assert forgotten == 1
    page.reload()
    fresh(page)
    _papers(page)
    expect(page.get_by_test_id("papers-sets-0-loading")).to_have_value("laden")
    expect(page.get_by_test_id("papers-sets-0-own_turns-add")).to_be_visible()
    watched.assert_quiet()
