"""Offering, approving, lapsing: an approval is of exactly what was read, and of nothing later.

What a plan must carry is from SOLAS V/34 and V/34-1, STCW A-VIII/2 and IMO A.893(21) (approval by
the master, courses verified, changes recorded); the states are this project's own.
"""

from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest

from tests.api.conftest import Client
from tests.api.keeping import SHIP, act, hazards, moved, post, put, stored_plan
from tests.api.record_keeping import (
    MASTER,
    NAVIGATOR,
    WATCH,
    approve,
    decide,
    edit,
    offer,
    record,
)
from tests.reasons import reasons_for
from wheelover.api.routers.plans import compute_document
from wheelover.usecases import changes, recompute
from wheelover.usecases.audit import verify

NOW = "2026-11-26T12:00:00.000Z"


@pytest.fixture
def client(stored_client: Client) -> Client:
    return stored_client


def test_an_offer_is_a_frozen_revision_with_its_author(client: Client) -> None:
    place, _ = stored_plan(client)
    assert client.get(place).json()["state"] == "draft"
    assert offer(client, place) == 1
    found = record(client, place, 1)
    assert (found["state"], found["counts_as_approved"]) == ("offered", False)
    assert found["author"] == {**NAVIGATOR, "account_id": None, "claimed": True}
    assert found["sha256"] == client.get(f"{place}/revisions/1").json()["sha256"]
    assert client.get(place).json()["state"] == "offered"


def test_an_approval_needs_a_reason_for_every_open_item(client: Client) -> None:
    place, _ = stored_plan(client)
    offer(client, place)
    open_items = record(client, place, 1)["open_items"]
    assert {one["kind"] for one in open_items} >= {"not_checked"}
    refused = decide(client, place, 1, "approve")
    assert refused.status_code == 409
    said = [one["message"] for one in refused.json()["errors"]]
    assert [one["id"] for one in open_items] == [one.split(": ")[0] for one in said]
    half = [{"items": [open_items[0]["id"]], "words": "one of them"}]
    left = decide(client, place, 1, "approve", reasons=half).json()["errors"]
    assert len(left) == len(open_items) - 1
    nothing = [{"items": ["no/such/finding"], "words": "x"}]
    unknown = decide(client, place, 1, "approve", reasons=nothing)
    assert unknown.status_code == 422
    assert unknown.json()["errors"][0]["pointer"] == "/reasons/0/items"
    assert record(client, place, 1)["state"] == "offered"


@pytest.mark.parametrize("tag", ["*", " * ", "W/*", "*, *", ""])
def test_nothing_is_changed_or_decided_that_nobody_says_was_read(client: Client, tag: str) -> None:
    """RFC 9110, 13.1.1: ``*`` holds for whatever there is; here only what was read is decided."""
    place, _ = stored_plan(client)
    offer(client, place)
    at, by = f"{place}/revisions/1", {"by": MASTER}
    before = [client.get(one).text for one in (place, f"{at}/record")]
    for method, path, body in (
        ("PUT", place, client.get(place).json()["inputs"]),
        ("POST", f"{place}/undo", None),
        ("POST", f"{place}/redo", None),
        ("POST", f"{place}/revisions", by),
        *(
            ("POST", f"{at}/decisions", {"kind": kind, **by})
            for kind in ("approve", "return", "take_into_use", "close")
        ),
        ("POST", f"{at}/checks", by),
        ("POST", f"{at}/sign-offs", by),
        ("POST", f"{at}/verified-courses", {"to_id": "B", **by}),
        ("POST", f"{at}/shore-decisions", {"kind": "agree", **by}),
    ):
        more = {} if body is None else {"json": body}
        answer = client.send(method, path, headers={"If-Match": tag}, **more)
        assert answer.status_code == 422, (method, path, answer.text)
        assert answer.json()["type"] == "/problems/invalid-if-match", path
    assert [client.get(one).text for one in (place, f"{at}/record")] == before


