"""What tests of charts share: importing over the API, and cells about the zoo's route."""

import time
from typing import Any

import httpx

from tests.api.conftest import Client
from tests.charts.cell_writer import CellWriter

WATER = [(46.5, -30.5), (46.5, -29.0), (47.5, -29.0), (47.5, -30.5)]


def water_cell(name: str = "ZZ4GAT", edition: int = 1) -> CellWriter:
    """Return a cell that covers the zoo's route, a wreck beside its first leg, a rock far off."""
    desk = CellWriter(name=name, edition=edition, band=4, scale=90_000)
    desk.area("M_COVR", WATER, CATCOV=1)
    desk.area("DEPARE", WATER, DRVAL1=30, DRVAL2=50)
    desk.point("WRECKS", (47.1, -29.99), VALSOU=6.2, OBJNAM="Gat wreck", fid=100)
    desk.point("UWTROC", (46.55, -29.05), VALSOU=2.0, fid=200)
    return desk


def begun(client: Client, *files: tuple[str, bytes]) -> httpx.Response:
    """Send files to be imported."""
    return client.send("POST", "/api/v1/charts/imports", files=[("file", one) for one in files])


def ended(client: Client, place: str) -> dict[str, Any]:
    """Wait for the end of an import and return it."""
    until = time.monotonic() + 120.0
    while time.monotonic() < until:
        found = client.get(place)
        assert found.status_code == 200, found.text
        if found.json()["ended_utc"] is not None:
            return dict(found.json())
        time.sleep(0.05)
    raise AssertionError("the import did not end")


def imported(client: Client, *files: tuple[str, bytes]) -> dict[str, Any]:
    """Import files and return the import when it has ended."""
    answer = begun(client, *files)
    assert answer.status_code == 202, answer.text
    return ended(client, answer.headers["location"])


def cell_id(job: dict[str, Any]) -> str:
    """Return the id of the only cell that an import made."""
    (cell,) = job["result"]["cells"]
    return str(cell["id"])
