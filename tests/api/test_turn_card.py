"""POST /api/v1/turns/card: the shape, what is tried, and what is refused; cases in a plan."""

from typing import Any

import pytest

from tests import zoo
from tests.api.conftest import Client
from tests.api.keeping import post
from tests.api.test_simulated import RESPONSE
from wheelover.api.schemas.plan_response import PlanResponse
from wheelover.api.schemas.turn_card import TurnCardAnswer

COVARIANCE = [[0.01 if row == one else 0.0 for one in range(8)] for row in range(8)]
SHIP = {
    **zoo.request()["ship"],
    "response": {**RESPONSE, "origin": "fitted", "covariance": COVARIANCE},
}
LIMITS = {"min_clearance_m": 100.0, "max_off_track_m": 80.0}


def _plan(**more: Any) -> dict[str, Any]:
    return zoo.request(**{"ship": SHIP, "limits": LIMITS, **more})


def _card(client: Client, **more: Any) -> Any:
    return post(client, "/api/v1/turns/card", {"plan": _plan(), "waypoint_id": "B", **more})


def test_a_card_has_the_shape_that_is_described(client: Client) -> None:
    answer = _card(client)
    assert answer.status_code == 200
    TurnCardAnswer.model_validate(answer.json())
    card = answer.json()
    plan = client.plan(_plan()).json()
    (turn,) = plan["turns"]
    for row, of_plan in zip(card["methods"], turn["wheel_overs"], strict=True):
        assert {name: row[name] for name in of_plan} == of_plan
    assert card["window"] == turn["hull"]["window"]
    columns = card["run"]["columns"]
    assert len({len(column) for column in columns.values()}) == 1
    assert columns["to_go_m"][-1] == 0.0
    assert columns["lat_deg"][0] == pytest.approx(turn["planned"]["position"]["lat_deg"])
    assert card["band"]["member_count"] == 200
    assert card["hard_over"]["distance_nm"] < card["methods"][3]["distance_nm"]
    assert card["tried"] is False


def test_what_is_tried_changes_the_card_and_no_plan(client: Client) -> None:
    before = _card(client).json()
    tried = _card(client, tried={"speed_kn": 8.0, "set_deg": 90.0, "drift_kn": 1.0}).json()
    assert tried["tried"] is True
    assert tried["methods"][3]["distance_nm"] != before["methods"][3]["distance_nm"]
    assert _card(client).json() == before


def test_a_band_of_no_members_is_none(client: Client) -> None:
    assert _card(client, member_count=0).json()["band"] is None


@pytest.mark.parametrize(
    ("more", "pointer"),
    [
        ({"waypoint_id": "A"}, "/waypoint_id"),
        ({"member_count": 5}, "/member_count"),
        ({"tried": {"set_deg": 10.0}}, "/tried"),
        ({"tried": {"loading": "ballast"}}, "/tried/loading"),
        ({"tried": {"speed": 10.0}}, "/tried/speed"),
    ],
)
def test_bad_cards_name_the_member(client: Client, more: dict[str, Any], pointer: str) -> None:
    answer = _card(client, **more)
    assert answer.status_code == 422
    assert answer.json()["errors"][0]["pointer"] == pointer


def test_cases_stand_beside_the_plan_and_leave_it(client: Client) -> None:
    tried = {"set_deg": 180.0, "drift_kn": 2.0}
    cases = [{"name": "ebb", "waypoint_id": "B", "tried": tried}]
    plan, bare = client.plan(_plan(cases=cases)).json(), client.plan(_plan()).json()
    PlanResponse.model_validate(plan)
    assert plan["turns"] == bare["turns"]
    assert bare["cases"] == []
    (case,) = plan["cases"]
    assert (case["name"], case["tried"], case["reason"]) == ("ebb", tried, None)
    card = _card(client, tried=tried).json()
    assert case["simulated"]["distance_nm"] == card["methods"][3]["distance_nm"]
    assert plan["inputs_sha256"] != bare["inputs_sha256"]


def test_a_ship_in_a_named_loading(client: Client) -> None:
    ballast = {"name": "ballast", "draught_fore_m": 5.0, "response": {**RESPONSE, "t_s": 60.0}}
    ship = {**SHIP, "loadings": [ballast]}
    laden = client.plan(_plan(ship=ship)).json()["turns"][0]["wheel_overs"][3]
    light = client.plan(_plan(ship={**ship, "loading": "ballast"})).json()
    assert light["turns"][0]["wheel_overs"][3]["distance_nm"] < laden["distance_nm"]
    unknown = client.plan(_plan(ship={**ship, "loading": "full"}))
    assert unknown.status_code == 422
    assert "none of her loadings" in unknown.json()["errors"][0]["message"]
    case = {"name": "ballast", "waypoint_id": "B", "tried": {"loading": "ballast"}}
    (found,) = client.plan(_plan(ship=ship, cases=[case])).json()["cases"]
    assert found["simulated"]["distance_nm"] == light["turns"][0]["wheel_overs"][3]["distance_nm"]


@pytest.mark.parametrize(
    "rows",
    [
        [[0.01] * 8] * 7,
        [[0.0] * 8] * 8,
        [[0.01 if one >= row else 0.0 for one in range(8)] for row in range(8)],
    ],
)
def test_rows_that_are_no_covariance_are_refused(client: Client, rows: Any) -> None:
    ship = {**SHIP, "response": {**RESPONSE, "covariance": rows}}
    answer = client.plan(_plan(ship=ship))
    assert answer.status_code == 422
    assert answer.json()["errors"][0]["pointer"].startswith("/ship/response/covariance")
