"""Ship papers through the door: what is answered, and what is refused where."""

import copy
from typing import Any

import numpy as np
import pytest

from tests.api.conftest import Client
from wheelover.api.examples import EXAMPLES, TRIALS_FILE
from wheelover.core.manoeuvre.fit import members
from wheelover.core.types.fitted import THETA
from wheelover.usecases.fit_ship import fitted_document, fitted_from_document

PAPERS = EXAMPLES["FitIn"]
PLACE = "/api/v1/ships/fit"


def _fit(client: Client, body: Any) -> Any:
    return client.send("POST", PLACE, json=body)


def _with(path: str, value: Any) -> dict[str, Any]:
    """Return the papers with one member changed; a path like sets/0/depth_m."""
    body = copy.deepcopy(PAPERS)
    here: Any = body
    *steps, last = path.split("/")
    for step in steps:
        here = here[int(step)] if step.isdigit() else here[step]
    here[int(last) if last.isdigit() else last] = value
    return body


@pytest.fixture(scope="module")
def answer(client: Client) -> dict[str, Any]:
    found = _fit(client, PAPERS)
    assert found.status_code == 200, found.text
    return found.json()


def test_a_response_comes_with_everything_beside_it(answer: dict[str, Any]) -> None:
    (fit,) = answer["fits"]
    assert (fit["loading"], fit["origin"]) == ("laden", "fitted")
    assert fit["draught_m"] == 11.2
    assert set(fit["response"]) == {
        *("k_per_s", "t_s", "at_speed_kn", "alpha_s2", "drift_lengths", "race_exponent"),
        *("speed_recovery", "speed_loss", "drift_lag"),
        *("origin", "at_depth_m", "covariance"),
    }
    assert fit["response"]["origin"] == "fitted"
    assert fit["response"]["covariance"] == fit["uncertain"]["covariance"]
    assert fit["uncertain"]["names"] == list(THETA)
    covariance = np.array(fit["uncertain"]["covariance"])
    assert covariance.shape == (8, 8)
    assert np.all(np.linalg.eigvalsh(covariance) > 0.0)
    assert len(fit["comparisons"]) == 21
    advance = fit["comparisons"][0]
    assert (advance["quantity"], advance["given"], advance["unit"]) == ("advance", 615.0, "m")
    assert advance["words"].startswith("advance to starboard")
    assert {check["by"] for check in fit["checks"]} == {"given", "computed"}
    assert "stopping_kept" in {one["code"] for one in fit["statements"]}
    assert answer["engine_orders"][0]["propeller_rpm"] == 88.0


def test_the_response_can_be_run(client: Client, answer: dict[str, Any]) -> None:
    """What was fitted is a response like any other: the circle it was fitted to comes out."""
    run = client.send(
        "POST",
        "/api/v1/manoeuvre",
        json={
            "response": answer["fits"][0]["response"],
            "loa_m": PAPERS["ship"]["loa_m"],
            "speed_kn": 15.2,
            "heading_deg": 0.0,
            "rudder_rate_deg_per_s": 2.33,
            "orders": [{"rudder_deg": 35.0, "at_s": 0.0}],
            "until_s": 120.0,
            "step_s": 0.5,
        },
    ).json()["track"]
    quarter = next(row for row in run if row["heading_deg"] >= 90.0)
    (advance, *_) = answer["fits"][0]["comparisons"]
    # The point of the papers is 63.75 m abaft midships: so much farther ahead at 90 degrees.
    assert quarter["north_m"] + 63.75 == pytest.approx(advance["computed"], abs=1.0)


def test_what_is_kept_is_read_again(answer: dict[str, Any]) -> None:
    (fit,) = answer["fits"]
    fitted = fitted_from_document(fit)
    assert fitted_document(fitted) == fit
    assert fitted.uncertain is not None
    assert members(fitted.uncertain, 64).shape == (8, 64)