def test_one_reason_serves_items_of_one_cause_alone(client: Client) -> None:
    place, _ = stored_plan(client)
    offer(client, place)
    open_items = record(client, place, 1)["open_items"]
    causes = {one["cause"] for one in open_items}
    codes = {one["id"]: one["code"] for one in client.get(f"{place}/computed").json()["findings"]}
    assert causes == {codes[one["id"]] for one in open_items}
    assert len(causes) > 1
    all_in_one = [{"items": [one["id"] for one in open_items], "words": "all is well"}]
    refused = decide(client, place, 1, "approve", reasons=all_in_one)
    assert refused.status_code == 422
    (fault,) = refused.json()["errors"]
    assert fault["pointer"] == "/reasons/0/items"
    assert all(one in fault["message"] for one in causes)
    assert record(client, place, 1)["state"] == "offered"
    by_cause = approve(client, place, 1)["approval"]["reasons"]
    assert len(by_cause) == len(causes)


def test_an_approval_binds_to_the_hash_that_was_read(client: Client) -> None:
    place, _ = stored_plan(client)
    offer(client, place)
    tag = client.get(f"{place}/revisions/1").headers["etag"]
    missing = post(client, f"{place}/revisions/1/decisions", {"kind": "approve", "by": MASTER})
    assert missing.status_code == 428
    assert decide(client, place, 1, "approve", tag='"' + "0" * 64 + '"').status_code == 412
    blind = decide(client, place, 1, "approve", tag="*")
    assert blind.status_code == 422
    assert blind.json()["type"] == "/problems/invalid-if-match"
    assert "read" in blind.json()["detail"]
    found = approve(client, place, 1)
    assert found["counts_as_approved"] is True
    assert f'"{found["approval"]["sha256"]}"' == tag
    assert found["approval"]["by"] == {**MASTER, "account_id": None, "claimed": True}
    words = [one["words"] for one in found["approval"]["reasons"]]
    assert set(words) == {"known, and looked at"}
    listed = client.get("/api/v1/plans").json()["items"][0]
    assert (listed["state"], listed["approved_revision"], listed["approval_stands"]) == (
        "approved",
        1,
        True,
    )


def test_a_name_is_needed_to_decide(client: Client) -> None:
    place, _ = stored_plan(client)
    offer(client, place)
    tag = client.get(f"{place}/revisions/1").headers["etag"]
    body = {"kind": "approve", "words": ""}
    answer = post(client, f"{place}/revisions/1/decisions", body, **{"If-Match": tag})
    assert answer.status_code == 422
    assert answer.json()["errors"][0]["pointer"] == "/by"


def _mutations() -> dict[str, Callable[[dict[str, Any]], dict[str, Any]]]:
    """Return one change of every part of the inputs, by what it changes."""

    def waypoint(member: str, value: Any) -> Callable[[dict[str, Any]], dict[str, Any]]:
        def change(inputs: dict[str, Any]) -> dict[str, Any]:
            points = [dict(one) for one in inputs["route"]["waypoints"]]
            points[1][member] = value
            return {**inputs, "route": {**inputs["route"], "waypoints": points}}

        return change

    def ship(member: str, value: Any) -> Callable[[dict[str, Any]], dict[str, Any]]:
        return lambda inputs: {**inputs, "ship": {**inputs["ship"], member: value}}

    return {
        "position": lambda inputs: moved(inputs, 1, 0.001),
        "name of a waypoint": waypoint("name", "another"),
        "radius": waypoint("turn_radius_nm", 0.61),
        "leg": waypoint("leg", {"speed_kn": 9.5}),
        "wheel-over": waypoint("wheel_over", {"distance_nm": 0.7}),
        "turn": waypoint("turn", {"set_deg": 10.0, "drift_kn": 1.0}),
        "name of the route": lambda i: {**i, "route": {**i["route"], "name": "another"}},
        "beam": ship("beam_m", 33.0),
        "draught": ship("draught_aft_m", 10.5),
        "reach": ship("reach_s", 20.0),
        "dangers": lambda i: {**i, "hazards": hazards((10.0, 10.0))},
        "limits": lambda i: {**i, "limits": {"min_clearance_m": 812.0}},
        "conditions": lambda i: {**i, "conditions": {"set_deg": 1.0, "drift_kn": 0.1}},
        "land check": lambda i: {**i, "check_land": True},
        "departure": lambda i: {**i, "departure_utc": "2026-12-01T00:00:00Z"},
        "alternatives": lambda i: {**i, "alternatives": [{"id": "n", "route": i["route"]}]},
        "cases": lambda i: {
            **i,
            "cases": [
                {
                    "name": "slow",
                    "waypoint_id": i["route"]["waypoints"][1]["id"],
                    "tried": {"speed_kn": 8.0},
                }
            ],
        },
    }


