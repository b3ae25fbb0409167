"""How often costly things may be asked for, and what may be read whatever was asked for."""

from typing import Any

import pytest

from tests.access.people import House, grant
from tests.api.conftest import Client
from tests.api.keeping import stored_plan
from tests.api.record_keeping import approve, offer
from wheelover.api import create_app
from wheelover.api.at_once import Bound
from wheelover.api.examples import EXAMPLES
from wheelover.api.rates import COSTS, OF_MACHINES, Rate, RateRefused, Rates, rates_from_settings
from wheelover.api.rules import RULES
from wheelover.core.errors import TooOften
from wheelover.usecases.accounts.keys import make_key


class Seconds:
    def __init__(self) -> None:
        self.now_s = 0.0

    def __call__(self) -> float:
        return self.now_s


def test_a_bucket_empties_and_fills() -> None:
    clock = Seconds()
    rates = Rates(Rate(burst=4, per_minute=60), clock)
    for _ in range(4):
        rates.take("a", 1)
    with pytest.raises(TooOften) as refused:
        rates.take("a", 2)
    assert refused.value.wait_s == 3
    rates.take("b", 4)
    clock.now_s += 1.9
    with pytest.raises(TooOften):
        rates.take("a", 2)
    clock.now_s += 0.2
    rates.take("a", 2)
    clock.now_s += 1000.0
    rates.take("a", 4)
    with pytest.raises(TooOften):
        rates.take("a", 1)


def test_what_costs_more_than_a_bucket_holds_is_still_done() -> None:
    clock = Seconds()
    rates = Rates(Rate(burst=3, per_minute=60), clock)
    rates.take("a", 10)
    with pytest.raises(TooOften):
        rates.take("a", 1)
    clock.now_s += 8.1
    rates.take("a", 1)


def test_clients_that_are_many_are_forgotten(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("wheelover.api.rates._MOST_CLIENTS", 10)
    rates = Rates(Rate(burst=1, per_minute=1), Seconds())
    for number in range(50):
        rates.take(f"client {number}", 1)
    assert len(rates._buckets) == 10


def test_every_place_that_costs_is_a_place() -> None:
    assert set(COSTS) | set(OF_MACHINES) <= set(RULES)


@pytest.mark.parametrize("name", ["WHEELOVER_AT_ONCE", "WHEELOVER_AT_ONCE_EACH"])
def test_the_settings_of_what_is_computed_at_once(
    monkeypatch: pytest.MonkeyPatch, name: str
) -> None:
    assert rates_from_settings(accounts=True).at_once.bound == Bound(each=12, all=24)
    assert rates_from_settings(accounts=False).at_once.bound == Bound(each=24, all=24)
    monkeypatch.setenv(name, "off")
    off = None if name == "WHEELOVER_AT_ONCE" else Bound(each=24, all=24)
    assert rates_from_settings(accounts=True).at_once.bound == off
    for wrong in ("0", "-1", "many", "1.5"):
        monkeypatch.setenv(name, wrong)
        with pytest.raises(RateRefused, match=name):
            create_app()


@pytest.mark.parametrize("name", ["WHEELOVER_RATE_PER_MINUTE", "WHEELOVER_RATE_BURST"])
def test_the_settings(monkeypatch: pytest.MonkeyPatch, name: str) -> None:
    with_accounts = rates_from_settings(accounts=True).rate
    at_home = rates_from_settings(accounts=False).rate
    assert with_accounts is not None
    assert at_home == Rate(
        burst=100 * with_accounts.burst, per_minute=100 * with_accounts.per_minute
    )
    monkeypatch.setenv(name, "off")
    assert rates_from_settings(accounts=True).rate is None
    for wrong in ("0", "-1", "many", "1.5"):
        monkeypatch.setenv(name, wrong)
        with pytest.raises(RateRefused, match=name):
            create_app()


def test_at_this_machine_a_plan_is_read_whatever_else_was_asked(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setenv("WHEELOVER_RATE_PER_MINUTE", "1")
    monkeypatch.setenv("WHEELOVER_RATE_BURST", "1")
    client = Client(create_app())
    client.app.state.rates = Rates(Rate(burst=30, per_minute=1))
    place, _ = stored_plan(client)
    offer(client, place)
    approve(client, place, 1)
    body = EXAMPLES["PlanRequest"]
    answers = [client.send("POST", "/api/v1/plan", json=body) for _ in range(20)]
    refused = [one for one in answers if one.status_code == 429]
    assert refused
    assert answers[0].status_code == 200
    assert refused[0].json()["type"] == "/problems/too-often"
    assert 0 < int(refused[0].headers["retry-after"]) <= 120
    for path in ("", "/record", "/document", "/export/csv", "/export/geojson"):
        assert client.get(f"{place}/revisions/1{path}").status_code == 200, path
    for path in (place, f"{place}/threads", "/api/v1/plans?in_use=true", "/plans/x"):
        assert client.get(path).status_code == 200, path


def test_one_client_does_not_take_from_another(house: House) -> None:
    house.app.state.rates = Rates(Rate(burst=12, per_minute=1))
    by = house.account("berg", grant("navigator", "own"))
    house.account("dahl", grant("navigator", "own"))
    berg, dahl = house.signed_in("berg"), house.signed_in("dahl")
    plan = berg.post("/plans", EXAMPLES["PlanRequest"]).json()["id"]
    assert berg.post(f"/plans/{plan}/revisions").status_code == 201

    def asked(browser: Any) -> list[int]:
        return [browser.post("/plan", EXAMPLES["PlanRequest"]).status_code for _ in range(8)]

    assert asked(berg)[-1] == 429
    assert asked(dahl)[:3] == [200, 200, 200]
    key = make_key(house.store, "x", ("read",), "vessel", "own", 9, by, house.clock())[1]
    machine = house.browser()
    machine.headers["Authorization"] = f"Bearer {key}"
    export = f"/plans/{plan}/revisions/1/export/csv"
    statuses = [machine.get(export).status_code for _ in range(6)]
    assert statuses == [200] * 4 + [429] * 2
    assert machine.get(f"/plans/{plan}/revisions/1/document").status_code == 200
    assert {berg.get(export).status_code for _ in range(6)} == {200}