def test_the_same_papers_give_the_same_bytes(client: Client) -> None:
    assert _fit(client, PAPERS).content == _fit(client, PAPERS).content


def test_lengths_are_counted_as_the_set_says(client: Client) -> None:
    """1.9 lengths between perpendiculars (176 m) or overall (182.5 m)."""
    for kind, length_m in (("between_perpendiculars", 176.0), ("overall", 182.5)):
        fit = _fit(client, _with("sets/0/lengths_are", kind)).json()["fits"][0]
        (row,) = [one for one in fit["comparisons"] if "initial" in one["quantity"]]
        assert row["given"] == pytest.approx(1.9 * length_m)


REFUSED = (
    ("ship/colour", 1, "/ship/colour"),
    ("ship/loa_m", "182", "/ship/loa_m"),
    ("ship/loa_m", 5.0, "/ship/loa_m"),
    ("ship/lpp_m", 60.0, "/ship"),
    ("ship/steered_by", "oars", "/ship/steered_by"),
    ("ship/propeller_count", 1.5, "/ship/propeller_count"),
    ("sets/0/circles/1/side", "left", "/sets/0/circles/1/side"),
    ("sets/0/circles/0/rudder_deg", -35.0, "/sets/0/circles/0/rudder_deg"),
    ("sets/0/circles/0/advance_lengths", 3.0, "/sets/0/circles/0"),
    ("sets/0/circles/0/advance_m", 0.0, "/sets/0/circles/0/advance_m"),
    ("sets/0/circles/0/points/1/heading_change_deg", 90.0, "/sets/0/circles/0"),
    ("sets/0/initial_turnings/0/distance_m", 300.0, "/sets/0/initial_turnings/0"),
    ("sets/0/stoppings/0/track_reach_lengths", 12.0, "/sets/0/stoppings/0"),
    ("sets/0/reference_from_bow_m", 200.0, "/sets/0/reference_from_bow_m"),
    ("sets/0/draught_fore_m", 0.0, "/sets/0/draught_fore_m"),
    ("wanted/speed_kn", 0.0, "/wanted/speed_kn"),
)


@pytest.mark.parametrize(("path", "value", "pointer"), REFUSED)
def test_a_fault_is_named_where_it_is(client: Client, path: str, value: Any, pointer: str) -> None:
    refused = _fit(client, _with(path, value))
    assert refused.status_code == 422
    assert refused.json()["errors"][0]["pointer"] == pointer


def test_numbers_of_no_ship_are_named_or_refused_in_words(client: Client) -> None:
    slow = {"side": "port", "rudder_deg": 3.0, "speed_kn": 45.0, "advance_m": 50_000.0}
    (fit,) = _fit(client, _with("sets/0/circles", [slow])).json()["fits"]
    assert "numbers_contradict" in [one["code"] for one in fit["statements"]]
    tight = {"side": "port", "rudder_deg": 70.0, "speed_kn": 6.0, "advance_m": 1.0}
    body = _with("sets/0/circles", [{**tight, "tactical_diameter_m": 0.5}])
    refused = _fit(client, body)
    assert refused.status_code == 422
    assert refused.json()["detail"].startswith("no ship comes near the numbers given")


def test_lengths_without_the_length_are_refused(client: Client) -> None:
    refused = _fit(client, _with("ship/lpp_m", None))
    assert refused.status_code == 422
    assert [one["pointer"] for one in refused.json()["errors"]] == ["/ship/lpp_m", "/sets/0"]
    assert "lengths_are overall" in refused.json()["detail"]


@pytest.mark.parametrize(
    ("path", "value", "code"),
    [
        ("ship/steered_by", "pods", "pods"),
        ("wanted/speed_kn", 4.0, "slow"),
        ("wanted/depth_m", 15.0, "shallow_water"),
    ],
)
def test_where_no_response_holds_there_is_none(
    client: Client, path: str, value: Any, code: str
) -> None:
    """Not an error: the answer says why it gives none, and what was given is still compared."""
    found = _fit(client, _with(path, value))
    assert found.status_code == 200
    (fit,) = found.json()["fits"]
    assert fit["response"] is None
    assert fit["uncertain"] is None
    assert code in [one["code"] for one in fit["statements"] if one["refuses"]]
    assert {check["by"] for check in fit["checks"]} == {"given"}


