"""Charts over the API: imports and their progress, lists, objects, plans that use them."""

from collections.abc import Iterator
from typing import Any

import pytest

from tests import zoo
from tests.api.chart_keeping import WATER, begun, cell_id, ended, imported, water_cell
from tests.api.conftest import Client
from tests.api.keeping import post, stored_plan
from tests.api.record_keeping import approve, edit, offer, record
from tests.charts.cell_writer import CellWriter
from wheelover.api import create_app
from wheelover.api.import_jobs import MOST_WAITING
from wheelover.api.schemas.plan_request import PlanRequest
from wheelover.usecases.gather import gather


@pytest.fixture
def client(store_url: str) -> Iterator[Client]:
    app = create_app(store_url)
    yield Client(app)
    app.state.imports.close()
    app.state.store.close()


@pytest.fixture
def quick(tmp_path: Any) -> Iterator[Client]:
    app = create_app(f"sqlite:///{tmp_path / 'charts.sqlite3'}")
    yield Client(app)
    app.state.imports.close()
    app.state.store.close()


def test_a_cell_is_imported_listed_and_drawn(client: Client) -> None:
    desk = water_cell()
    base = desk.base()
    desk.modify(100, VALSOU=5.9)
    job = imported(client, ("ZZ4GAT.001", desk.update()), ("ZZ4GAT.000", base))
    assert (job["state"], job["percent"], job["message"]) == ("done", 100, None)
    assert job["files"] == ["ZZ4GAT.001", "ZZ4GAT.000"]
    assert {one["fate"] for one in job["result"]["files"]} == {"read", "applied"}
    assert "MB of memory" in job["result"]["held_by"][0]
    (line,) = client.get("/api/v1/charts").json()["items"]
    said = ("name", "edition", "producer_edition", "producer_update", "scale", "band")
    assert [line[one] for one in said] == ["ZZ4GAT", 1, 1, 1, 90_000, 4]
    assert line["updates_missing"] == []
    assert line["coverage"]["coordinates"][0][0][0] in [[lon, lat] for lat, lon in WATER]
    place = f"/api/v1/charts/{line['id']}"
    found = client.get(place).json()
    assert found["counts"] == {"DEPARE": 1, "M_COVR": 1, "UWTROC": 1, "WRECKS": 1}
    assert [one["fate"] for one in found["report"]] == ["read", "applied"]
    assert client.get(f"{place}/editions/1").json() == found
    near = client.get(f"{place}/features?box=-30.1,47,-29.9,47.2&classes=wrecks").json()
    (wreck,) = near["features"]
    assert wreck["properties"]["attributes"] == {"OBJNAM": "Gat wreck", "VALSOU": 5.9}
    assert wreck["id"] == "ZZ4GAT/WRECKS/1.100.1"
    all_of = client.get(f"{place}/features?limit=1").json()
    assert (len(all_of["features"]), all_of["left_out_count"]) == (1, 3)


def test_lists_go_on_with_their_cursor(quick: Client) -> None:
    bodies = [(f"ZZ{n}.000", water_cell(f"ZZ4CELL{n}").base()) for n in range(3)]
    imported(quick, *bodies)
    first = quick.get("/api/v1/charts?limit=2").json()
    second = quick.get(f"/api/v1/charts?limit=2&cursor={first['next_cursor']}").json()
    names = [one["name"] for one in first["items"] + second["items"]]
    assert names == ["ZZ4CELL2", "ZZ4CELL1", "ZZ4CELL0"]
    assert second["next_cursor"] is None


@pytest.mark.parametrize(
    ("query", "pointer"),
    [
        ("box=1,2,3", "/box"),
        ("box=1,2,3,nan", "/box"),
        ("box=0,50,10,40", "/box"),
        ("box=-200,0,0,10", "/box"),
        ("classes=WRECK", "/classes"),
        ("classes=WRECKS;DEPARE", "/classes"),
        ("limit=0", "/limit"),
    ],
)
def test_what_no_box_and_no_class_is(quick: Client, query: str, pointer: str) -> None:
    cell = cell_id(imported(quick, ("ZZ4GAT.000", water_cell().base())))
    answer = quick.get(f"/api/v1/charts/{cell}/features?{query}")
    assert answer.status_code == 422
    assert pointer.removeprefix("/") in str(answer.json()["errors"])


