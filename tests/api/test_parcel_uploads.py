"""A parcel in chunks: in any order, again, and going on after the link dropped."""

import base64
import hashlib
from collections.abc import Iterator
from typing import Any

import httpx
import pytest

from tests.api.sides import Side, Sides, keep_plan, offer, two_sides
from wheelover.formats.parcel import MEDIA_TYPE

UPLOADS = "/api/v1/parcels/uploads"
CHUNK_COUNT = 64 * 1024


@pytest.fixture
def sides(store_url: str) -> Iterator[Sides]:
    """Give a ship, whose store is a file, and a shore office on each engine in turn."""
    both = two_sides(shore_url=store_url)
    yield both
    both.ship.store.close()
    both.shore.store.close()


def large_parcel(sides: Sides) -> bytes:
    """Return a parcel of several chunks."""
    rocks = [
        {
            "type": "Feature",
            "geometry": {
                "type": "Point",
                "coordinates": [
                    round(-5 + (n * 7919 % 100_003) / 1e4, 6),
                    round(-5 + (n * 104_729 % 100_019) / 1e4, 6),
                ],
            },
            "properties": {"id": f"r{n}-{hashlib.sha256(str(n).encode()).hexdigest()[:24]}"},
        }
        for n in range(9_000)
    ]
    body = {"name": "Many", "hazards": {"type": "FeatureCollection", "features": rocks}}
    dangers = sides.ship.send("POST", "/api/v1/hazard-sets", json=body)
    assert dangers.status_code == 201, dangers.text
    plan_id = keep_plan(sides.ship, hazard_set_ids=[dangers.json()["id"]])
    offer(sides.ship, plan_id)
    return sides.ship.parcel(sides.shore, plan_id)


def begin(side: Side, body: bytes) -> dict[str, Any]:
    digest = hashlib.sha256(body).hexdigest()
    begun = side.send("POST", UPLOADS, json={"size_count": len(body), "sha256": digest})
    assert begun.status_code == 201, begun.text
    return dict(begun.json())


def put(side: Side, upload: str, number: int, chunk: bytes, **headers: str) -> httpx.Response:
    digest = base64.b64encode(hashlib.sha256(chunk).digest()).decode()
    sent = {"Content-Type": MEDIA_TYPE, "Content-Digest": f"sha-256=:{digest}:", **headers}
    return side.send("PUT", f"{UPLOADS}/{upload}/chunks/{number}", content=chunk, headers=sent)


def chunk_of(body: bytes, number: int) -> bytes:
    return body[number * CHUNK_COUNT : (number + 1) * CHUNK_COUNT]


def test_chunks_come_in_any_order_and_more_than_once(sides: Sides) -> None:
    body = large_parcel(sides)
    upload = begin(sides.shore, body)
    count = upload["chunks_count"]
    assert count >= 3
    assert upload["missing"] == list(range(count))
    order = [*reversed(range(count)), 0, count - 1, 0]
    for number in order[:-4]:
        assert put(sides.shore, upload["id"], number, chunk_of(body, number)).status_code == 200
    early = sides.shore.send("POST", f"{UPLOADS}/{upload['id']}/finish")
    assert early.status_code == 409
    # The link drops here; the other side asks again what is missing.
    again = begin(sides.shore, body)
    assert again["missing"] == [0]
    assert sides.shore.get(f"{UPLOADS}/{upload['id']}").json()["missing"] == [0]
    for number in order[-4:]:
        assert put(sides.shore, upload["id"], number, chunk_of(body, number)).status_code == 200
    done = sides.shore.send("POST", f"{UPLOADS}/{upload['id']}/finish")
    assert done.json()["state"] == "taken"
    # The answer was lost: finishing and beginning again change nothing.
    lost = sides.shore.send("POST", f"{UPLOADS}/{upload['id']}/finish")
    assert lost.json()["state"] == "already_taken"
    assert begin(sides.shore, body)["state"] == "already_taken"
    assert sides.shore.get(f"{UPLOADS}/{upload['id']}").status_code == 404


