"""A service in which people sign in: a vessel of two fleets each, and an account of every role."""

import asyncio
from typing import Any

import httpx
import pytest
from argon2 import PasswordHasher
from fastapi import FastAPI

from tests.api.conftest import Client
from wheelover.api import create_app
from wheelover.store.accounts import Grant
from wheelover.usecases.accounts.times import after

PASSWORD = "lantern gravel seven masts"
SECOND_PASSWORD = "seven anchors, one paper moon"
# Accounts of tests are kept at the least cost; what people set themselves is kept at the full one.
_KEPT = PasswordHasher(time_cost=1, memory_cost=8, parallelism=1).hash(PASSWORD)
START_UTC = "2026-11-26T08:00:00.000Z"


class Clock:
    """The service's clock, which a test moves."""

    def __init__(self) -> None:
        self.utc = START_UTC

    def __call__(self) -> str:
        return self.utc

    def pass_by(self, seconds: float) -> None:
        self.utc = after(self.utc, seconds)


class Browser:
    """One browser at one address: it keeps cookies, and every error must be a problem document."""

    def __init__(
        self, app: FastAPI, address: str = "10.0.0.1", base: str = "http://127.0.0.1"
    ) -> None:
        self.app = app
        self.address = address
        self.base = base
        self.cookies = httpx.Cookies()
        self.headers: dict[str, str] = {}

    def send(self, method: str, path: str, **more: Any) -> httpx.Response:
        async def exchange() -> httpx.Response:
            transport = httpx.ASGITransport(
                app=self.app, raise_app_exceptions=False, client=(self.address, 40000)
            )
            async with httpx.AsyncClient(
                transport=transport,
                base_url=self.base,
                headers={"X-Wheelover": "1", **self.headers},
                cookies=self.cookies,
            ) as client:
                answer = await client.request(method, path, **more)
                self.cookies = client.cookies
                return answer

        answer = asyncio.run(exchange())
        if answer.status_code >= 400:
            Client.assert_problem(answer)
        return answer

    def get(self, path: str, **more: Any) -> httpx.Response:
        return self.send("GET", f"/api/v1{path}", **more)

    def post(self, path: str, body: Any = None, **more: Any) -> httpx.Response:
        members = {} if body is None else {"json": body}
        return self.send("POST", f"/api/v1{path}", **members, **more)

    def sign_in(self, account: str, password: str = PASSWORD, **more: Any) -> httpx.Response:
        return self.post("/session", {"account": account, "password": password, **more})


class House:
    """The service with its clock, its store, and who has been made in it."""

    def __init__(self, monkeypatch: pytest.MonkeyPatch, url: str | None, **settings: str) -> None:
        for name, value in {"ACCOUNTS": "on", **settings}.items():
            monkeypatch.setenv(f"WHEELOVER_{name}", value)
        self.app = create_app(url)
        self.clock = Clock()
        self.app.state.clock = self.clock
        self.store = self.app.state.store
        self.base = "https://plans.example" if self.app.state.door.secure else "http://127.0.0.1"

    def browser(self, address: str = "10.0.0.1") -> Browser:
        return Browser(self.app, address, self.base)

    def first_code(self) -> str:
        return self.app.state.door.first_code.read_text().strip()

    def administrator(self) -> Browser:
        """Return a browser in which the administrator is signed in, enrolled on the first use."""
        browser = self.browser("10.0.0.9")
        if self.app.state.door.first_code.exists():
            with self.store.reading() as unit:
                known = unit.accounts.named("administrator")
            if known is not None and known.password_hash is None:
                body = {
                    "account": "administrator",
                    "code": self._code(),
                    "password": SECOND_PASSWORD,
                }
                assert browser.post("/session/enrolment", body).status_code == 200
        assert browser.sign_in("administrator", SECOND_PASSWORD).status_code == 200
        return browser

    def _code(self) -> str:
        """Return a first code good at the time of the test's clock."""
        from wheelover.usecases.accounts.enrolment import first_code  # noqa: PLC0415

        with self.store.writing() as unit:
            # Starting made a code by the real clock; the test's own may be days before it.
            account = unit.accounts.named("administrator")
            assert account is not None
            unit.accounts.set(account.id, enrol_sha256=None, enrol_until_utc=None)
        code = first_code(self.store, self.app.state.door.seal, self.clock()).code
        assert code is not None
        return code

    def vessel(self, name: str, fleet: str) -> str:
        with self.store.writing() as unit:
            return unit.vessels.add(name, fleet, self.clock()).id

    def account(
        self,
        name: str,
        *grants: Grant,
        ashore: bool = False,
        kept: str = _KEPT,
        **more: Any,
    ) -> str:
        """Make an account with the password of all and return its id."""
        from wheelover.store.accounts import AccountData  # noqa: PLC0415
        from wheelover.usecases.accounts.manage import add_account  # noqa: PLC0415

        data = AccountData(
            person=more.pop("person", f"Person {name}"),
            rank=more.pop("rank", "Officer"),
            ashore=ashore,
            grants=grants,
            **more,
        )
        row, _ = add_account(self.store, name, data, "test", self.clock())
        with self.store.writing() as unit:
            unit.accounts.set(row.id, password_hash=kept, enrol_sha256=None)
        return row.id

    def signed_in(self, name: str, address: str = "10.0.0.1") -> Browser:
        browser = self.browser(address)
        answer = browser.sign_in(name)
        assert answer.status_code == 200, answer.text
        return browser


def grant(role: str, vessel_id: str) -> Grant:
    return Grant(role=role, reach="vessel", of=vessel_id)
