"""A client of the real application, in process."""

import asyncio
from collections.abc import Iterator
from typing import Any

import httpx
import pytest
from fastapi import FastAPI

from wheelover.api import create_app


def send(app: FastAPI, method: str, path: str, **more: Any) -> httpx.Response:
    """Return the application's answer to one request, sent the way our own page would."""

    async def exchange() -> httpx.Response:
        transport = httpx.ASGITransport(app=app, raise_app_exceptions=False)
        async with httpx.AsyncClient(
            transport=transport, base_url="http://127.0.0.1", headers={"X-Wheelover": "1"}
        ) as client:
            return await client.request(method, path, **more)

    return asyncio.run(exchange())


class Client:
    """Sends requests to the application; every error must be a problem document (RFC 9457)."""

    def __init__(self, app: FastAPI) -> None:
        self.app = app

    def send(self, method: str, path: str, **more: Any) -> httpx.Response:
        response = send(self.app, method, path, **more)
        if response.status_code >= 400:
            self.assert_problem(response)
        return response

    @staticmethod
    def assert_problem(response: httpx.Response) -> None:
        assert response.headers["content-type"] == "application/problem+json"
        body = response.json()
        assert body["status"] == response.status_code
        assert body["type"].startswith("/problems/")
        assert body["title"]
        assert body["detail"]
        for error in body.get("errors", []):
            assert error["message"]
        text = response.text
        assert "Traceback" not in text
        assert "site-packages" not in text

    def get(self, path: str, **more: Any) -> httpx.Response:
        return self.send("GET", path, **more)

    def plan(self, body: Any) -> httpx.Response:
        return self.send("POST", "/api/v1/plan", json=body)

    def plan_raw(self, raw: bytes, content_type: str = "application/json") -> httpx.Response:
        return self.send(
            "POST", "/api/v1/plan", content=raw, headers={"content-type": content_type}
        )

    def read(self, body: bytes, name: str = "route.csv") -> httpx.Response:
        return self.send("POST", "/api/v1/routes/read", files={"file": (name, body)})


@pytest.fixture(scope="session")
def client() -> Client:
    return Client(create_app())


@pytest.fixture
def stored_client(store_url: str) -> Iterator[Client]:
    """Give a client of a service with nothing stored, on each engine in turn."""
    app = create_app(store_url)
    yield Client(app)
    app.state.store.close()
