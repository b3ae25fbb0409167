"""Helm orders through the door: what is answered, and what is refused where."""

import copy
from typing import Any

import pytest

from tests.api.conftest import Client
from wheelover.api.examples import EXAMPLES

RUN = EXAMPLES["ManoeuvreIn"]
TURN = EXAMPLES["HelmOrdersIn"]


def _run(client: Client, **more: Any) -> Any:
    return client.send("POST", "/api/v1/manoeuvre", json={**copy.deepcopy(RUN), **more})


def _turn(client: Client, **more: Any) -> Any:
    return client.send("POST", "/api/v1/turns/helm-orders", json={**copy.deepcopy(TURN), **more})


def test_a_row_for_every_step_and_both_ends(client: Client) -> None:
    track = _run(client, until_s=95.0, step_s=10.0).json()["track"]
    assert [row["t_s"] for row in track] == [*(10.0 * k for k in range(10)), 95.0]
    assert list(track[0]) == [
        "t_s", "east_m", "north_m", "heading_deg", "rate_deg_per_min", "speed_kn", "rudder_deg"
    ]  # fmt: skip
    first = track[0]
    assert (first["east_m"], first["north_m"], first["heading_deg"]) == (0.0, 0.0, 0.0)
    assert first["speed_kn"] == pytest.approx(12.0)
    assert track[3]["rudder_deg"] == pytest.approx(10.0)


def test_without_orders_she_goes_on_in_the_current(client: Client) -> None:
    last = _run(client, orders=[], heading_deg=90.0, set_deg=0.0, drift_kn=3.6).json()["track"][-1]
    knot = 1852.0 / 3600.0
    assert last["east_m"] == pytest.approx(12.0 * knot * 120.0, abs=1e-3)
    assert last["north_m"] == pytest.approx(3.6 * knot * 120.0, abs=1e-3)


def test_the_orders_of_a_turn_run_to_where_they_say(client: Client) -> None:
    turn = _turn(client).json()
    assert [one["order"] for one in turn["orders"]] == ["helm", "counter_helm", "midships"]
    assert [one["rudder_deg"] for one in turn["orders"]] == [15.0, -20.0, 0.0]
    orders = [{"rudder_deg": one["rudder_deg"], "at_s": one["at_s"]} for one in turn["orders"]]
    run = _run(
        client,
        orders=orders,
        heading_deg=turn["heading_in_deg"],
        until_s=turn["steady_at_s"],
        step_s=turn["steady_at_s"],
    ).json()["track"]
    assert run[-1]["heading_deg"] == pytest.approx(turn["heading_out_deg"], abs=1e-3)
    assert run[-1]["rate_deg_per_min"] == pytest.approx(0.0, abs=1e-2)


@pytest.mark.parametrize(
    ("change", "pointer"),
    [
        ({"orders": [{"rudder_deg": 5.0}]}, "/orders/0"),
        ({"orders": [{"rudder_deg": 5.0, "at_s": 0.0, "at_heading_change_deg": 1.0}]}, "/orders/0"),
        (
            {"orders": [{"rudder_deg": 5.0, "at_s": 9.0}, {"rudder_deg": 0.0, "at_s": 1.0}]},
            "/orders/1/at_s",
        ),
        ({"until_s": 0.0}, "/until_s"),
        ({"until_s": 36_000.0, "step_s": 0.001}, "/step_s"),
        ({"speed_kn": "12"}, "/speed_kn"),
        ({"colour": 1}, "/colour"),
    ],
)
def test_a_fault_is_named_where_it_is(client: Client, change: dict[str, Any], pointer: str) -> None:
    refused = _run(client, **change)
    assert refused.status_code == 422
    assert refused.json()["errors"][0]["pointer"] == pointer


def test_half_a_current_is_refused(client: Client) -> None:
    body = {key: value for key, value in RUN.items() if key != "drift_kn"}
    refused = client.send("POST", "/api/v1/manoeuvre", json=body)
    assert refused.status_code == 422
    assert "belong together" in refused.json()["detail"]


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({"course_out_deg": 0.0}, "along one line"),
        ({"course_out_deg": 180.0}, "along one line"),
        ({"set_deg": 90.0, "drift_kn": 13.0}, "cannot be made good"),
        ({"response": {**TURN["response"], "k_per_s": 9.9, "t_s": 1e-4}}, "no ship answers"),
    ],
)
def test_a_turn_that_cannot_be_made_says_why(
    client: Client, change: dict[str, Any], says: str
) -> None:
    refused = _turn(client, **change)
    assert refused.status_code == 422
    assert says in refused.json()["detail"]
