"""What is stored, and that nothing is lost: Desk, ships, dangers, files, a lost server."""

import io
import json
import re
from pathlib import Path

import pypdf
import pytest
from playwright.sync_api import Page, Route, expect

from tests.browser.conftest import Watched
from tests.browser.service import SHIP, ask, draft, stored, zigzag
from tests.browser.test_editing import fresh, opened, type_into
from tests.render.paper.plans import long_plan

pytestmark = pytest.mark.browser

ROCK = {
    "type": "FeatureCollection",
    "features": [
        {
            "type": "Feature",
            "geometry": {"type": "Point", "coordinates": [-29.99, 47.05]},
            "properties": {"id": "rock", "name": "Zoo rock"},
        }
    ],
}


def test_the_desk_lists_what_is_stored(watched: Watched, server: str) -> None:
    page = watched.page
    plan_id = stored(server)
    page.goto(server)
    row = page.get_by_test_id(f"plan-row-{plan_id}")
    expect(row).to_contain_text("Zoo zigzag")
    expect(row).to_contain_text("draft")
    expect(row).to_contain_text("6")
    # The demonstration may lie pages back: other tests keep plans in the same store.
    for _ in range(9):
        if page.get_by_test_id("plan-row-demonstration").count():
            break
        rows = page.get_by_test_id("plans").locator("tbody tr")
        shown = rows.count()
        page.get_by_test_id("plans-more").click()
        expect(rows).not_to_have_count(shown)
    expect(page.get_by_test_id("plan-row-demonstration")).to_contain_text("DEMONSTRATION")
    row.get_by_role("link").click()
    fresh(page)
    assert page.url == f"{server}/plans/{plan_id}"
    page.get_by_test_id("to-desk").click()
    expect(row).to_be_visible()
    page.go_back()
    fresh(page)
    watched.assert_quiet()


def test_a_plan_that_is_not_there_is_said_to_be_so(watched: Watched, server: str) -> None:
    watched.page.goto(f"{server}/plans/nobody")
    expect(watched.page.get_by_test_id("problem")).to_contain_text("not opened")
    expect(watched.page.get_by_test_id("work")).to_be_hidden()


def _enter_ship(page: Page) -> None:
    page.get_by_test_id("open-ship").click()
    for member, value in SHIP.items():
        type_into(page, f"field-ship-{member}", str(value))


def test_a_half_given_ship_waits_and_survives_a_reload(watched: Watched, server: str) -> None:
    page = watched.page
    plan_id = opened(watched, server, stored(server, {"route": zigzag()["route"]}))
    page.get_by_test_id("open-ship").click()
    type_into(page, "field-ship-name", "Zoo carrier")
    type_into(page, "field-ship-loa_m", "190")
    expect(page.get_by_test_id("ship-missing")).to_contain_text("beam")
    assert "ship" not in draft(server, plan_id)["inputs"]
    page.reload()
    fresh(page)
    page.get_by_test_id("open-ship").click()
    expect(page.get_by_test_id("field-ship-loa_m")).to_have_value("190")
    expect(page.get_by_test_id("ship-missing")).to_contain_text("beam")
    watched.assert_quiet()


def test_a_ship_is_kept_and_her_new_edition_waits_to_be_used(watched: Watched, server: str) -> None:
    page = watched.page
    plan_id = opened(watched, server, stored(server, {"route": zigzag()["route"]}))
    _enter_ship(page)
    fresh(page)
    assert draft(server, plan_id)["inputs"]["ship"]["loa_m"] == 190
    page.get_by_test_id("keep-ship").click()
    expect(page.get_by_test_id("stored-ship")).to_contain_text("edition 1 of 1")
    type_into(page, "field-ship-turn_radius_nm", "0.8")
    page.get_by_test_id("store-ship-edition").click()
    expect(page.get_by_test_id("stored-ship")).to_contain_text("edition 1 of 2, newer exists")
    fresh(page)
    inputs = draft(server, plan_id)["inputs"]
    assert "ship" not in inputs
    assert inputs["ship_edition"] == 1
    expect(page.get_by_test_id("field-ship-turn_radius_nm")).to_have_value("0.5")
    page.get_by_test_id("use-newest-ship").click()
    expect(page.get_by_test_id("stored-ship")).to_contain_text("edition 2 of 2")
    fresh(page)
    expect(page.get_by_test_id("turn-row-0")).to_contain_text("0.80")

    other = opened(watched, server, stored(server, {"route": zigzag()["route"]}))
    page.get_by_test_id("open-ship").click()
    page.get_by_test_id("ship-choice").select_option(inputs["ship_id"])
    page.get_by_test_id("use-ship").click()
    fresh(page)
    assert draft(server, other)["inputs"]["ship_id"] == inputs["ship_id"]
    watched.assert_quiet()


def _bring_dangers(page: Page, text: str, name: str) -> None:
    if page.get_by_test_id("dangers-file").is_hidden():
        page.get_by_test_id("open-dangers").click()
    page.get_by_test_id("dangers-file").set_input_files(
        {"name": name, "mimeType": "application/geo+json", "buffer": text.encode()}
    )