def test_what_is_no_cell_is_a_failure_that_names_the_file(quick: Client) -> None:
    job = imported(quick, ("notes.000", b"hello"), ("cut.000", water_cell().base()[:-9]))
    assert job["state"] == "failed"
    assert "notes.000: record 1 (byte 0)" in job["message"]
    assert "cut.000: record" in job["message"]
    assert quick.get("/api/v1/charts").json()["items"] == []


def test_a_form_without_a_file_is_refused(quick: Client) -> None:
    refused = quick.send("POST", "/api/v1/charts/imports", files={"other": ("a", b"x")})
    assert (refused.status_code, refused.json()["errors"][0]["pointer"]) == (422, "/file")
    assert quick.send("POST", "/api/v1/charts/imports", json={}).status_code == 415


def test_an_import_that_waits_or_runs_is_stopped(quick: Client) -> None:
    body = water_cell().base()
    places = [begun(quick, ("a.000", body)).headers["location"] for _ in range(MOST_WAITING)]
    refused = begun(quick, ("a.000", body))
    assert (refused.status_code, "Retry-After" in refused.headers) == (503, True)
    for place in places:
        assert quick.send("DELETE", place).status_code == 202
    states = [ended(quick, place)["state"] for place in places]
    assert states[-1] == "stopped"
    assert set(states) <= {"stopped", "done"}
    assert ended(quick, places[-1])["message"] == "It was stopped; nothing was kept."
    assert quick.get("/api/v1/charts/imports/import-0").status_code == 404


def test_a_service_that_stops_leaves_no_process(quick: Client) -> None:
    from tests.charts.test_importing import children  # noqa: PLC0415

    for _ in range(3):
        begun(quick, ("a.000", water_cell().base()))
    quick.app.state.imports.close()
    assert children() == []
    assert begun(quick, ("a.000", b"x")).status_code == 503


def plain(**members: Any) -> dict[str, Any]:
    return {name: value for name, value in zoo.request(**members).items() if name != "hazards"}


def cells_of(client: Client, inputs: dict[str, Any]) -> list[str]:
    """Return the cells that reach the core, with their editions."""
    gathered = gather(client.app.state.store, inputs)
    chart = PlanRequest.model_validate(inputs).to_core(gathered).chart
    return [f"{one.about.name}.{one.about.stored_edition}" for one in chart.cells]


def test_a_plan_takes_every_chart_that_its_route_touches(quick: Client) -> None:
    far = CellWriter(name="ZZ4FAR")
    far.area("M_COVR", [(10.0, 10.0), (10.0, 11.0), (11.0, 11.0)], CATCOV=1)
    imported(quick, ("a.000", water_cell().base()), ("b.000", far.base()))
    assert cells_of(quick, plain(all_charts=True)) == ["ZZ4GAT.1"]
    assert cells_of(quick, plain()) == []
    ids = {one["name"]: one["id"] for one in quick.get("/api/v1/charts").json()["items"]}
    assert cells_of(quick, plain(chart_ids=[ids["ZZ4FAR"]])) == ["ZZ4FAR.1"]
    answer = quick.plan(plain(all_charts=True))
    assert answer.status_code == 200, answer.text
    other = quick.plan(plain())
    assert answer.json()["inputs_sha256"] != other.json()["inputs_sha256"]


def test_charts_across_180_degrees(quick: Client) -> None:
    for name, lon in (("ZZ3EAST", 179.0), ("ZZ3WEST", -180.0)):
        desk = CellWriter(name=name)
        ring = [(46.0, lon), (46.0, lon + 1.0), (48.0, lon + 1.0), (48.0, lon)]
        desk.area("M_COVR", ring, CATCOV=1)
        imported(quick, ("a.000", desk.base()))
    body = plain(all_charts=True)
    for one, lon in zip(body["route"]["waypoints"], (179.5, 179.9, -179.8), strict=True):
        one["lon_deg"] = lon
    assert cells_of(quick, body) == ["ZZ3EAST.1", "ZZ3WEST.1"]