@pytest.mark.parametrize("part", _mutations())
def test_any_change_of_the_inputs_makes_the_approval_lapse(client: Client, part: str) -> None:
    place, answer = stored_plan(client)
    offer(client, place)
    approve(client, place, 1)
    before = client.get(f"{place}/revisions/1").content
    changed = put(
        client,
        place,
        _mutations()[part](answer.json()["inputs"]),
        client.get(place).headers["etag"],
    )
    assert changed.status_code == 200, changed.text
    assert (changed.json()["approval_stands"], changed.json()["approved_revision"]) == (False, 1)
    found = record(client, place, 1)
    assert (found["state"], found["counts_as_approved"]) == ("approved", False)
    assert found["approval"]["stands"] is False
    mark = found["marks"][0]
    assert (mark["mark"], mark["id"]) == ("inputs_changed_since", mark["id"])
    assert mark["words"]
    assert client.get(f"{place}/revisions/1").content == before


def test_the_same_inputs_again_change_nothing(client: Client) -> None:
    place, answer = stored_plan(client)
    offer(client, place)
    approve(client, place, 1)
    assert put(client, place, answer.json()["inputs"], client.get(place).headers["etag"])
    assert record(client, place, 1)["counts_as_approved"] is True


def test_a_change_taken_back_leaves_the_approval_lapsed_until_the_master_decides_again(
    client: Client,
) -> None:
    place, answer = stored_plan(client)
    offer(client, place)
    approve(client, place, 1)
    changed = put(
        client, place, moved(answer.json()["inputs"], 1, 0.01), client.get(place).headers["etag"]
    )
    assert act(client, f"{place}/undo", changed.headers["etag"]).status_code == 200
    found = record(client, place, 1)
    assert found["counts_as_approved"] is False
    asked = [one for one in found["open_items"] if one["kind"] == "changed"]
    assert [one["id"].partition("@")[0] for one in asked] == ["changed/inputs"]
    without = [one["id"] for one in found["open_items"] if one["kind"] != "changed"]
    reasons = [{"items": [one], "words": "as before"} for one in without]
    refused = decide(client, place, 1, "approve", reasons=reasons)
    assert refused.status_code == 409
    assert "changed/inputs" in refused.json()["errors"][0]["message"]
    again = approve(client, place, 1)
    assert again["counts_as_approved"] is True
    assert len([one for one in again["decisions"] if one["kind"] == "approved"]) == 2


def test_a_step_back_to_what_is_approved_leaves_the_approval(client: Client) -> None:
    place, _ = stored_plan(client)
    offer(client, place)
    approve(client, place, 1)
    edit(client, place, limits={"min_clearance_m": 900.0})
    assert approve(client, place, 1)["counts_as_approved"] is True
    undone = act(client, f"{place}/undo", client.get(place).headers["etag"])
    assert undone.status_code == 200
    found = record(client, place, 1)
    assert (found["counts_as_approved"], found["marks"]) == (True, [])
    assert undone.json()["approval_stands"] is True
    act(client, f"{place}/redo", undone.headers["etag"])
    assert record(client, place, 1)["counts_as_approved"] is False


def test_a_reason_does_not_answer_a_change_that_was_not_read(client: Client) -> None:
    place, answer = stored_plan(client)
    offer(client, place)
    approve(client, place, 1)
    edit(client, place, limits={"min_clearance_m": 900.0})
    first = client.get(f"{place}/revisions/1/record")
    reasons = reasons_for(first.json()["open_items"], "only the limits")
    edit(client, place, route=moved(answer.json()["inputs"], 1, 0.05)["route"])
    later = client.get(f"{place}/revisions/1/record")
    assert later.headers["etag"] != first.headers["etag"]
    refused = decide(client, place, 1, "approve", reasons=reasons)
    assert refused.status_code == 422
    assert "no open item" in refused.json()["detail"]
    assert record(client, place, 1)["counts_as_approved"] is False
    assert approve(client, place, 1)["counts_as_approved"] is True


