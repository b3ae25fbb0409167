"""A ship and a shore office, each with a store of its own, paired with each other."""

from dataclasses import dataclass
from pathlib import Path
from typing import Any

import httpx

from tests import zoo
from tests.api.conftest import Client
from tests.api.keeping import SHIP, hazards
from tests.reasons import reasons_for
from wheelover.api import create_app
from wheelover.formats.parcel import MEDIA_TYPE

MATE = {"name": "A. Berg", "rank": "second officer"}
MASTER = {"name": "R. Holm", "rank": "master"}
OFFICE = {"name": "S. Lund", "rank": "superintendent"}

Document = dict[str, Any]


class Side(Client):
    """One installation, asked over its API."""

    def __init__(self, database_url: str | None, name: str, side: str) -> None:
        super().__init__(create_app(database_url))
        named = self.send("PUT", "/api/v1/peers/self", json={"name": name, "side": side})
        assert named.status_code == 200, named.text
        self.id = str(named.json()["id"])

    @property
    def store(self) -> Any:
        return self.app.state.store

    def card(self) -> Document:
        return dict(self.get("/api/v1/peers/self").json())

    def pair(self, other: "Side") -> httpx.Response:
        """Pair with another side, its fingerprint read from its own screen."""
        return self.send("POST", "/api/v1/peers", json={**other.card(), "by": MATE})

    def make(self, other: "Side", *plans: str, since: str = "last") -> Document:
        """Make the next parcel for another side."""
        made = self.send(
            "POST",
            f"/api/v1/peers/{other.id}/parcels",
            json={"plans": list(plans), "since": since},
        )
        assert made.status_code == 201, made.text
        return dict(made.json())

    def parcel(self, other: "Side", *plans: str, since: str = "last") -> bytes:
        """Make the next parcel for another side and fetch it."""
        made = self.make(other, *plans, since=since)
        fetched = self.get(made["href"])
        assert fetched.status_code == 200
        assert len(fetched.content) == made["size_count"]
        return bytes(fetched.content)

    def take(self, body: bytes) -> httpx.Response:
        """Take a parcel."""
        return self.send(
            "POST", "/api/v1/parcels", content=body, headers={"Content-Type": MEDIA_TYPE}
        )

    def taken(self, body: bytes) -> Document:
        """Take a parcel that is taken."""
        answer = self.take(body)
        assert answer.status_code == 200, answer.text
        return dict(answer.json())

    def audit(self, vessel_id: str = "own") -> list[Document]:
        """Return the newest entries of a vessel's audit log, newest first."""
        found = self.get(f"/api/v1/audit?vessel_id={vessel_id}&limit=500").json()["items"]
        return [dict(one["entry"]) for one in found]

    def sync(self, plan_id: str) -> Document:
        """Return what of a plan is where."""
        found = self.get(f"/api/v1/plans/{plan_id}/sync")
        assert found.status_code == 200, found.text
        return dict(found.json())

    def record(self, plan_id: str, number: int = 1) -> Document:
        """Return the record of a revision."""
        return dict(self.get(f"/api/v1/plans/{plan_id}/revisions/{number}/record").json())


@dataclass(frozen=True)
class Sides:
    """The two sides, and the vessel ashore to which the ship's plans belong."""

    ship: Side
    shore: Side

    @property
    def vessel_id(self) -> str:
        return str(self.shore.get(f"/api/v1/peers/{self.ship.id}").json()["vessel_id"])


def two_sides(folder: Path | None = None, shore_url: str | None = None) -> Sides:
    """Return a ship and a shore office that are paired, in a folder or each where it is said."""
    urls = [None, shore_url]
    if folder is not None:
        urls = [f"sqlite:///{folder / name}.sqlite3" for name in ("ship", "shore")]
    sides = Sides(ship=Side(urls[0], "MV Zoo", "ship"), shore=Side(urls[1], "Zoo office", "shore"))
    assert sides.ship.pair(sides.shore).status_code == 201
    assert sides.shore.pair(sides.ship).status_code == 201
    return sides


def keep_plan(side: Side, name: str = "Zoo passage", **more: Any) -> str:
    """Keep a plan with a stored ship and a stored hazard set, and return its id."""
    ship = side.send("POST", "/api/v1/ships", json=SHIP).json()
    body = {"name": "Gat", "hazards": hazards((0.05, 0.1))}
    dangers = side.send("POST", "/api/v1/hazard-sets", json=body).json()
    request = {
        name: member for name, member in zoo.request().items() if name not in ("ship", "hazards")
    }
    request["route"] = {**request["route"], "name": name}
    inputs = {**request, "ship_id": ship["id"], "hazard_set_ids": [dangers["id"]], **more}
    made = side.send("POST", "/api/v1/plans", json=inputs)
    assert made.status_code == 201, made.text
    return str(made.json()["id"])


def offer(side: Side, plan_id: str, words: str = "For the noon tide.") -> Document:
    """Offer the draft of a plan."""
    made = side.send(
        "POST", f"/api/v1/plans/{plan_id}/revisions", json={"by": MATE, "words": words}
    )
    assert made.status_code == 201, made.text
    return dict(made.json())


def edit(side: Side, plan_id: str, **changed: Any) -> httpx.Response:
    """Change the draft of a plan."""
    read = side.get(f"/api/v1/plans/{plan_id}")
    inputs = {**read.json()["inputs"], **changed}
    return side.send(
        "PUT", f"/api/v1/plans/{plan_id}", json=inputs, headers={"If-Match": read.headers["etag"]}
    )


def approve(side: Side, plan_id: str, number: int = 1) -> httpx.Response:
    """Approve a revision with a reason for all that is open."""
    place = f"/api/v1/plans/{plan_id}/revisions/{number}"
    reasons = reasons_for(side.record(plan_id, number)["open_items"], "seen")
    body = {"kind": "approve", "by": MASTER, "reasons": reasons}
    tag = {"If-Match": side.get(place).headers["etag"]}
    return side.send("POST", f"{place}/decisions", json=body, headers=tag)
