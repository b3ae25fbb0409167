"""Approved plans that use no chart, and cells that come: what was approved was without them.

That the voyage is planned with the newest charts of its water, and that what comes later is looked
at again, is asked by SOLAS V/27 and V/34 and IMO A.893(21), 2.1.
"""

from collections.abc import Iterator
from typing import Any

import pytest

from tests import zoo
from tests.api.chart_keeping import cell_id, imported, water_cell
from tests.api.conftest import Client
from tests.api.keeping import post
from tests.api.record_keeping import approve, decide, offer, record
from tests.charts.cell_writer import CellWriter
from wheelover.api import create_app
from wheelover.api.routers.plans import compute_document
from wheelover.usecases import changes, recompute
from wheelover.usecases.audit import verify

NOT_AMONG = "a chart at this track that is not among those of the plan: "
NOW = "2026-11-26T12:00:00.000Z"


@pytest.fixture
def client(store_url: str) -> Iterator[Client]:
    app = create_app(store_url)
    yield Client(app)
    app.state.imports.close()
    app.state.store.close()


def kept(client: Client, **members: Any) -> str:
    """Keep a plan, offer it, and return its place."""
    inputs = {name: one for name, one in zoo.request(**members).items() if name != "hazards"}
    answer = post(client, "/api/v1/plans", inputs)
    assert answer.status_code == 201, answer.text
    place = str(answer.headers["location"])
    offer(client, place)
    return place


def far_cell() -> CellWriter:
    """Return a cell far from the zoo's route."""
    desk = CellWriter(name="ZZ4FAR")
    desk.area("M_COVR", [(10.0, 10.0), (10.0, 11.0), (11.0, 11.0)], CATCOV=1)
    desk.point("WRECKS", (10.1, 10.1), VALSOU=3.0, fid=100)
    return desk


def beside_cell() -> CellWriter:
    """Return a cell whose box meets the track, with nothing where the track looks for dangers."""
    desk = CellWriter(name="ZZ4BOX")
    desk.area("M_COVR", [(46.0, -31.0), (46.0, -30.9), (46.1, -30.9)], CATCOV=1)
    desk.area("DEPARE", [(48.0, -28.0), (48.0, -28.1), (47.9, -28.1)], DRVAL1=30, DRVAL2=50)
    return desk


def test_a_cell_at_the_track_makes_the_approval_lapse(client: Client) -> None:
    place = kept(client)
    approve(client, place, 1)
    imported(client, ("far.000", far_cell().base()))
    found = record(client, place, 1)
    assert (found["counts_as_approved"], found["marks"], found["notes"]) == (True, [], [])
    imported(client, ("box.000", beside_cell().base()))
    found = record(client, place, 1)
    assert found["counts_as_approved"] is True
    assert "nothing in it where this track looks for dangers" in found["notes"][0]["words"]
    imported(client, ("new.000", water_cell("ZZ5NEW").base()))
    found = record(client, place, 1)
    assert found["counts_as_approved"] is False
    (lapse,) = found["lapses"]
    assert f"cell ZZ5NEW 1.0, {NOT_AMONG}" in lapse["words"]
    assert "Gat wreck" in lapse["words"]
    assert client.get(place).json()["approval_stands"] is False
    assert client.get("/api/v1/plans").json()["items"][0]["approval_stands"] is False
    assert verify(client.app.state.store).faults == []


def test_the_master_answers_for_it_once(client: Client) -> None:
    """What differs in it later asks again, where it is near; taken out of use it asks nothing."""
    place, desk = kept(client), water_cell("ZZ5NEW")
    approve(client, place, 1)
    cell = cell_id(imported(client, ("a.000", desk.base())))
    assert decide(client, place, 1, "approve").status_code == 409
    assert approve(client, place, 1)["counts_as_approved"] is True
    assert record(client, place, 1)["marks"] == []
    desk.modify(200, VALSOU=1.0)
    imported(client, ("a.001", desk.update()))
    assert record(client, place, 1)["counts_as_approved"] is True
    desk.modify(100, VALSOU=1.0)
    imported(client, ("a.002", desk.update()))
    found = record(client, place, 1)
    assert found["counts_as_approved"] is False
    assert found["lapses"][-1]["words"].endswith("near the track: WRECKS Gat wreck")
    approve(client, place, 1)
    assert client.send("DELETE", f"/api/v1/charts/{cell}").status_code == 200
    found = record(client, place, 1)
    assert (found["counts_as_approved"], found["marks"]) == (True, [])


def test_what_was_there_before_is_no_change_since(client: Client) -> None:
    """That no charts were looked at is an item of the plan itself; what comes later counts."""
    desk = water_cell()
    imported(client, ("a.000", desk.base()), ("far.000", far_cell().base()))
    place = kept(client)
    found = record(client, place, 1)
    assert not any(NOT_AMONG in one["message"] for one in found["open_items"])
    assert any("no chart cells are loaded" in one["message"] for one in found["open_items"])
    assert found["marks"] == []
    assert approve(client, place, 1)["counts_as_approved"] is True
    assert client.get(place).json()["approval_stands"] is True
    desk.modify(100, VALSOU=1.0)
    imported(client, ("a.001", desk.update()))
    found = record(client, place, 1)
    assert found["counts_as_approved"] is False
    assert NOT_AMONG in found["lapses"][-1]["words"]


def test_a_plan_in_use_lapses_and_stays_in_use(client: Client) -> None:
    place = kept(client)
    approve(client, place, 1)
    assert decide(client, place, 1, "take_into_use").status_code == 201
    imported(client, ("a.000", water_cell().base()))
    found = record(client, place, 1)
    assert (found["state"], found["counts_as_approved"]) == ("in_use", False)
    listed = client.get(place).json()
    assert (listed["in_use_revision"], listed["in_use_stands"]) == (1, False)


def test_what_an_earlier_version_let_pass_lapses_at_the_next_start(
    client: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    """An approval that stood beside such a cell is told of by the engine that finds it so."""
    place = kept(client)
    approve(client, place, 1)
    with monkeypatch.context() as old:
        old.setattr("wheelover.usecases.chart_imports.lapse_by_charts", lambda *_: None)
        imported(client, ("a.000", water_cell().base()))
    assert record(client, place, 1)["lapses"] == []
    for module in (changes, recompute):
        monkeypatch.setattr(module, "engine_id", _engine_of_tomorrow)
    recompute.recheck_engine(client.app.state.store, compute_document, lambda: NOW)
    found = record(client, place, 1)
    assert [one["cause"] for one in found["lapses"]] == ["chart_cell"]
    assert client.get(place).json()["approval_stands"] is False


def _engine_of_tomorrow(version: str | None = None, libraries: Any = None) -> str:
    """Return today's engine for what was frozen, another for the one at work."""
    return "9.9.9 (tomorrow)" if version is None else f"{version} (today)"