def test_a_later_edition_is_another_difference(client: Client) -> None:
    place, _, kept = _with_stored(client)
    near = (47.1, -29.97)
    body = {"name": "zoo set", "hazards": hazards(near, (47.12, -29.98))}
    put(client, kept, body, client.get(kept).headers["etag"])
    reasons = reasons_for(record(client, place, 1)["open_items"], "one rock, seen")
    body = {"name": "zoo set", "hazards": hazards(near, (47.12, -29.98), (47.13, -29.99))}
    put(client, kept, body, client.get(kept).headers["etag"])
    assert decide(client, place, 1, "approve", reasons=reasons).status_code == 422
    assert approve(client, place, 1)["counts_as_approved"] is True
    assert decide(client, place, 1, "take_into_use").status_code == 201


def _with_stored(client: Client) -> tuple[str, str, str]:
    """Keep an approved plan of a stored ship and hazard set; return the places of all three."""
    ship = post(client, "/api/v1/ships", SHIP).headers["location"]
    dangers = {"name": "zoo set", "hazards": hazards((47.1, -29.97), (-60.0, 100.0))}
    kept = post(client, "/api/v1/hazard-sets", dangers).headers["location"]
    place, _ = stored_plan(
        client,
        ship=None,
        hazards=None,
        ship_id=ship.rpartition("/")[2],
        hazard_set_ids=[kept.rpartition("/")[2]],
    )
    offer(client, place)
    approve(client, place, 1)
    return place, ship, kept


def test_a_new_edition_of_the_ship_makes_the_approval_lapse(client: Client) -> None:
    place, ship, _ = _with_stored(client)
    tag = client.get(ship).headers["etag"]
    assert put(client, ship, {**SHIP, "beam_m": 33.5}, tag).status_code == 200
    found = record(client, place, 1)
    assert found["counts_as_approved"] is False
    assert found["lapses"][0]["words"].endswith("edition 1 to 2. beam: 32 to 33.5 m")
    assert client.get(place).json()["approval_stands"] is False


@pytest.mark.parametrize(
    ("places", "stands", "said"),
    [
        (((47.1, -29.97), (-60.0, 100.0), (47.12, -29.98)), False, "1 dangers differ near"),
        (((-60.0, 100.0),), False, "rock-0"),
        (((47.1, -29.97), (-60.0, 101.0)), True, "none where this track looks"),
    ],
)
def test_a_new_edition_of_a_hazard_set_counts_where_it_touches_the_track(
    client: Client, places: tuple[tuple[float, float], ...], stands: bool, said: str
) -> None:
    place, _, kept = _with_stored(client)
    body = {"name": "zoo set", "hazards": hazards(*places)}
    assert put(client, kept, body, client.get(kept).headers["etag"]).status_code == 200
    found = record(client, place, 1)
    assert found["counts_as_approved"] is stands
    told = found["notes"] if stands else found["lapses"]
    assert said in told[0]["words"]
    assert client.get(place).json()["approval_stands"] is stands


def test_what_changed_between_offer_and_approval_needs_a_reason_too(client: Client) -> None:
    place, answer = stored_plan(client)
    offer(client, place)
    edit(client, place, route=moved(answer.json()["inputs"], 1, 0.01)["route"])
    asked = [one["id"] for one in record(client, place, 1)["open_items"]]
    assert "changed/inputs" in [one.partition("@")[0] for one in asked]


def test_the_demonstration_is_never_approved(client: Client) -> None:
    place, _ = stored_plan(client, demonstration=True)
    offer(client, place)
    refused = decide(client, place, 1, "approve")
    assert refused.status_code == 409
    assert "demonstration" in refused.json()["detail"]


def test_a_second_person_is_not_the_author(client: Client) -> None:
    place, _ = stored_plan(client)
    offer(client, place)
    checks = f"{place}/revisions/1/checks"
    own = post(client, checks, {"by": {"name": " a.  BERG ", "rank": "chief mate"}, "words": ""})
    assert own.status_code == 403
    assert own.json()["type"] == "/problems/not-allowed"
    made = post(client, checks, {"by": WATCH, "words": "WPT 02 by hand: 0.30 NM"})
    assert made.status_code == 201
    assert made.json()["checks"][0]["by"]["name"] == "L. Vik"
    offer(client, place, by=None)
    unknown = post(client, f"{place}/revisions/2/checks", {"by": WATCH, "words": ""})
    assert unknown.status_code == 409


