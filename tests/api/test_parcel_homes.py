"""What came by parcel is told in the log with its home and its editions, and held against it."""

from pathlib import Path
from typing import Any

from sqlalchemy import text

from tests.api.sides import Side, edit, keep_plan, offer, two_sides
from tests.api.test_parcel_conflicts import gone_back, settle
from wheelover.store.open import database_at
from wheelover.usecases.audit import verify


def _faults(side: Side) -> list[str]:
    return verify(side.store).faults


def _behind(url: str, *statements: str) -> None:
    """Alter a closed store, with nothing that would hold its rows."""
    database = database_at(url)
    try:
        with database.writer.begin() as connection:
            for (name,) in connection.execute(
                text("SELECT name FROM sqlite_master WHERE type = 'trigger'")
            ).all():
                connection.execute(text(f"DROP TRIGGER {name}"))
            for statement in statements:
                connection.execute(text(statement))
    finally:
        database.close()


def test_a_home_or_an_edition_that_came_is_held_against_the_log(tmp_path: Path) -> None:
    sides = two_sides(tmp_path)
    plan_id = keep_plan(sides.ship)
    ship = sides.ship.get("/api/v1/ships").json()["items"][0]
    offer(sides.ship, plan_id)
    sides.shore.taken(sides.ship.parcel(sides.shore, plan_id))
    edit(sides.ship, plan_id, limits={"min_clearance_m": 700.0})
    offer(sides.ship, plan_id)
    sides.shore.taken(sides.ship.parcel(sides.shore))
    assert (_faults(sides.ship), _faults(sides.shore)) == ([], [])
    url = f"sqlite:///{tmp_path / 'shore.sqlite3'}"
    sides.shore.store.close()
    _behind(
        url,
        "DELETE FROM plan_home",
        "UPDATE library_edition SET sha256 = (SELECT sha256 FROM plan_revision LIMIT 1)",
    )
    shore = Side(url, "Office", "shore")
    faults = _faults(shore)
    assert any(plan_id in one and "not noted as at home" in one for one in faults), faults
    assert any(ship["id"] in one and "not the one" in one for one in faults), faults
    shore.store.close()


def test_a_draft_taken_from_the_other_revision_is_told(tmp_path: Path) -> None:
    sides, plan_id = gone_back(tmp_path)
    ship, shore = sides.ship, sides.shore
    shore.take(ship.parcel(shore))
    ship.taken(shore.parcel(ship))
    shore.taken(ship.parcel(shore))
    ship.taken(shore.parcel(ship))
    assert settle(ship, plan_id, "other").status_code == 200
    assert _faults(ship) == []
    entry = _last(ship, "plan.edited")
    assert entry["label"] == "Took the other revision 2"


def _last(side: Side, what: str) -> dict[str, Any]:
    items = side.get("/api/v1/audit").json()["items"]
    return next(one["entry"] for one in items if one["entry"]["what"] == what)