def test_a_chunk_is_held_against_its_digest_number_and_length(sides: Sides) -> None:
    body = large_parcel(sides)
    upload = begin(sides.shore, body)["id"]
    first, last = chunk_of(body, 0), len(body) // CHUNK_COUNT
    wrong = base64.b64encode(bytes(32)).decode()
    bad = put(sides.shore, upload, 0, first, **{"Content-Digest": f"sha-256=:{wrong}:"})
    assert bad.status_code == 422
    for header in ("", "md5=:x:", "sha-256=:AAAA:", "sha-256=:" + "=" * 44 + ":"):
        answer = put(sides.shore, upload, 0, first, **{"Content-Digest": header})
        assert answer.status_code == 422
    assert put(sides.shore, upload, 0, first[:-1]).status_code == 422
    assert put(sides.shore, upload, last + 1, first).status_code == 422
    assert put(sides.shore, upload, last, first).status_code == 422
    assert put(sides.shore, "0" * 64, 0, first).status_code == 404
    text = put(sides.shore, upload, 0, first, **{"Content-Type": "text/plain"})
    assert text.status_code == 415
    assert sides.shore.get(f"{UPLOADS}/{upload}").json()["missing"] == list(range(last + 1))


def test_chunks_that_make_another_whole_are_refused_and_gone(sides: Sides) -> None:
    body = large_parcel(sides)
    upload = begin(sides.shore, body)
    for number in range(upload["chunks_count"]):
        chunk = chunk_of(body, number)
        put(sides.shore, upload["id"], number, chunk if number else bytes(len(chunk)))
    answer = sides.shore.send("POST", f"{UPLOADS}/{upload['id']}/finish")
    assert answer.status_code == 422
    assert sides.shore.audit()[0]["what"] == "parcel.refused"
    assert sides.shore.get(f"{UPLOADS}/{upload['id']}").status_code == 404
    assert sides.shore.get("/api/v1/plans").json()["items"] == []


def test_an_upload_is_of_one_size_and_not_too_large(sides: Sides) -> None:
    digest = "a" * 64
    body = {"size_count": 10, "sha256": digest}
    assert sides.shore.send("POST", UPLOADS, json=body).status_code == 201
    other = sides.shore.send("POST", UPLOADS, json={**body, "size_count": 11})
    assert other.status_code == 409
    large = {"size_count": 50 * 1024 * 1024 + 1, "sha256": digest}
    assert sides.shore.send("POST", UPLOADS, json=large).status_code == 422
    for number in range(4):
        size_count = 50 * 1024 * 1024
        begun = {"size_count": size_count, "sha256": f"{number:064d}"}
        answer = sides.shore.send("POST", UPLOADS, json=begun)
        assert answer.status_code == (201 if number < 3 else 409)


def test_uploads_that_nobody_finished_are_forgotten_after_a_week(sides: Sides) -> None:
    from wheelover.usecases.parcels.uploading import begin_upload, upload_of  # noqa: PLC0415

    begin_upload(sides.shore.store, 10, "a" * 64, "2026-11-01T00:00:00.000Z")
    begin_upload(sides.shore.store, 10, "b" * 64, "2026-11-07T00:00:00.000Z")
    assert upload_of(sides.shore.store, "a" * 64)["missing"] == [0]
    begin_upload(sides.shore.store, 10, "c" * 64, "2026-11-09T00:00:00.000Z")
    assert sides.shore.get(f"{UPLOADS}/{'a' * 64}").status_code == 404
    assert sides.shore.get(f"{UPLOADS}/{'b' * 64}").status_code == 200


def test_a_whole_parcel_over_the_limit_is_not_read(sides: Sides) -> None:
    headers = {"Content-Type": MEDIA_TYPE, "Content-Length": str(50 * 1024 * 1024 + 1)}
    answer = sides.shore.send("POST", "/api/v1/parcels", content=b"", headers=headers)
    assert answer.status_code == 413