def test_the_watch_signs_and_verifies_an_approved_revision_only(client: Client) -> None:
    place, answer = stored_plan(client)
    offer(client, place)
    signs, courses = f"{place}/revisions/1/sign-offs", f"{place}/revisions/1/verified-courses"
    ids = [one["id"] for one in answer.json()["inputs"]["route"]["waypoints"]]
    assert post(client, signs, {"by": WATCH}).status_code == 409
    assert post(client, courses, {"by": WATCH, "to_id": ids[1]}).status_code == 409
    approve(client, place, 1)
    assert post(client, signs, {"by": WATCH}).status_code == 201
    assert post(client, signs, {"by": WATCH}).status_code == 409
    verified = post(client, courses, {"by": WATCH, "to_id": ids[1]})
    frozen = client.get(f"{place}/revisions/1").json()["result"]["legs"][0]
    told = verified.json()["verified_courses"][0]
    assert (told["from_id"], told["to_id"]) == (ids[0], ids[1])
    assert told["course_deg"] == frozen["course_deg"]
    assert post(client, courses, {"by": WATCH, "to_id": ids[0]}).status_code == 422


@pytest.mark.parametrize("in_use", [False, True])
def test_nobody_signs_for_an_approval_that_lapsed(client: Client, in_use: bool) -> None:
    place, answer = stored_plan(client)
    offer(client, place)
    approve(client, place, 1)
    if in_use:
        assert decide(client, place, 1, "take_into_use").status_code == 201
    edit(client, place, limits={"min_clearance_m": 900.0})
    course = {"by": WATCH, "to_id": answer.json()["inputs"]["route"]["waypoints"][1]["id"]}
    for name, body in (("sign-offs", {"by": WATCH}), ("verified-courses", course)):
        refused = post(client, f"{place}/revisions/1/{name}", body)
        assert refused.status_code == 409, name
        assert "not counted as approved" in refused.json()["detail"]
    approve(client, place, 1)
    for name, body in (("sign-offs", {"by": WATCH}), ("verified-courses", course)):
        assert post(client, f"{place}/revisions/1/{name}", body).status_code == 201, name


def test_actual_times_and_remarks_never_change_the_revision(client: Client) -> None:
    place, answer = stored_plan(client)
    offer(client, place)
    approve(client, place, 1)
    before = client.get(f"{place}/revisions/1").content
    log = f"{place}/revisions/1/log"
    first = answer.json()["inputs"]["route"]["waypoints"][0]["id"]
    line = {"waypoint_id": first, "actual_utc": "2024-11-26T04:12:00Z", "by": WATCH}
    assert post(client, log, line).status_code == 201
    kept = post(client, log, {"words": "reduced to 8 kn, fog", "by": WATCH}).json()
    assert [one["kind"] for one in kept["log"]] == ["actual", "remark"]
    assert kept["counts_as_approved"] is True
    assert client.get(f"{place}/revisions/1").content == before
    printed = _standing(client, place)
    assert any(one.startswith("Prepared and offered by ") for one in printed)
    logged = [one for one in printed if ", kept by " in one]
    assert logged[0].startswith(f"Actual time at {first}, kept by ")
    assert logged[0].endswith(": 2024-11-26T04:12:00Z.")
    assert logged[1].startswith("Remark, kept by ")
    assert logged[1].endswith(": reduced to 8 kn, fog")
    for wrong in (
        {"by": WATCH},
        {"by": WATCH, "actual_utc": "2024-11-26T04:12:00Z"},
        {"by": WATCH, "words": "x", "waypoint_id": "nowhere"},
        {**line, "actual_utc": "2099-01-01T00:00:00Z"},
        {**line, "actual_utc": _from_now(180.0)},
    ):
        assert post(client, log, wrong).status_code == 422
    assert post(client, log, {**line, "actual_utc": _from_now(60.0)}).status_code == 201


def _from_now(seconds: float) -> str:
    """Return the time in some seconds."""
    return (datetime.now(UTC) + timedelta(seconds=seconds)).isoformat().replace("+00:00", "Z")


