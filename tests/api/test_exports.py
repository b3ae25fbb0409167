"""Exports of drafts and revisions: what they say of themselves, and that they read back."""

import io
import re
from typing import Any

import openpyxl
import pypdf
import pytest

from tests import zoo
from tests.api.conftest import Client
from tests.api.keeping import SHIP, act, moved, post, put, stored_plan
from wheelover.api import create_app

_WORDS = re.compile(rb' words="[^"]*"')
"""Digests of the words of an XML file, the audit head among them."""

_HEAD = re.compile(rb"Audit log ends at own:\d+:[0-9a-f]{64}")
FORMATS = ("geojson", "rtz", "gpx", "csv")


@pytest.fixture(scope="module")
def client() -> Client:
    return Client(create_app())


def read_back(client: Client, body: bytes, name: str) -> dict[str, Any]:
    answer = client.read(body, name)
    assert answer.status_code == 200, answer.text
    assert answer.json()["rejected_count"] == 0
    route: dict[str, Any] = answer.json()["route"]
    return route


@pytest.mark.parametrize("name", FORMATS)
def test_a_draft_and_a_revision_go_out_and_come_back(client: Client, name: str) -> None:
    place, made = stored_plan(client)
    draft = client.get(f"{place}/export/{name}")
    act(client, f"{place}/revisions", made.headers["etag"])
    frozen = client.get(f"{place}/revisions/1/export/{name}")
    sha256 = client.get(f"{place}/revisions/1").json()["sha256"]
    for answer in (draft, frozen):
        assert answer.status_code == 200, answer.text
        assert answer.headers["content-disposition"].startswith("attachment")
        assert "sandbox" in answer.headers["content-security-policy"]
        assert "planning aid" in answer.text.lower()
        assert "not checked" in answer.text.lower()
        route = read_back(client, answer.content, f"out.{name}")
        given = zoo.request()["route"]["waypoints"]
        assert len(route["waypoints"]) == len(given)
        for out, one in zip(route["waypoints"], given, strict=True):
            assert out["lat_deg"] == pytest.approx(one["lat_deg"], abs=1e-9)
            assert out["lon_deg"] == pytest.approx(one["lon_deg"], abs=1e-9)
    assert "DRAFT" in draft.text
    assert "DRAFT" not in frozen.text
    assert sha256[:8] in frozen.text
    assert client.get(f"{place}/revisions/1/export/{name}").content == frozen.content


@pytest.mark.parametrize("name", FORMATS)
def test_a_revision_goes_out_as_it_was_frozen(client: Client, name: str) -> None:
    ship = post(client, "/api/v1/ships", SHIP)
    body = zoo.request(ship_id=ship.json()["id"])
    del body["ship"]
    made = post(client, "/api/v1/plans", body)
    place = made.headers["location"]
    act(client, f"{place}/revisions", None)
    frozen = client.get(f"{place}/revisions/1/export/{name}").content
    put(client, ship.headers["location"], {**SHIP, "loa_m": 300.0}, ship.headers["etag"])
    put(client, place, moved(made.json()["inputs"], 0, 0.1), made.headers["etag"])
    again = client.get(f"{place}/revisions/1/export/{name}").content
    assert _WORDS.sub(b"", _HEAD.sub(b"", again)) == _WORDS.sub(b"", _HEAD.sub(b"", frozen))
    assert len(_HEAD.findall(again)) == 1
    assert again != frozen, "the end of the audit log is that of the moment"


def test_the_map_that_stands_alone_goes_out(client: Client) -> None:
    place, made = stored_plan(client)
    draft = client.get(f"{place}/export/html")
    act(client, f"{place}/revisions", made.headers["etag"])
    frozen = client.get(f"{place}/revisions/1/export/html")
    sha256 = client.get(f"{place}/revisions/1").json()["sha256"]
    for answer in (draft, frozen):
        assert answer.status_code == 200, answer.text
        assert answer.headers["content-disposition"].endswith(".html")
        assert "sandbox" in answer.headers["content-security-policy"]
        assert "planning aid" in answer.text.lower()
    assert ">DRAFT</strong>" in draft.text
    assert ">REVISION 1</strong>" in frozen.text
    assert sha256 in frozen.text


