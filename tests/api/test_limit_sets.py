"""Stored limit sets: editions, lists, plans that use them, and approvals that hang on them."""

from datetime import datetime
from typing import Any

import pytest

from tests import zoo
from tests.api.conftest import Client
from tests.api.keeping import post, put, stored_plan
from tests.api.record_keeping import MASTER, approve, edit, offer, record
from wheelover.api.examples import EXAMPLES

LIMITS: dict[str, Any] = EXAMPLES["LimitSetIn"]


@pytest.fixture
def client(stored_client: Client) -> Client:
    return stored_client


def _kept(client: Client, **more: Any) -> tuple[str, str, str]:
    """Keep a limit set; return its place, its id and its tag."""
    made = post(client, "/api/v1/limit-sets", {**LIMITS, **more})
    assert made.status_code == 201, made.text
    place = made.headers["location"]
    return place, place.rpartition("/")[2], made.headers["etag"]


def test_a_limit_set_has_editions(client: Client) -> None:
    place, set_id, tag = _kept(client)
    assert client.get(place).json()["limit_set"] == LIMITS
    assert client.get(place).json()["item_count"] == 18
    (line,) = client.get("/api/v1/limit-sets").json()["items"]
    assert (line["id"], line["source"], line["edition"]) == (set_id, "invented", 1)
    wider = {**LIMITS, "confined": {"min_clearance_m": 200.0}}
    assert put(client, place, wider, None).status_code == 428
    assert put(client, place, wider, '"1-other"').status_code == 412
    changed = put(client, place, wider, tag)
    assert (changed.status_code, changed.json()["edition"]) == (200, 2)
    assert put(client, place, wider, changed.headers["etag"]).json()["edition"] == 2
    assert client.get(f"{place}/editions/1").json()["limit_set"] == LIMITS
    assert client.get(f"{place}/editions/3").status_code == 404
    assert client.get("/api/v1/limit-sets/limits-none").status_code == 404


@pytest.mark.parametrize(
    ("body", "pointer"),
    [
        ({"name": "a"}, ""),
        ({"name": "a", "open": {}}, ""),
        ({"name": "", "open": {"min_ukc_m": 1.0}}, "/name"),
        ({"name": "a", "open": {"min_ukc_m": "1"}}, "/open/min_ukc_m"),
        ({"name": "a", "river": {"min_ukc_m": 1.0}}, "/river"),
        ({"name": "a", "open": {"min_ukc": 1.0}}, "/open/min_ukc"),
        ({"name": "a", "open": {"min_ukc_draught_ratio": 20.0}}, "/open/min_ukc_draught_ratio"),
        ({"name": "a", "open": {"min_clearance_by_class": {"whale": 9.0}}},
         "/open/min_clearance_by_class/whale"),
        ({"name": "a", "open": {"min_clearance_by_class": {"rock": -1.0}}},
         "/open/min_clearance_by_class/rock"),
    ],
)  # fmt: skip
def test_a_set_that_cannot_be_kept_says_why(
    client: Client, body: dict[str, Any], pointer: str
) -> None:
    refused = post(client, "/api/v1/limit-sets", body)
    assert refused.status_code == 422
    assert any(one["pointer"].startswith(pointer) for one in refused.json()["errors"])


def _plan(client: Client, **more: Any) -> Any:
    answer = client.send("POST", "/api/v1/plan", json=zoo.request(**more))
    assert answer.status_code == 200, answer.text
    return answer.json()


def test_a_plan_uses_the_newest_edition_or_the_one_named(client: Client) -> None:
    place, set_id, tag = _kept(client)
    near = _rock()
    limits = {"water": "confined"}
    put(client, place, {**LIMITS, "confined": {"min_clearance_m": 900.0}}, tag)
    newest = _plan(client, hazards=near, limits=limits, limit_set_id=set_id)
    first = _plan(client, hazards=near, limits=limits, limit_set_id=set_id, limit_set_edition=1)
    assert [one["clearances"][0]["limit_m"] for one in (first, newest)] == [185.0, 900.0]
    assert {one["clearances"][0]["limit_source"] for one in (first, newest)} == {"set"}
    assert first["inputs_sha256"] != newest["inputs_sha256"]
    inline = _plan(client, hazards=near, limits=limits, limit_set=LIMITS)
    assert inline["clearances"] == first["clearances"]