@pytest.mark.parametrize(
    ("members", "words"),
    [
        ({"all_charts": True, "chart_ids": ["a"]}, "not both"),
        ({"chart_ids": ["a", "a"]}, "named once"),
        ({"chart_editions": {"a": 1}}, "is not in chart_ids"),
    ],
)
def test_what_contradicts_itself_is_refused(
    quick: Client, members: dict[str, Any], words: str
) -> None:
    answer = quick.plan(plain(**members))
    assert answer.status_code == 422
    assert words in answer.text


def test_a_chart_that_is_not_there_is_named(quick: Client) -> None:
    answer = quick.plan(plain(chart_ids=["cell-0"]))
    assert answer.status_code == 404
    assert answer.json()["errors"][0]["pointer"] == "/chart_ids/0"


def test_a_draft_pins_its_charts_and_a_step_finds_new_ones(quick: Client) -> None:
    first = cell_id(imported(quick, ("a.000", water_cell().base())))
    place, answer = stored_plan(quick, all_charts=True)
    assert answer.json()["inputs"]["chart_editions"] == {first: 1}
    desk = water_cell()
    base = desk.base()
    desk.modify(200, VALSOU=1.0)
    imported(quick, ("a.000", base), ("a.001", desk.update()))
    second = cell_id(imported(quick, ("b.000", water_cell("ZZ4TWO").base())))
    changed = edit(quick, place, limits={"min_clearance_m": 600.0})
    assert changed.json()["inputs"]["chart_editions"] == {first: 1, second: 1}
    inputs = {
        name: one for name, one in changed.json()["inputs"].items() if name != "chart_editions"
    }
    tag = quick.get(place).headers["etag"]
    newest = quick.send("PUT", place, json=inputs, headers={"If-Match": tag})
    assert newest.json()["inputs"]["chart_editions"] == {first: 2, second: 1}


def _approved(client: Client, **members: Any) -> str:
    """Keep a plan, offer it and approve it; return its place."""
    answer = post(client, "/api/v1/plans", plain(**members))
    assert answer.status_code == 201, answer.text
    place = str(answer.headers["location"])
    offer(client, place)
    approve(client, place, 1)
    return place


@pytest.mark.parametrize(
    ("fid", "stands", "said"),
    [
        (100, False, "cell ZZ4GAT 1.0 -> 1.1: 1 object near the track: WRECKS Gat wreck"),
        (200, True, "cell ZZ4GAT 1.0 -> 1.1: 1 object differs, none where this track looks"),
    ],
)
def test_an_update_counts_where_it_touches_the_track(
    client: Client, fid: int, stands: bool, said: str
) -> None:
    desk = water_cell()
    base = desk.base()
    cell = cell_id(imported(client, ("a.000", base)))
    places = [_approved(client, all_charts=True), _approved(client, chart_ids=[cell])]
    desk.modify(fid, VALSOU=1.0)
    imported(client, ("a.001", desk.update()))
    for place in places:
        found = record(client, place, 1)
        assert found["counts_as_approved"] is stands
        told = found["notes"] if stands else found["lapses"]
        assert told[0]["words"].startswith(said)


NOT_AMONG = "a chart at this track that is not among those of the plan: "


def test_a_new_cell_counts_for_plans_with_charts(quick: Client) -> None:
    cell = cell_id(imported(quick, ("a.000", water_cell().base())))
    every, named = _approved(quick, all_charts=True), _approved(quick, chart_ids=[cell])
    far = CellWriter(name="ZZ4FAR")
    far.area("M_COVR", [(10.0, 10.0), (10.0, 11.0), (11.0, 11.0)], CATCOV=1)
    imported(quick, ("b.000", far.base()))
    for place in (every, named):
        assert record(quick, place, 1)["counts_as_approved"] is True
    imported(quick, ("c.000", water_cell("ZZ5NEW").base()))
    for place, words in ((every, "cell ZZ5NEW 1.0 is new: "), (named, NOT_AMONG)):
        found = record(quick, place, 1)
        assert found["counts_as_approved"] is False
        assert words in found["lapses"][0]["words"]
        assert quick.get(place).json()["approval_stands"] is False