def test_a_ship_without_trials_is_estimated(client: Client) -> None:
    ship = {
        "name": "Sample carrier 182",
        "loa_m": 182.5,
        "lpp_m": 176.0,
        "beam_m": 31.0,
        "draught_fore_m": 11.0,
        "draught_aft_m": 11.4,
        "block_coefficient": 0.8,
        "speed_kn": 14.0,
    }
    (fit,) = _fit(client, {"ship": ship}).json()["fits"]
    assert fit["origin"] == "estimated"
    assert fit["uncertain"]["scatter_ratio"] > 1.0
    assert fit["statements"][0]["code"] == "estimated"
    (none,) = _fit(client, {"ship": {"name": "her", "loa_m": 182.5}}).json()["fits"]
    assert none["response"] is None
    assert none["statements"][0]["code"] == "dimensions_missing"


def _turn(**more: Any) -> dict[str, Any]:
    rows = [{"time_s": 5.0 * k, "heading_deg": 0.02 * k * k, "rudder_deg": 10.0} for k in range(30)]
    return {"name": "off the cape", "speed_kn": 15.0, "rows": rows, **more}


def test_recorded_turns(client: Client) -> None:
    (fit,) = _fit(client, _with("sets/0/own_turns", [_turn()])).json()["fits"]
    assert fit["origin"] == "recorded"
    assert fit["comparisons"][-1]["quantity"] == "largest_miss_of_heading"
    long = [{**row, "time_s": 100.0 * row["time_s"]} for row in _turn()["rows"]]
    refused = _fit(client, _with("sets/0/own_turns", [_turn(rows=long)]))
    assert refused.status_code == 422
    assert "cut it to the turn" in refused.json()["detail"]
    back = [{**row, "time_s": 50.0} for row in _turn()["rows"]]
    refused = _fit(client, _with("sets/0/own_turns", [_turn(rows=back)]))
    assert refused.json()["errors"][0]["pointer"] == "/sets/0/own_turns/0"
    half = _turn()["rows"]
    half[3] = {**half[3], "east_m": 1.0, "north_m": 2.0}
    refused = _fit(client, _with("sets/0/own_turns", [_turn(rows=half)]))
    assert "in all rows or in none" in refused.json()["detail"]


def test_a_file_of_trial_data_is_a_request(client: Client) -> None:
    read = client.send("POST", f"{PLACE}/read", files={"file": ("t.csv", TRIALS_FILE.encode())})
    assert read.status_code == 200
    body = read.json()
    assert (body["accepted_count"], body["rejected_count"]) == (8, 0)
    assert body["fit"]["sets"][0]["circles"][0]["advance_m"] == pytest.approx(0.305 * 1852.0)
    assert _fit(client, body["fit"]).status_code == 200


def test_a_file_that_says_nothing_is_refused(client: Client) -> None:
    for body, status in ((b"", 422), (b"hello", 415), (b"quantity,value,unit\nloa,?,m\n", 422)):
        refused = client.send("POST", f"{PLACE}/read", files={"file": ("t.csv", body)})
        assert refused.status_code == status, body


def test_a_circle_without_a_number_is_refused(client: Client) -> None:
    bare = {"side": "starboard", "rudder_deg": 35.0, "speed_kn": 14.0}
    body = {**PAPERS, "sets": [{**PAPERS["sets"][0], "circles": [bare]}]}
    answer = _fit(client, body)
    assert answer.status_code == 422
    assert answer.json()["errors"][0]["pointer"] == "/sets/0/circles/0"
