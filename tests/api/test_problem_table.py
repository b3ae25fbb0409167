"""Every error of ours has its status; what does not fit the state of things is 409 (RFC 9110)."""

from fastapi import FastAPI

from tests.api.conftest import Client, send
from wheelover.api import problems
from wheelover.core.errors import Conflict, Fault


def test_a_conflict_names_what_does_not_fit() -> None:
    app = FastAPI()
    problems.install(app)

    @app.get("/hole")
    def hole() -> None:
        raise Conflict("a hole before B", (Fault(pointer="/route/waypoints/1", message="hole"),))

    answer = send(app, "GET", "/hole")
    assert answer.status_code == 409
    Client.assert_problem(answer)
    assert answer.json()["type"] == "/problems/conflict"
    assert answer.json()["errors"][0]["pointer"] == "/route/waypoints/1"