def _rock() -> dict[str, Any]:
    rock = {"type": "Point", "coordinates": [-29.99, 47.1]}
    feature = {"type": "Feature", "id": "rock", "geometry": rock, "properties": {"kind": "rock"}}
    return {"type": "FeatureCollection", "features": [feature]}


@pytest.mark.parametrize(
    ("more", "status", "pointer"),
    [
        ({"limit_set_id": "limits-none"}, 404, "/limit_set_id"),
        ({"limit_set_id": "limits-none", "limit_set": LIMITS}, 422, "/limit_set_id"),
        ({"limit_set_edition": 1}, 422, ""),
        ({"limits": {"water": "deep"}}, 422, "/limits/water"),
        ({"waivers": [{"rule": "x", "reason": "", "by": {"name": "A"}}]}, 422,
         "/waivers/0/reason"),
        ({"waivers": [{"rule": "x", "reason": "y", "by": {"name": "A"}, "id": "1"}] * 2}, 422,
         "/waivers"),
    ],
)  # fmt: skip
def test_what_a_plan_cannot_point_at(
    client: Client, more: dict[str, Any], status: int, pointer: str
) -> None:
    refused = client.send("POST", "/api/v1/plan", json=zoo.request(**more))
    assert refused.status_code == status, refused.text
    assert any(one["pointer"].startswith(pointer) for one in refused.json()["errors"])


def test_without_a_set_nothing_of_the_answer_changes(client: Client) -> None:
    plain = _plan(client, hazards=_rock())
    legs = [one["water"] for one in plain["legs"]]
    assert legs == [None] * len(legs)
    assert plain["clearances"][0]["limit_source"] == "plan"


def _approved(client: Client) -> tuple[str, str, str]:
    """Keep an approved plan that uses a limit set; return the places of both and the set's tag."""
    set_place, set_id, tag = _kept(client)
    place, _ = stored_plan(client, limit_set_id=set_id)
    offer(client, place)
    approve(client, place, 1)
    assert record(client, place, 1)["counts_as_approved"] is True
    return place, set_place, tag


def test_a_new_edition_that_changes_a_rule_lets_an_approval_lapse(client: Client) -> None:
    place, set_place, tag = _approved(client)
    stricter = {**LIMITS, "coastal": {**LIMITS["coastal"], "min_ukc_m": 2.5}}
    assert put(client, set_place, stricter, tag).json()["edition"] == 2
    found = record(client, place, 1)
    assert found["counts_as_approved"] is False
    (lapsed,) = found["lapses"]
    assert "coastal water, least under-keel clearance: 2 to 2.5 m" in lapsed["words"]


def test_another_source_of_the_same_rules_leaves_the_approval(client: Client) -> None:
    place, set_place, tag = _approved(client)
    assert put(client, set_place, {**LIMITS, "source": "SMS 7.2"}, tag).json()["edition"] == 2
    assert record(client, place, 1)["counts_as_approved"] is True


def test_the_difference_of_two_revisions_names_the_rules(client: Client) -> None:
    place, set_place, tag = _approved(client)
    stricter = {**LIMITS, "coastal": {**LIMITS["coastal"], "min_ukc_m": 2.5}}
    put(client, set_place, stricter, tag)
    waiver = {"id": "w", "rule": "min_ukc_m", "reason": "Berth dredged", "by": MASTER}
    edit(client, place, limit_set_edition=2, waivers=[waiver])
    offer(client, place)
    answer = client.get(f"{place}/differences?was=1&now=2")
    assert answer.status_code == 200, answer.text
    said = [one["sentence"] for one in answer.json()["changes"]]
    assert any("edition 1" in one and "edition 2" in one for one in said if "Limit set" in one)
    assert any("coastal" in one and "2 m" in one and "2.5 m" in one for one in said), said
    assert any("Waiver added: min_ukc_m by" in one for one in said), said


