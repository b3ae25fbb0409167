"""So much is computed at once, of one client and in all, and reading goes on beside it."""

import asyncio
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

import httpx
import pytest

from tests.access.people import Browser, House, grant
from tests.api.conftest import Client
from tests.api.keeping import stored_plan
from tests.api.record_keeping import approve, offer
from wheelover.api import create_app
from wheelover.api.at_once import AtOnce, Bound
from wheelover.api.examples import EXAMPLES
from wheelover.api.rates import Rates
from wheelover.core.errors import TooOften, Unavailable
from wheelover.usecases.plan_route import plan_route

BODY = EXAMPLES["PlanRequest"]


def test_what_has_ended_makes_room() -> None:
    async def ask() -> None:
        at_once = AtOnce(Bound(each=2, all=3, wait_s=0.1))
        first, second = await at_once.begin("a"), await at_once.begin("a")
        with pytest.raises(TooOften) as refused:
            await at_once.begin("a")
        assert refused.value.wait_s == 2
        third = await at_once.begin("b")
        with pytest.raises(Unavailable):
            await at_once.begin("c")
        for end in (first, second, third):
            end()
        assert at_once.count == 0
        assert at_once._by == {}, "nobody who has gone is remembered"
        await at_once.begin("a")

    asyncio.run(ask())


def test_who_waits_gets_the_room_that_becomes_free() -> None:
    async def ask() -> None:
        at_once = AtOnce(Bound(each=1, all=1, wait_s=30.0))
        end = await at_once.begin("a")
        others = [asyncio.create_task(at_once.begin(name)) for name in ("a", "b")]
        await asyncio.sleep(0.1)
        assert not any(one.done() for one in others)
        end()
        done, waiting = await asyncio.wait(others, return_when=asyncio.FIRST_COMPLETED, timeout=10)
        assert (len(done), len(waiting)) == (1, 1)
        done.pop().result()()
        (await waiting.pop())()
        assert at_once.count == 0

    asyncio.run(ask())


def test_no_more_wait_than_there_is_memory_for(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("wheelover.api.at_once._MOST_WAITING", 1)

    async def ask() -> None:
        at_once = AtOnce(Bound(each=1, all=1, wait_s=30.0))
        await at_once.begin("a")
        waits = asyncio.create_task(at_once.begin("b"))
        await asyncio.sleep(0.05)
        with pytest.raises(Unavailable):
            await at_once.begin("c")
        waits.cancel()
        with pytest.raises(asyncio.CancelledError):
            await waits
        assert at_once._waiting == 0

    asyncio.run(ask())


class Held:
    """Computations that wait inside the service until they are let go."""

    def __init__(self, monkeypatch: pytest.MonkeyPatch) -> None:
        self.go = threading.Event()
        self.inside = threading.Semaphore(0)

        def slow(*given: Any, **more: Any) -> Any:
            self.inside.release()
            assert self.go.wait(30.0)
            return plan_route(*given, **more)

        monkeypatch.setattr("wheelover.api.routers.plan.plan_route", slow)

    @contextmanager
    def of(self, asked: list[Any]) -> Iterator[list[httpx.Response]]:
        """Ask in threads of their own; give the list that their answers go into."""
        answers: list[httpx.Response] = []
        threads = [threading.Thread(target=lambda one=one: answers.append(one())) for one in asked]
        for one in threads:
            one.start()
        for _ in threads:
            assert self.inside.acquire(timeout=30.0)
        try:
            yield answers
        finally:
            self.go.set()
            for one in threads:
                one.join()


@pytest.fixture
def held(monkeypatch: pytest.MonkeyPatch) -> Held:
    return Held(monkeypatch)


def test_beyond_the_bound_is_refused_and_reading_goes_on(held: Held) -> None:
    client = Client(create_app())
    place, _ = stored_plan(client)
    offer(client, place)
    approve(client, place, 1)
    client.app.state.rates = Rates(None, bound=Bound(each=2, all=2, wait_s=0.1))
    with held.of([lambda: client.plan(BODY)] * 2) as answers:
        refused = client.plan(BODY)
        assert (refused.status_code, refused.json()["type"]) == (429, "/problems/too-often")
        assert refused.headers["retry-after"] == "2"
        for path in ("", "/record", "/document", "/export/csv"):
            assert client.get(f"{place}/revisions/1{path}").status_code == 200, path
        assert client.get("/api/v1/plans").status_code == 200
    assert [one.status_code for one in answers] == [200, 200]
    assert client.plan(BODY).status_code == 200, "there is room again"
    assert client.plan({"route": {}}).status_code == 422
    assert client.app.state.rates.at_once.count == 0, "one that was refused has ended too"


def test_one_account_does_not_take_all_and_all_together_are_bounded(
    house: House, held: Held
) -> None:
    for name in ("berg", "dahl", "moe"):
        house.account(name, grant("navigator", "own"))
    berg, dahl, moe = (house.signed_in(one) for one in ("berg", "dahl", "moe"))
    house.app.state.rates = Rates(None, bound=Bound(each=1, all=2, wait_s=0.1))

    def ask(browser: Browser) -> httpx.Response:
        return browser.post("/plan", BODY)

    with held.of([lambda: ask(berg), lambda: ask(dahl)]) as answers:
        assert ask(berg).status_code == 429
        full = ask(moe)
        assert (full.status_code, full.json()["type"]) == (503, "/problems/unavailable")
        assert full.headers["retry-after"]
        assert moe.get("/plans").status_code == 200
    assert [one.status_code for one in answers] == [200, 200]
    assert ask(moe).status_code == 200


def test_sixty_at_once_at_the_defaults() -> None:
    """The service has forty threads: were all computing, nothing could be read. Others wait."""
    app = create_app()
    bound = app.state.rates.at_once.bound
    assert bound is not None
    assert bound.all < 40

    async def all_at_once() -> list[int]:
        transport = httpx.ASGITransport(app=app, raise_app_exceptions=False)
        async with httpx.AsyncClient(
            transport=transport, base_url="http://127.0.0.1", headers={"X-Wheelover": "1"}
        ) as client:
            asked = [client.post("/api/v1/plan", json=BODY) for _ in range(60)]
            return [one.status_code for one in await asyncio.gather(*asked)]

    found = asyncio.run(all_at_once())
    assert found == [200] * 60
    assert app.state.rates.at_once.count == 0