def test_a_cell_that_a_plan_leaves_out_is_answered_for_once(quick: Client) -> None:
    """With a reason the approval stands; what differs in it later asks again where it is near."""
    cell = cell_id(imported(quick, ("a.000", water_cell().base())))
    place, desk = _approved(quick, chart_ids=[cell]), water_cell("ZZ5NEW")
    imported(quick, ("c.000", desk.base()))
    (item,) = (one for one in record(quick, place, 1)["open_items"] if one["kind"] == "changed")
    assert NOT_AMONG in item["message"]
    assert approve(quick, place, 1)["counts_as_approved"] is True
    assert record(quick, place, 1)["marks"] == []
    desk.modify(200, VALSOU=1.0)
    imported(quick, ("c.001", desk.update()))
    found = record(quick, place, 1)
    assert found["counts_as_approved"] is True
    assert "none where this track looks" in found["notes"][0]["words"]
    desk.modify(100, VALSOU=1.0)
    imported(quick, ("c.002", desk.update()))
    found = record(quick, place, 1)
    assert found["counts_as_approved"] is False
    last = found["lapses"][-1]["words"]
    assert last.endswith("near the track: WRECKS Gat wreck")


def test_an_offer_tells_of_a_cell_that_it_leaves_out(quick: Client) -> None:
    cell = cell_id(imported(quick, ("a.000", water_cell().base())))
    place = str(post(quick, "/api/v1/plans", plain(chart_ids=[cell])).headers["location"])
    imported(quick, ("c.000", water_cell("ZZ5NEW").base()))
    offer(quick, place)
    told = [one["message"] for one in record(quick, place, 1)["open_items"]]
    assert sum(NOT_AMONG in one for one in told) == 1
    assert approve(quick, place, 1)["counts_as_approved"] is True
    assert quick.get(place).json()["approval_stands"] is True


def test_a_cell_out_of_use_makes_approvals_lapse_and_is_left_out(quick: Client) -> None:
    cell = cell_id(imported(quick, ("a.000", water_cell().base())))
    place = _approved(quick, all_charts=True)
    gone = quick.send("DELETE", f"/api/v1/charts/{cell}")
    assert gone.json()["withdrawn_utc"] is not None
    found = record(quick, place, 1)
    assert found["lapses"][0]["words"] == "cell ZZ4GAT 1.0 was taken out of use"
    assert cells_of(quick, plain(all_charts=True)) == []
    frozen = quick.get(f"{place}/revisions/1").json()
    assert frozen["loaded"]["charts"][0]["name"] == "ZZ4GAT"
    again = quick.get(f"{place}/revisions/1/recomputed").json()
    assert again["same"] is True


def test_a_revision_is_computed_again_from_its_own_charts(quick: Client) -> None:
    desk = water_cell()
    imported(quick, ("a.000", desk.base()))
    place = _approved(quick, all_charts=True)
    desk.modify(100, VALSOU=1.0)
    imported(quick, ("a.001", desk.update()), ("b.000", water_cell("ZZ4NEXT").base()))
    assert quick.get(f"{place}/revisions/1/recomputed").json()["same"] is True
    (chart,) = quick.get(f"{place}/revisions/1").json()["loaded"]["charts"]
    assert (chart["edition"], chart["producer_update"]) == (1, 0)


def test_what_differs_between_two_revisions_names_the_chart(quick: Client) -> None:
    desk = water_cell()
    imported(quick, ("a.000", desk.base()))
    place = _approved(quick, all_charts=True)
    desk.modify(100, VALSOU=1.0)
    imported(quick, ("a.001", desk.update()))
    inputs = quick.get(place).json()["inputs"]
    del inputs["chart_editions"]
    tag = quick.get(place).headers["etag"]
    assert quick.send("PUT", place, json=inputs, headers={"If-Match": tag}).status_code == 200
    assert quick.get(place).json()["steps"][0]["label"] == "Charts changed"
    offer(quick, place)
    found = quick.get(f"{place}/differences?was=1&now=2").json()
    said = " ".join(one["sentence"] for one in found["changes"])
    pointers = {one["pointer"] for change in found["changes"] for one in change["figures"]}
    assert "/loaded/charts/0/producer_update" in pointers
    assert any(one.startswith("/inputs/chart_editions/") for one in pointers)
    assert "update of its producer" in said