def test_the_moves_of_a_revision(client: Client) -> None:
    place, _ = stored_plan(client)
    offer(client, place)
    assert decide(client, place, 1, "take_into_use").status_code == 409
    assert decide(client, place, 1, "return").status_code == 422
    returned = decide(client, place, 1, "return", words="Wider at WPT 02.")
    assert returned.json()["state"] == "returned"
    edit(client, place, limits={"min_clearance_m": 900.0})
    offer(client, place)
    approve(client, place, 2)
    assert decide(client, place, 2, "approve").status_code == 409
    assert decide(client, place, 2, "take_into_use").json()["state"] == "in_use"
    edit(client, place, limits={"min_clearance_m": 901.0})
    shown = client.get("/api/v1/plans").json()["items"][0]
    assert (shown["in_use_revision"], shown["approval_stands"]) == (2, False)
    offer(client, place)
    approve(client, place, 3)
    assert record(client, place, 2)["state"] == "in_use"
    decide(client, place, 3, "take_into_use")
    assert record(client, place, 2)["state"] == "closed"
    assert record(client, place, 3)["state"] == "in_use"
    assert decide(client, place, 3, "close").json()["state"] == "closed"
    assert decide(client, place, 3, "close").status_code == 409


def test_a_lapsed_approval_is_not_taken_into_use(client: Client) -> None:
    place, _ = stored_plan(client)
    offer(client, place)
    approve(client, place, 1)
    edit(client, place, limits={"min_clearance_m": 900.0})
    refused = decide(client, place, 1, "take_into_use")
    assert refused.status_code == 409
    assert "inputs changed since" in refused.json()["detail"]


def test_a_plan_is_amended_from_where_the_ship_is(client: Client) -> None:
    place, answer = stored_plan(client)
    ids = [one["id"] for one in answer.json()["inputs"]["route"]["waypoints"]]
    body = {
        "reason": "fishing fleet",
        "lat_deg": 47.0,
        "lon_deg": -30.01,
        "next_waypoint_id": ids[1],
    }
    tag = {"If-Match": answer.headers["etag"]}
    assert post(client, f"{place}/amendments", body, **tag).status_code == 409
    offer(client, place)
    approve(client, place, 1)
    tag = {"If-Match": client.get(place).headers["etag"]}
    made = post(client, f"{place}/amendments", {**body, "kind": "pilot"}, **tag)
    assert made.status_code == 201, made.text
    inputs = made.json()["inputs"]
    assert [one["id"] for one in inputs["route"]["waypoints"]] == ["AMEND-1", *ids[1:]]
    assert inputs["amendment"]["of_revision"] == 1
    label = made.json()["steps"][0]["label"]
    assert label == "Amended by the pilot's intentions: fishing fleet; left behind: waypoint A"
    assert made.json()["approval_stands"] is False
    offer(client, place)
    frozen = client.get(f"{place}/revisions/2").json()["inputs"]["amendment"]
    assert (frozen["kind"], frozen["reason"]) == ("pilot", "fishing fleet")
    stale = post(client, f"{place}/amendments", body, **tag)
    assert stale.status_code == 412
    wrong = {**body, "next_waypoint_id": "nowhere", "start_from": "draft"}
    tag = {"If-Match": client.get(place).headers["etag"]}
    assert post(client, f"{place}/amendments", wrong, **tag).status_code == 422


def test_alternatives_stand_beside_the_selected_route(client: Client) -> None:
    place, answer = stored_plan(client)
    route = answer.json()["inputs"]["route"]
    other = {**moved({"route": route}, 1, 0.2)["route"], "name": "North about"}
    changed = edit(client, place, alternatives=[{"id": "north", "route": other, "remark": "ice"}])
    assert changed.status_code == 200, changed.text
    computed = client.get(f"{place}/computed").json()
    told = computed["alternatives"][0]
    assert (told["id"], told["name"], told["remark"]) == ("north", "North about", "ice")
    assert len(told["legs"]) == len(computed["legs"])
    assert "checked once it is selected" in told["not_checked"]
    drawn = [f for f in computed["layers"]["features"] if f["properties"]["layer"] == "alternative"]
    assert {one["properties"]["alternative_id"] for one in drawn} == {"north"}
    twice = [{"id": "a", "route": other}, {"id": "a", "route": other}]
    refused = edit(client, place, alternatives=twice)
    assert refused.status_code == 422
    assert refused.json()["errors"][0]["pointer"] == "/alternatives"


def test_a_frozen_revision_is_computed_again_byte_for_byte(client: Client) -> None:
    place, _, _ = _with_stored(client)
    found = client.get(f"{place}/revisions/1/recomputed").json()
    assert (found["same"], found["difference_count"]) == (True, 0)
    assert found["engine"] == found["made_by"]