def test_a_file_of_another_edit_than_the_one_on_show_is_refused(client: Client) -> None:
    place, made = stored_plan(client)
    assert client.get(f"{place}/export/csv?edit=1").status_code == 200
    put(client, place, moved(made.json()["inputs"], 0, 0.01), made.headers["etag"])
    late = client.get(f"{place}/export/csv?edit=1")
    assert late.status_code == 412
    assert "edit 2" in late.json()["detail"]
    assert client.get(f"{place}/export/csv?edit=2").status_code == 200
    assert client.get(f"{place}/export/csv?edit=x").status_code == 422


@pytest.mark.parametrize("name", ["dbf", "htm", "GEOJSON", "%00", "x" * 300])
def test_a_format_that_is_not_written(client: Client, name: str) -> None:
    place, _ = stored_plan(client)
    answer = client.get(f"{place}/export/{name}")
    assert answer.status_code == 404
    assert "geojson" in answer.json()["detail"]


@pytest.mark.parametrize("name", ["rtz", "gpx"])
def test_no_leg_goes_out_across_a_hole(client: Client, name: str) -> None:
    body = zoo.request()
    body["route"]["waypoints"][2]["gap_before"] = True
    place = post(client, "/api/v1/plans", body).headers["location"]
    answer = client.get(f"{place}/export/{name}")
    assert answer.status_code == 409
    assert "hole" in answer.json()["detail"].lower()


@pytest.mark.parametrize("name", ["geojson", "csv"])
def test_a_hole_stays_a_hole(client: Client, name: str) -> None:
    body = zoo.request()
    body["route"]["waypoints"][2]["gap_before"] = True
    place = post(client, "/api/v1/plans", body).headers["location"]
    answer = client.get(f"{place}/export/{name}")
    assert answer.status_code == 200
    route = client.read(answer.content, f"x.{name}").json()["route"]
    assert route["waypoints"][2]["gap_before"] is True


def test_the_demonstration_says_so_in_every_format(client: Client) -> None:
    request = client.get("/api/v1/demonstration").json()["request"]
    place = post(client, "/api/v1/plans", request).headers["location"]
    for name in FORMATS:
        answer = client.get(f"{place}/export/{name}")
        assert answer.status_code == 200, answer.text
        assert "DEMONSTRATION" in answer.text
        assert "demonstration" in answer.headers["content-disposition"]


@pytest.mark.parametrize("version", ["1.0", "1.1", "1.2"])
def test_the_version_of_the_route_exchange_is_a_choice(client: Client, version: str) -> None:
    place, _ = stored_plan(client)
    answer = client.get(f"{place}/export/rtz?version={version}")
    assert f'version="{version}"' in answer.text
    assert client.get(f"{place}/export/rtz?version=9").status_code == 404


@pytest.mark.parametrize("name", FORMATS)
def test_positions_go_out_as_they_were_given(client: Client, name: str) -> None:
    body = zoo.request()
    body["route"]["waypoints"][1]["lon_deg"] = -30.00172094201581
    place = post(client, "/api/v1/plans", body).headers["location"]
    route = read_back(client, client.get(f"{place}/export/{name}").content, f"x.{name}")
    assert route["waypoints"][1]["lon_deg"] == -30.00172094201581


def test_a_name_is_no_formula_for_any_separator(client: Client) -> None:
    body = zoo.request()
    body["route"]["waypoints"][1]["name"] = "x;=1+1;y"
    place = post(client, "/api/v1/plans", body).headers["location"]
    answer = client.get(f"{place}/export/csv")
    assert '"x;=1+1;y"' in answer.text
    assert read_back(client, answer.content, "x.csv")["waypoints"][1]["name"] == "x;=1+1;y"


