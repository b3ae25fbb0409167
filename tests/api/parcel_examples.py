"""What the examples about parcels need to run: a peer, a parcel of its, and a conflict."""

import base64
import hashlib
from typing import Any

import httpx

from tests.api.sides import MATE, Side, edit, keep_plan, offer, two_sides
from wheelover.api.examples import EXAMPLES
from wheelover.core.types.people import Person
from wheelover.formats.parcel import MEDIA_TYPE, CarriedRevision

NOW = "2026-11-26T05:00:00.000Z"
PLACES = ("/api/v1/peers", "/api/v1/parcels")
OF_A_PLAN = ("/sync", "/conflicts", "/conflicts/{conflict_id}", "/other-revisions/{sha256}")


def is_about_parcels(path: str) -> bool:
    """Return whether a place is one of those here."""
    return path.startswith(PLACES) or path.endswith(OF_A_PLAN)


def ask_by_example(method: str, path: str, value: Any) -> httpx.Response:
    """Send the example of a place to a side in which all is kept that it speaks of."""
    if path.startswith("/api/v1/parcels"):
        return _sent_ashore(method, path, value)
    side = Side(None, "Sample coaster 84", "ship")
    if path == "/api/v1/peers" or path.startswith("/api/v1/peers/self"):
        return side.send(method, path, json=value)
    values = known_of(side)
    return side.send(method, path.format(**values), **({} if value is None else {"json": value}))


def known_of(side: Side) -> dict[str, Any]:
    """Keep a peer, a parcel for it, something new since, and a conflict; return their names."""
    peer = side.send("POST", "/api/v1/peers", json=EXAMPLES["PeerIn"]).json()["id"]
    plan_id = keep_plan(side)
    offer(side, plan_id)
    body = {"plans": [plan_id], "by": MATE}
    assert side.send("POST", f"/api/v1/peers/{peer}/parcels", json=body).status_code == 201
    edit(side, plan_id, limits={"min_clearance_m": 500.0})
    offer(side, plan_id)
    with side.store.writing() as unit:
        row = unit.plans.get(plan_id)
        digest = unit.blobs.put(b'{"number":1}')
        other = CarriedRevision(
            number=1, sha256=digest, inputs_sha256="0" * 64, engine_version="0", created_utc=NOW
        )
        unit.carried.add_other(plan_id, other, peer)
        found = {"id": "revision-1-a-b", "what": "revision", "words": "both kept", "other": digest}
        unit.record.add(row, 1, "conflict_found", Person(), found, NOW)
    return {
        "peer_id": peer,
        "sequence": 1,
        "plan_id": plan_id,
        "conflict_id": "revision-1-a-b",
        "sha256": digest,
    }


def _sent_ashore(method: str, path: str, value: Any) -> httpx.Response:
    """Send a parcel of a ship to a shore office, whole or in its one chunk."""
    sides = two_sides()
    plan_id = keep_plan(sides.ship)
    offer(sides.ship, plan_id)
    body = sides.ship.parcel(sides.shore, plan_id)
    shore, uploads = sides.shore, "/api/v1/parcels/uploads"
    digest = hashlib.sha256(body).hexdigest()
    if path == "/api/v1/parcels":
        return shore.take(body)
    if path == uploads:
        return shore.send(method, path, json=value)
    begun = shore.send("POST", uploads, json={"size_count": len(body), "sha256": digest})
    assert begun.json()["chunks_count"] == 1
    headers = {
        "Content-Type": MEDIA_TYPE,
        "Content-Digest": f"sha-256=:{base64.b64encode(bytes.fromhex(digest)).decode()}:",
    }
    chunk = f"{uploads}/{digest}/chunks/0"
    put = shore.send("PUT", chunk, content=body, headers=headers)
    place = path.format(upload_id=digest, number=0)
    return put if place == chunk else shore.send(method, place)