@pytest.mark.parametrize("figures_change", [False, True])
def test_another_engine_is_noted_or_makes_the_approval_lapse(
    client: Client, monkeypatch: pytest.MonkeyPatch, figures_change: bool
) -> None:
    place, _, _ = _with_stored(client)
    for module in (changes, recompute):
        monkeypatch.setattr(module, "engine_id", _engine_of_tomorrow)

    def compute(inputs: Any, gathered: Any) -> dict[str, Any]:
        result = compute_document(inputs, gathered)
        if figures_change:
            result["legs"][0]["distance_nm"] += 0.001
        return {**result, "engine_version": "9.9.9"}

    assert [one["mark"] for one in record(client, place, 1)["marks"]] == ["stale"]
    store = client.app.state.store
    assert recompute.recheck_engine(store, compute, lambda: NOW) == 1
    found = record(client, place, 1)
    assert found["counts_as_approved"] is not figures_change
    told = found["lapses"] if figures_change else found["notes"]
    assert told[0]["by"]["name"] == "wheelover"
    assert ("/legs/0/distance_nm" in told[0]["words"]) is figures_change
    assert "stale" not in [one["mark"] for one in found["marks"]]
    assert recompute.recheck_engine(store, compute, lambda: NOW) == 0


def test_what_another_engine_cannot_compute_is_not_approved(
    client: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    place, _, _ = _with_stored(client)
    for module in (changes, recompute):
        monkeypatch.setattr(module, "engine_id", _engine_of_tomorrow)

    def fails(inputs: Any, gathered: Any) -> dict[str, Any]:
        raise ZeroDivisionError("float division by zero")

    assert _head(client, place).startswith("STALE: another engine has not yet computed it again. ")
    assert recompute.recheck_engine(client.app.state.store, fails, lambda: NOW) == 1
    found = record(client, place, 1)
    assert found["counts_as_approved"] is False
    assert found["lapses"][0]["words"] == (
        "could not be computed again by engine 9.9.9 (tomorrow): a fault of the program "
        "(ZeroDivisionError: float division by zero)"
    )
    assert "stale" not in [one["mark"] for one in found["marks"]]
    assert client.get(place).json()["approval_stands"] is False
    assert _head(client, place).startswith("NOT COUNTED AS APPROVED: another engine computes it")
    assert recompute.recheck_engine(client.app.state.store, fails, lambda: NOW) == 0


def _head(client: Client, place: str) -> str:
    """Return what the GeoJSON of the first revision says first of where it stands."""
    return _standing(client, place)[0]


def _standing(client: Client, place: str) -> list[str]:
    """Return all that the GeoJSON of the first revision says of where it stands."""
    file = client.get(f"{place}/revisions/1/export/geojson").json()
    return [str(one) for one in file["export"]["standing"]]


def _engine_of_tomorrow(version: str | None = None, libraries: Any = None) -> str:
    """Return today's engine for what was frozen, another for the one at work."""
    return "9.9.9 (tomorrow)" if version is None else f"{version} (today)"


def test_everything_is_in_the_log_and_the_log_holds(client: Client) -> None:
    place, _ = stored_plan(client)
    offer(client, place)
    approve(client, place, 1)
    edit(client, place, limits={"min_clearance_m": 900.0})
    entries = client.get("/api/v1/audit").json()["items"]
    told = [one["entry"]["what"] for one in reversed(entries)]
    assert told == ["plan.started", "plan.offered", "plan.approved", "plan.edited", "plan.lapsed"]
    found = verify(client.app.state.store)
    assert found.faults == []
    assert (found.entry_count, found.event_count, found.revision_count) == (5, 3, 1)
    assert found.heads[0].hash == entries[0]["hash"]


def test_the_record_has_a_tag(client: Client) -> None:
    place, _ = stored_plan(client)
    offer(client, place)
    read = client.get(f"{place}/revisions/1/record")
    same = client.get(
        f"{place}/revisions/1/record", headers={"If-None-Match": read.headers["etag"]}
    )
    assert same.status_code == 304
    approve(client, place, 1)
    later = client.get(f"{place}/revisions/1/record").headers["etag"]
    assert later != read.headers["etag"]