@pytest.mark.parametrize("name", FORMATS)
def test_current_and_steering_are_kept_undone_frozen_and_read_back(
    client: Client, name: str
) -> None:
    leg = {"set_deg": 123.456789, "drift_kn": 2.25}
    turn = {"steering": "radius", "rudder_deg": 17.5, "set_deg": 0.0, "drift_kn": 0.0}
    place, made = stored_plan(client)
    body = zoo.request()
    body["route"]["waypoints"][1].update(leg=leg, turn=turn)
    edited = put(client, place, body, made.headers["etag"])
    assert edited.status_code == 200, edited.text
    label = edited.json()["undo"]["label"]
    assert label.startswith("Leg to WPT 02 set of the current: none to 123.456789 T; ")
    back = act(client, f"{place}/undo", edited.headers["etag"])
    assert "turn" not in back.json()["inputs"]["route"]["waypoints"][1]
    again = act(client, f"{place}/redo", back.headers["etag"])
    kept = again.json()["inputs"]["route"]["waypoints"][1]
    assert (kept["leg"], kept["turn"]) == (leg, turn)
    act(client, f"{place}/revisions", again.headers["etag"])
    frozen = client.get(f"{place}/revisions/1/export/{name}")
    read = read_back(client, frozen.content, f"out.{name}")["waypoints"]
    assert [one.get("leg") for one in read] == [None, leg, None]
    assert [one.get("turn") for one in read] == [None, turn, None]
    # What was read is what a plan takes.
    turns = client.plan({"route": {"name": "again", "waypoints": read}}).json()["turns"]
    assert turns[0]["current"] == {"set_deg": 0.0, "drift_kn": 0.0, "source": "turn"}


def test_paper_of_a_draft_and_of_a_revision(client: Client) -> None:
    place, made = stored_plan(client)
    draft = client.get(f"{place}/export/pdf")
    act(client, f"{place}/revisions", made.headers["etag"])
    frozen = client.get(f"{place}/revisions/1/export/pdf")
    sha256 = client.get(f"{place}/revisions/1").json()["sha256"]
    for answer, words in ((draft, "DRAFT, not approved"), (frozen, f"r1, sha256 {sha256[:8]}")):
        assert answer.status_code == 200, answer.text
        assert answer.headers["content-type"] == "application/pdf"
        assert answer.headers["content-disposition"].startswith("attachment")
        assert "sandbox" in answer.headers["content-security-policy"]
        pages = pypdf.PdfReader(io.BytesIO(answer.content)).pages
        assert all(words in page.extract_text() for page in pages)
        assert "Planning aid only" in " ".join(page.extract_text() for page in pages)


def test_who_waits_for_a_file_is_told_how_far_it_is(client: Client) -> None:
    place, _ = stored_plan(client)
    word = "waits-for-a-file-0"
    told: list[dict[str, Any]] = []
    progress = client.app.state.progress
    kept = progress.of

    def listening(word_of: str) -> dict[str, Any]:
        found: dict[str, Any] = kept(word_of)
        return found

    note = progress._note
    progress._note = lambda *given: (note(*given), told.append(listening(word)))
    try:
        answer = client.get(f"{place}/export/pdf?watch={word}")
    finally:
        progress._note = note
    assert answer.status_code == 200, answer.text
    assert {one["state"] for one in told} == {"working"}
    assert told[-1]["stage"] == "writing the pages"
    assert told[-1]["done_count"] < told[-1]["of_count"]
    after = client.get(f"/api/v1/exports/{word}").json()
    assert after == {"state": "not_known", "stage": None, "done_count": 0, "of_count": 0}
    assert client.get("/api/v1/exports/short").status_code == 422
    assert client.get(f"{place}/export/pdf?watch=a%20b").status_code == 422


def test_a_workbook_of_a_draft_and_of_a_revision(client: Client) -> None:
    place, made = stored_plan(client)
    draft = client.get(f"{place}/export/xlsx")
    act(client, f"{place}/revisions", made.headers["etag"])
    frozen = client.get(f"{place}/revisions/1/export/xlsx")
    for answer, words in ((draft, "DRAFT. Plan plan-"), (frozen, "REVISION 1. Plan plan-")):
        assert answer.status_code == 200, answer.text
        assert answer.headers["content-type"].endswith("spreadsheetml.sheet")
        book = openpyxl.load_workbook(io.BytesIO(answer.content))
        assert all(sheet["A1"].value.startswith(words) for sheet in book)
    assert client.get(f"{place}/revisions/1/export/xlsx").content == frozen.content