def test_a_file_of_dangers_becomes_a_stored_set(watched: Watched, server: str) -> None:
    page = watched.page
    plan_id = opened(watched, server)
    _bring_dangers(page, json.dumps(ROCK), "zoo set.geojson")
    expect(page.get_by_test_id("used-set")).to_contain_text("zoo set, edition 1 of 1, 1 danger")
    fresh(page)
    expect(page.get_by_test_id("clearance-row-rock")).to_contain_text("Zoo rock")
    _bring_dangers(page, json.dumps(ROCK).replace("Zoo rock", "Zoo reef"), "zoo set.geojson")
    page.get_by_test_id("dangers-new-edition").click()
    expect(page.get_by_test_id("used-set")).to_contain_text("edition 2 of 2")
    fresh(page)
    expect(page.get_by_test_id("clearance-row-rock")).to_contain_text("Zoo reef")
    inputs = draft(server, plan_id)["inputs"]
    assert list(inputs["hazard_set_editions"].values()) == [2]
    page.get_by_test_id("leave-set").click()
    expect(page.get_by_test_id("dangers-loaded")).to_contain_text("not checked")
    fresh(page)
    expect(page.get_by_test_id("nearest")).to_contain_text("no dangers loaded")
    watched.assert_quiet()


def test_dangers_go_to_the_service_as_they_stand_in_the_file(watched: Watched, server: str) -> None:
    """A limit that stands there twice is refused; a parsed copy would silently hold the last."""
    page = watched.page
    opened(watched, server)
    text = json.dumps(ROCK).replace('"id": "rock"', '"min_clearance_m": 5000, "min_clearance_m": 5')
    _bring_dangers(page, text, "twice.geojson")
    expect(page.get_by_test_id("problem")).to_contain_text("duplicate")
    expect(page.get_by_test_id("dangers-loaded")).to_contain_text("not checked")


def test_paper_is_waited_for_with_its_progress(watched: Watched, server: str) -> None:
    """Eighty turns: long enough that the page is told how far it is more than once."""
    page = watched.page
    request, _ = long_plan(80)
    opened(watched, server, stored(server, request))
    page.get_by_test_id("open-files").click()
    page.evaluate(WRITE_DOWN_STAGES)
    with page.expect_download(timeout=30_000) as download:
        page.get_by_test_id("export-pdf").click()
        expect(page.get_by_test_id("making")).to_contain_text("Working: Paper")
    body = Path(download.value.path()).read_bytes()
    assert len(pypdf.PdfReader(io.BytesIO(body)).pages) > 100
    expect(page.get_by_test_id("file-saved")).to_contain_text(".pdf")
    told = page.evaluate("window.stagesTold")
    # Which stages are seen hangs on how fast each is; how far it is must be told more than once.
    counted = {found[0] for one in told if (found := re.search(r"[a-z ]+, \d+ of \d+", one))}
    assert len(counted) > 1, told
    watched.assert_quiet()


WRITE_DOWN_STAGES = """() => {
  window.stagesTold = [];
  new MutationObserver(() => {
    const line = document.querySelector("[data-testid='making-stage']");
    if (line) window.stagesTold.push(line.textContent);
  }).observe(document.body, { childList: true, subtree: true, characterData: true });
}"""


def test_files_and_revisions(watched: Watched, server: str) -> None:
    page = watched.page
    plan_id = opened(watched, server)
    page.get_by_test_id("open-files").click()
    for form in ("geojson", "rtz", "gpx", "csv", "html", "pdf", "xlsx"):
        link = page.get_by_test_id(f"export-{form}")
        expect(link).to_have_attribute("href", f"/api/v1/plans/{plan_id}/export/{form}?edit=1")
    with page.expect_download() as download:
        page.get_by_test_id("export-json").click()
    assert json.loads(Path(download.value.path()).read_text())["plan_id"] == plan_id  # noqa: TID251
    with page.expect_download() as download:
        page.get_by_test_id("export-csv").click()
    rows = Path(download.value.path()).read_text().splitlines()
    assert download.value.suggested_filename.endswith(".csv")
    assert sum(row.startswith('"Z') for row in rows) == 6
    expect(page.get_by_test_id("file-saved")).to_contain_text(".csv")
    page.get_by_test_id("freeze").click()
    page.get_by_test_id("offer-name").fill("Ada Berg")
    page.get_by_test_id("offer-rank").fill("Second officer")
    page.get_by_test_id("offer-record").click()
    row = page.get_by_test_id("revision-1")
    expect(row).to_be_visible()
    digest = draft(server, plan_id)["revisions"][0]["sha256"]
    expect(row).to_contain_text(digest[:8])
    expect(page.get_by_test_id("revision-1-csv")).to_have_attribute(
        "href", f"/api/v1/plans/{plan_id}/revisions/1/export/csv"
    )
    expect(page.get_by_test_id("undo")).to_be_disabled()
    with page.expect_download() as download:
        page.get_by_test_id("revision-1-gpx").click()
    assert "<rtept" in Path(download.value.path()).read_text()
    page.route("**/computed", lambda _: None)  # no answer, as on a slow link
    page.get_by_test_id("edit-Z1").click()
    type_into(page, "edit-name", "stale now")
    expect(page.get_by_test_id("export-reason")).to_contain_text("stale")
    assert page.get_by_test_id("export-csv").get_attribute("href") is None