def test_the_answer_says_of_each_rule_what_became_of_it(client: Client) -> None:
    by = {"name": "R. Holm", "rank": "master"}
    waiver = {"id": "w1", "rule": "confined/min_clearance_m", "reason": "Pilot aboard", "by": by}
    strict = {**LIMITS, "confined": {"min_clearance_m": 900.0, "min_ukc_m": 1.0}}
    asked: dict[str, Any] = {"hazards": _rock(), "limit_set": strict}
    plain = _plan(client, limits={"water": "confined"}, **asked)
    assert plain["limit_set"]["confined"] == strict["confined"]
    rules = {one["id"]: one for one in plain["rules"]}
    assert set(rules) == {"confined/min_clearance_m", "confined/min_ukc_m"}
    assert rules["confined/min_ukc_m"]["result"] == "not_checked"
    missed = rules["confined/min_clearance_m"]
    assert (missed["result"], missed["limit"], missed["unit"]) == ("missed", 900.0, "m")
    (miss,) = missed["misses"]
    assert (miss["hazard_id"], miss["waiver"]) == ("rock", None)
    waived = _plan(client, limits={"water": "confined"}, waivers=[waiver], **asked)
    assert waived["inputs_sha256"] != plain["inputs_sha256"]
    (row,) = [one for one in waived["rules"] if one["id"] == "confined/min_clearance_m"]
    assert (row["result"], row["misses"][0]["waiver"]["by"]) == ("waived", by)
    (found,) = [one for one in waived["findings"] if one["waiver"] is not None]
    assert (found["grade"], found["rules"]) == ("must_explain", ["confined/min_clearance_m"])
    assert [one["met"] for one in waived["clearances"]] == [False]
    other = [{**waiver, "danger_id": "wreck"}]
    unused = _plan(client, limits={"water": "confined"}, waivers=other, **asked)
    assert [one["about"] for one in unused["findings"] if one["code"] == "waiver_unused"] == ["w1"]


def test_a_waiver_is_a_step_with_its_name(client: Client) -> None:
    place, _ = stored_plan(client)
    waiver = {"rule": "min_ukc_m", "reason": "Berth dredged", "by": MASTER}
    edit(client, place, waivers=[waiver])
    assert client.get(place).json()["undo"]["label"] == f"Waived min_ukc_m by {MASTER['name']}"


@pytest.mark.parametrize(
    ("departure_utc", "reason"),
    [
        ("2026-11-25T14:02:00Z", None),
        (None, "no time of departure is given"),
        ("9999-12-31T23:59:59Z", "the time lies beyond the year 9999"),
    ],
)
def test_a_danger_is_abeam_at_a_time_of_the_clock(
    client: Client, departure_utc: str | None, reason: str | None
) -> None:
    plan = _plan(client, hazards=_rock(), departure_utc=departure_utc)
    (near,) = plan["legs"][0]["near"]
    assert (near["hazard_id"], near["danger_class"]) == ("rock", "rock")
    abeam = near["abeam"]
    assert (abeam["side"], abeam["distance_m"]) == (near["side"], near["distance_m"])
    assert abeam["after_s"] > 0.0
    assert abeam["time_reason"] == reason
    assert (abeam["at_utc"] is None) is (reason is not None)
    if departure_utc is not None and reason is None:
        later = datetime.fromisoformat(abeam["at_utc"]) - datetime.fromisoformat(departure_utc)
        assert later.total_seconds() == pytest.approx(abeam["after_s"], abs=0.002)


def test_late_helm_and_assumed_swing_are_answered(client: Client) -> None:
    mark = _rock()
    mark["features"][0]["properties"] = {"kind": "buoy", "depth_m": 12.0}
    plan = _plan(client, hazards=mark, limits={"helm_late_s": 25.0})
    late = [one["late_helm"] for one in plan["turns"]]
    assert all(one["late_s"] == 25.0 and one["assumed"] is False for one in late)
    assert all(one["dangers"] is not None or one["reason"] for one in late)
    (row,) = plan["clearances"]
    assert (row["danger_class"], row["position_uncertainty_m"]) == ("aid", 36.0)
    assert row["position_uncertainty_source"] == "assumed"
    assert row["clearance_m"] == pytest.approx(row["distance_m"] - 36.0, abs=2e-3)
