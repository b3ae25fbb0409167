"""Clocks of ship and shore that are apart are told of; nothing hangs on them (S10)."""

from collections.abc import Callable
from datetime import UTC, datetime, timedelta

import pytest

from tests.api.sides import Side, Sides, edit, keep_plan, offer, two_sides
from wheelover.usecases.clock import now_utc
from wheelover.usecases.parcels.clocks import date_of, skew_of_date_s


def shifted(seconds: float) -> Callable[[], str]:
    """Return a clock that is so many seconds off."""

    def clock() -> str:
        told = datetime.now(UTC) + timedelta(seconds=seconds)
        return told.isoformat(timespec="milliseconds").replace("+00:00", "Z")

    return clock


def set_clock(side: Side, seconds: float) -> None:
    side.app.state.clock = shifted(seconds)


@pytest.fixture
def sides() -> Sides:
    return two_sides()


def clock_of(here: Side, there: Side) -> dict[str, object] | None:
    found = here.get(f"/api/v1/peers/{there.id}").json()["clock"]
    return None if found is None else dict(found)


@pytest.mark.parametrize(("seconds", "told"), [(0, False), (100, False), (140, True), (3600, True)])
def test_a_parcel_from_the_future_tells_of_its_makers_clock(
    sides: Sides, seconds: int, told: bool
) -> None:
    plan_id = keep_plan(sides.ship)
    offer(sides.ship, plan_id)
    set_clock(sides.ship, seconds)
    taken = sides.shore.taken(sides.ship.parcel(sides.shore, plan_id))
    found = clock_of(sides.shore, sides.ship)
    log = [one for one in sides.shore.audit(sides.vessel_id) if one["what"] == "clock.skew"]
    assert taken["state"] == "taken"
    if not told:
        assert (found, taken["clock_skew_s"], log) == (None, None, [])
        return
    assert found is not None
    assert abs(int(str(found["skew_s"])) - seconds) < 30
    assert "ahead of the one here" in str(found["words"])
    assert taken["clock_skew_s"] == found["skew_s"]
    assert [(one["skew_s"], one["seen_in"]) for one in log] == [(found["skew_s"], "parcel 1")]


def test_a_parcel_made_before_the_one_it_answers_tells_of_a_clock_that_is_behind(
    sides: Sides,
) -> None:
    plan_id = keep_plan(sides.ship)
    offer(sides.ship, plan_id)
    set_clock(sides.shore, -7200)
    sides.shore.taken(sides.ship.parcel(sides.shore, plan_id))
    sides.ship.taken(sides.shore.parcel(sides.ship))
    found = clock_of(sides.ship, sides.shore)
    assert found is not None
    assert -7230 < int(str(found["skew_s"])) < -7100
    assert "behind the one here" in str(found["words"])
    set_clock(sides.shore, 0)
    edit(sides.ship, plan_id, limits={"min_clearance_m": 900.0})
    offer(sides.ship, plan_id)
    sides.shore.taken(sides.ship.parcel(sides.shore))
    sides.ship.taken(sides.shore.parcel(sides.ship))
    assert clock_of(sides.ship, sides.shore) is None
    log = [one for one in sides.ship.audit() if one["what"] == "clock.skew"]
    assert [one["skew_s"] is None for one in log] == [True, False], "it ended, newest first"


def test_the_same_notice_is_written_once(sides: Sides) -> None:
    plan_id = keep_plan(sides.ship)
    set_clock(sides.ship, 600)
    for metres in (800.0, 900.0, 950.0):
        edit(sides.ship, plan_id, limits={"min_clearance_m": metres})
        offer(sides.ship, plan_id)
        sides.shore.taken(sides.ship.parcel(sides.shore, plan_id))
    log = [one for one in sides.shore.audit(sides.vessel_id) if one["what"] == "clock.skew"]
    assert len(log) == 1


def test_a_header_date() -> None:
    now = now_utc()
    assert abs(skew_of_date_s(date_of(now), now) or 0) <= 1
    assert skew_of_date_s("Thu, 26 Nov 2026 08:05:00 GMT", "2026-11-26T08:00:00.000Z") == 300
    for nothing in (None, "", "soon", "Thu, 99 Nov 2026 08:05:00 GMT"):
        assert skew_of_date_s(nothing, now) is None


def test_the_one_who_brings_a_parcel_over_the_link_says_its_time(sides: Sides) -> None:
    """With the parcel in chunks goes the time; a request without it says nothing."""
    import base64  # noqa: PLC0415
    import hashlib  # noqa: PLC0415

    from wheelover.formats.parcel import MEDIA_TYPE  # noqa: PLC0415

    plan_id = keep_plan(sides.ship)
    offer(sides.ship, plan_id)
    body = sides.ship.parcel(sides.shore, plan_id)
    digest = hashlib.sha256(body)
    start = {"size_count": len(body), "sha256": digest.hexdigest()}
    assert sides.shore.send("POST", "/api/v1/parcels/uploads", json=start).status_code == 201
    place = f"/api/v1/parcels/uploads/{digest.hexdigest()}"
    assert len(body) < 65536
    headers = {
        "Content-Type": MEDIA_TYPE,
        "Content-Digest": f"sha-256=:{base64.b64encode(digest.digest()).decode()}:",
    }
    kept = sides.shore.send("PUT", f"{place}/chunks/0", content=body, headers=headers)
    assert kept.status_code == 200, kept.text
    late = date_of(shifted(-900)())
    done = sides.shore.send("POST", f"{place}/finish", headers={"Date": late})
    assert done.status_code == 200, done.text
    found = clock_of(sides.shore, sides.ship)
    assert found is not None
    assert abs(int(str(found["skew_s"])) + 900) < 30