def test_another_edit_first_shows_both_values(watched: Watched, server: str) -> None:
    page = watched.page
    plan_id = opened(watched, server)
    other = draft(server, plan_id)
    inputs = json.loads(json.dumps(other["inputs"]))  # noqa: TID251
    inputs["route"]["waypoints"][1]["name"] = "theirs"
    inputs["route"]["waypoints"][2]["name"] = "theirs alone"
    ask(server, "PUT", f"/plans/{plan_id}", inputs, {"If-Match": other["_etag"]})
    page.get_by_test_id("edit-Z1").click()
    type_into(page, "edit-name", "mine")
    conflict = page.get_by_test_id("conflict")
    expect(conflict).to_contain_text("theirs")
    expect(conflict).to_contain_text("mine")
    expect(page.get_by_test_id("saved")).to_contain_text("Not saved")
    page.get_by_test_id("put-mine").click()
    fresh(page)
    names = [one.get("name") for one in draft(server, plan_id)["inputs"]["route"]["waypoints"]]
    assert names[1:3] == ["mine", "theirs alone"]
    assert all("412" in complaint for complaint in watched.complaints)


def test_what_is_set_aside_is_still_there(watched: Watched, server: str) -> None:
    page = watched.page
    plan_id = opened(watched, server)
    other = draft(server, plan_id)
    inputs = json.loads(json.dumps(other["inputs"]))  # noqa: TID251
    inputs["route"]["waypoints"][1]["name"] = "theirs"
    ask(server, "PUT", f"/plans/{plan_id}", inputs, {"If-Match": other["_etag"]})
    page.get_by_test_id("edit-Z1").click()
    type_into(page, "edit-name", "mine")
    page.get_by_test_id("keep-theirs").click()
    expect(page.get_by_test_id("aside")).to_contain_text("mine")
    fresh(page)
    assert draft(server, plan_id)["inputs"]["route"]["waypoints"][1]["name"] == "theirs"


def _lose(page: Page) -> None:
    """Cut the line to the service."""
    page.route("**/api/**", lambda route: route.abort())
    page.route("**/healthz", lambda route: route.abort())


def test_edits_wait_for_a_lost_server(watched: Watched, server: str) -> None:
    page = watched.page
    plan_id = opened(watched, server)
    page.get_by_test_id("edit-Z1").click()
    _lose(page)
    type_into(page, "edit-radius", "0.7")
    expect(page.get_by_test_id("banner")).to_contain_text("1 edit kept in this browser")
    type_into(page, "edit-name", "kept")
    expect(page.get_by_test_id("banner")).to_contain_text("2 edits kept in this browser")
    expect(page.get_by_test_id("work")).to_have_attribute("data-state", "stale")
    assert draft(server, plan_id)["edit"] == 1
    page.unroute("**/api/**")
    page.unroute("**/healthz")
    page.reload()
    fresh(page)
    found = draft(server, plan_id)["inputs"]["route"]["waypoints"][1]
    assert (found["turn_radius_nm"], found["name"]) == (0.7, "kept")
    assert len(draft(server, plan_id)["steps"]) == 3


def test_edits_are_sent_when_the_server_is_back(watched: Watched, server: str) -> None:
    page = watched.page
    plan_id = opened(watched, server)
    page.get_by_test_id("edit-Z1").click()
    _lose(page)
    type_into(page, "edit-radius", "0.7")
    expect(page.get_by_test_id("banner")).to_be_visible()
    page.unroute("**/api/**")
    page.unroute("**/healthz")
    fresh(page)
    expect(page.get_by_test_id("banner")).to_be_hidden()
    assert draft(server, plan_id)["inputs"]["route"]["waypoints"][1]["turn_radius_nm"] == 0.7


def test_a_late_answer_of_an_older_edit_is_dropped(watched: Watched, server: str) -> None:
    page = watched.page
    opened(watched, server)
    held: list[Route] = []

    def hold_first(route: Route) -> None:
        if held:
            route.fallback()
        else:
            held.append(route)

    page.route("**/computed", hold_first)
    page.get_by_test_id("edit-Z1").click()
    type_into(page, "edit-radius", "0.6")
    expect(page.get_by_test_id("last-step")).to_contain_text("0.6")
    type_into(page, "edit-radius", "0.7")
    fresh(page)
    held[0].fallback()
    page.wait_for_timeout(500)
    expect(page.get_by_test_id("turn-row-0")).to_contain_text("0.70")
