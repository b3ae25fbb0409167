"""An invented chart cell about a route, for tests of the page: deep water with a shoal in it."""

from typing import Any

from tests.browser.service import SHIP, ask, waypoint
from tests.charts.cell_writer import CellWriter

Document = dict[str, Any]

SOUTH, NORTH, WEST, EAST = 46.95, 47.35, -30.15, -29.45
SHOAL = (47.05, 47.09, -30.03, -29.97)


def box(south: float, north: float, west: float, east: float) -> list[tuple[float, float]]:
    """Return a rectangle as a ring of positions."""
    return [(south, west), (south, east), (north, east), (north, west)]


def shoal_cell(name: str = "ZZ5SHOAL", rock: bool = True) -> bytes:
    """Return a cell of water 60 m deep with a shoal of 4 m across the first leg of ``plan``."""
    cell = CellWriter(name=name)
    whole = box(SOUTH, NORTH, WEST, EAST)
    shoal = box(*SHOAL)
    cell.area("M_COVR", whole, CATCOV=1)
    cell.area("M_QUAL", whole, CATZOC=3)
    cell.area("DEPARE", whole, holes=[shoal], DRVAL1=50, DRVAL2=70)
    cell.area("DEPARE", shoal, DRVAL1=2, DRVAL2=5)
    cell.line("DEPCNT", [*shoal, shoal[0]], VALDCO=5)
    cell.soundings([(47.07, -30.0, 4.0), (47.2, -29.7, 60.0)])
    if rock:
        cell.point("UWTROC", (47.07, -30.005), VALSOU=2.5, WATLEV=3, OBJNAM="Invented rock")
    return cell.base()


def plan(**more: Any) -> Document:
    """Return inputs of a route whose first leg goes over the shoal; the last leaves the cell."""
    corners = [(47.0, -30.0), (47.1, -30.0), (47.1, -29.8), (47.2, -29.8), (47.2, -29.2)]
    waypoints = [waypoint(f"Z{i}", *place) for i, place in enumerate(corners)]
    return {"route": {"name": "Shoal water", "waypoints": waypoints}, "ship": SHIP, **more}


def stored(server: str, **more: Any) -> str:
    """Store such a plan and return its id."""
    plan_id: str = ask(server, "POST", "/plans", plan(**more))["id"]
    return plan_id
