"""Requests made from the OpenAPI document, good and bad: what is answered is what is described.

Source of the requests: schemathesis, from the document alone. RFC 9457 for every error.
"""

import copy
from typing import Any

import httpx
import pytest
import requests
import schemathesis
from fastapi import FastAPI
from hypothesis import HealthCheck, given, settings
from hypothesis.errors import Unsatisfiable
from schemathesis import GenerationMode, checks
from schemathesis.checks import (
    content_type_conformance,
    not_a_server_error,
    response_schema_conformance,
    status_code_conformance,
)

from tests import zoo
from tests.api.chart_keeping import cell_id, imported, water_cell
from tests.api.conftest import Client, send
from tests.api.parcel_examples import ask_by_example, is_about_parcels
from tests.reasons import reasons_for
from wheelover.api import create_app
from wheelover.api.examples import EXAMPLES
from wheelover.formats.parcel import MEDIA_TYPE
from wheelover.usecases.clock import now_utc
from wheelover.usecases.demonstration import keep_demonstration
from wheelover.usecases.webhooks import add_webhook

HELD = [
    not_a_server_error,
    status_code_conformance,
    content_type_conformance,
    response_schema_conformance,
]
SHORT, LONG = 6, 150
BASE = "http://127.0.0.1"
TAGGED = ("/undo", "/redo", "/decisions", "/amendments")
BESIDE_APPROVED = ("/sign-offs", "/verified-courses", "/log", "/amendments")
REVIEW = (
    "/threads", "/notes", "/resolve", "/reopen", "/explanations", "/answers", "/shore-decisions"
)  # fmt: skip
BESIDE = (*BESIDE_APPROVED, *REVIEW, "/decisions", "/checks")


def _app() -> FastAPI:
    """Return the service with one of every stored thing in it."""
    app = create_app()
    client = Client(app)
    plan = client.send("POST", "/api/v1/plans", json=zoo.request())
    assert plan.status_code == 201, plan.text
    ship = client.send("POST", "/api/v1/ships", json=zoo.request()["ship"])
    hazards = {"name": "zoo", "hazards": zoo.request()["hazards"]}
    dangers = client.send("POST", "/api/v1/hazard-sets", json=hazards)
    frozen = client.send("POST", f"/api/v1/plans/{plan.json()['id']}/revisions")
    place = f"/api/v1/plans/{plan.json()['id']}"
    asked = {**EXAMPLES["ThreadIn"], "anchor": {"kind": "turn", "id": "B"}}
    thread = client.send("POST", f"{place}/threads", json=asked)
    explained = client.send("POST", f"{place}/explanations", json=EXAMPLES["ExplanationIn"])
    peer = client.send("POST", "/api/v1/peers", json=EXAMPLES["PeerIn"])
    begun = client.send("POST", "/api/v1/parcels/uploads", json=EXAMPLES["UploadIn"])
    limits = client.send("POST", "/api/v1/limit-sets", json=EXAMPLES["LimitSetIn"])
    job = imported(client, ("ZZ4GAT.000", water_cell().base()))
    chart = cell_id(job)
    made = (ship, dangers, limits, frozen, thread, explained, peer, begun)
    assert {one.status_code for one in made} == {201}
    app.state.known = {
        "plans": {
            "plan_id": plan.json()["id"],
            "number": 1,
            "format_name": "csv",
            "thread_id": thread.json()["id"],
            "explanation_id": explained.json()["id"],
        },
        "ships": {"item_id": ship.json()["id"], "number": 1},
        "hazard-sets": {"item_id": dangers.json()["id"], "number": 1},
        "limit-sets": {"item_id": limits.json()["id"], "number": 1},
        "peers": {"peer_id": peer.json()["id"]},
        "parcels": {"upload_id": begun.json()["id"], "number": 0},
        "charts": {"chart_id": chart, "import_id": job["id"], "number": 1},
    }
    return app


APP = _app()
schemathesis.serializer.alias(MEDIA_TYPE, "application/octet-stream")
SCHEMA = schemathesis.openapi.from_dict(APP.openapi())
OPERATIONS = [found.ok() for found in SCHEMA.get_all_operations()]


def _label(operation: Any) -> str:
    return f"{operation.method.upper()} {operation.path}"


def _known(operation: Any) -> dict[str, Any] | None:
    """Return path parameters that name something stored, for half of the requests."""
    place = operation.path.removeprefix("/api/v1/").split("/")[0]
    known = APP.state.known.get(place, {})
    there = {name: value for name, value in known.items() if f"{{{name}}}" in operation.path}
    return there if there and len(there) == operation.path.count("{") else None


def _sent(case: Any) -> httpx.Response:
    """Send a made request to the application, in process."""
    made = case.as_transport_kwargs(base_url=BASE)
    headers = {**made.pop("headers", {}), "X-Wheelover": "1"}
    headers = {name: value for name, value in headers.items() if _may_stand(value)}
    members = ("json", "data", "files", "params", "cookies")
    body = {key: made[key] for key in members if made.get(key) is not None}
    request = requests.Request(made["method"], made["url"], headers=headers, **body).prepare()
    content = request.body.encode() if isinstance(request.body, str) else request.body
    return send(APP, request.method, request.url, headers=dict(request.headers), content=content)


def _may_stand(value: object) -> bool:
    """Return whether a header can be written at all."""
    return isinstance(value, str) and value.isascii() and value.isprintable()


def _hold(case: Any, response: httpx.Response) -> None:
    case.validate_response(response, checks=HELD)
    if response.status_code >= 400:
        Client.assert_problem(response)


def _examples(request: pytest.FixtureRequest) -> int:
    return LONG if request.config.getoption("--long") else SHORT


def _cases() -> list[Any]:
    """Return every operation, asked well and badly, for what is made up and for what is stored."""
    return [
        pytest.param(one, mode, known, id=f"{_label(one)}-{mode.value}{'-stored' if known else ''}")
        for one in OPERATIONS
        for mode in GenerationMode
        for known in {True: [None, _known(one)], False: [None]}[_known(one) is not None]
    ]


@pytest.mark.parametrize(("operation", "mode", "known"), _cases())
def test_what_is_answered_is_described(
    operation: Any,
    mode: GenerationMode,
    known: dict[str, Any] | None,
    request: pytest.FixtureRequest,
) -> None:
    made = operation.as_strategy(
        generation_mode=mode, **({"path_parameters": known} if known else {})
    )

    @settings(
        max_examples=_examples(request),
        derandomize=True,
        deadline=None,
        database=None,
        suppress_health_check=list(HealthCheck),
    )
    @given(case=made)
    def every(case: Any) -> None:
        _hold(case, _sent(case))

    try:
        every()
    except Unsatisfiable:
        # Nothing of this request can be made wrong: it has neither body nor parameters.
        assert mode is GenerationMode.NEGATIVE


def test_the_checks_hold_something() -> None:
    """A check that cannot fail would be no check: an answer that is not described is seen."""
    (operation,) = [one for one in OPERATIONS if one.path == "/healthz"]
    case = operation.Case()
    answer = send(APP, "GET", "/api/v1/nowhere")
    with pytest.raises(checks.FailureGroup):
        case.validate_response(answer, checks=HELD)


def _document() -> dict[str, Any]:
    return create_app().openapi()


def test_every_operation_is_described_in_full() -> None:
    document = _document()
    for path, operations in document["paths"].items():
        for method, operation in operations.items():
            label = f"{method} {path}"
            assert operation.get("summary"), label
            assert operation.get("description"), label
            for status, answer in operation["responses"].items():
                assert answer.get("description"), (label, status)
                if int(status) >= 400:
                    assert list(answer["content"]) == ["application/problem+json"], (label, status)
            assert {"403", "421"} <= set(operation["responses"]), label
            for content in operation.get("requestBody", {}).get("content", {}).values():
                assert content["examples"], label


ONLY_WITH_ACCOUNTS = {"session", "accounts", "keys", "vessels"}
"""Tags of what there is only where people sign in: tests/access/test_examples.py sends these."""


def example_requests(*, with_accounts: bool = False) -> list[Any]:
    """Return every operation with the request that its examples make."""
    made = []
    for path, operations in _document()["paths"].items():
        for method, operation in operations.items():
            if with_accounts is not bool(ONLY_WITH_ACCOUNTS & set(operation["tags"])):
                continue
            bodies = operation.get("requestBody", {}).get("content", {})
            (kind, content), *_ = [*bodies.items(), (None, {})]
            values = {one["name"]: one.get("example") for one in operation.get("parameters", ())}
            value = None if kind is None else content["examples"]["sample"]["value"]
            made.append(pytest.param(method, path, kind, value, values, id=f"{method} {path}"))
    return made


@pytest.mark.parametrize(("method", "path", "kind", "value", "values"), example_requests())
def test_the_examples_run(
    method: str, path: str, kind: str | None, value: Any, values: dict[str, Any]
) -> None:
    """Each example is sent as it is written, to a service in which the demonstration is kept."""
    if is_about_parcels(path):
        answer = ask_by_example(method, path, value)
        assert answer.status_code in (200, 201, 202), answer.text
        return
    app = create_app()
    client = Client(app)
    keep_demonstration(app.state.store, app.state.folders.samples, now_utc())
    assert client.send("POST", "/api/v1/plans/demonstration/revisions").status_code == 201
    if path.endswith(BESIDE):
        plan_id = _offered(client, approved=path.endswith(BESIDE_APPROVED))
        values = {**values, "plan_id": plan_id}
    _talk(client, path, values)
    collection = "/".join(path.split("/")[:4])
    if "{item_id}" in path:
        models = {"ships": "ShipIn", "hazard-sets": "HazardSetIn", "limit-sets": "LimitSetIn"}
        example = EXAMPLES[models[collection.rpartition("/")[2]]]
        made = client.send("POST", collection, json=example)
        values = {**values, "item_id": made.json()["id"]}
    if path.startswith("/api/v1/charts"):
        job = imported(client, ("ZZ4GAT.000", water_cell().base()))
        values = {**values, "import_id": job["id"], "chart_id": cell_id(job)}
    if "{webhook_id}" in path:
        hook = add_webhook(app.state.store, "http://127.0.0.1:9/", "own", (), now_utc())
        values = {**values, "webhook_id": hook.id}
    if path.endswith(("/undo", "/redo")):
        _step_back(client, twice=path.endswith("/redo"))
    body = {"json": value} if kind == "application/json" else {}
    if kind == "multipart/form-data":
        files = value["file"] if isinstance(value["file"], list) else [value["file"]]
        body = {"files": [("file", ("route.csv", one.encode())) for one in files]}
    place = path.format(**{name: values.get(name) for name in values})
    headers = {}
    if method == "put" or path.endswith(TAGGED):
        read = place if method == "put" else place.rpartition("/")[0]
        headers["If-Match"] = client.get(read).headers["etag"]
    asked = {name: values[name] for name in ("was", "now") if values.get(name) is not None}
    answer = client.send(method.upper(), place, headers=headers, params=asked, **body)
    assert answer.status_code in (200, 201, 202), answer.text


def _offered(client: Client, *, approved: bool) -> str:
    """Keep and offer the sample plan, and approve it with a reason for all that is open."""
    plan_id = str(client.send("POST", "/api/v1/plans", json=EXAMPLES["PlanRequest"]).json()["id"])
    place = f"/api/v1/plans/{plan_id}/revisions"
    assert client.send("POST", place, json=EXAMPLES["OfferIn"]).status_code == 201
    if approved:
        open_items = client.get(f"{place}/1/record").json()["open_items"]
        decision = {
            **EXAMPLES["DecisionIn"],
            "kind": "approve",
            "reasons": reasons_for(open_items, "seen"),
        }
        tag = {"If-Match": client.get(f"{place}/1").headers["etag"]}
        made = client.send("POST", f"{place}/1/decisions", json=decision, headers=tag)
        assert made.status_code == 201, made.text
    return plan_id


def _talk(client: Client, path: str, values: dict[str, Any]) -> None:
    """Open the thread, or write the explanation, that a path goes on from."""
    place = f"/api/v1/plans/{values.get('plan_id')}"
    made = []
    if "{thread_id}" in path:
        made.append(client.send("POST", f"{place}/threads", json=EXAMPLES["ThreadIn"]))
    if path.endswith("/reopen"):
        there = f"{place}/threads/{values['thread_id']}/resolve"
        made.append(client.send("POST", there, json=EXAMPLES["ResolveIn"]))
    if "{explanation_id}" in path:
        there = f"{place}/explanations"
        made.append(client.send("POST", there, json=EXAMPLES["ExplanationIn"]))
        values["explanation_id"] = made[-1].json()["id"]
    assert {one.status_code for one in made} <= {201}, [one.text for one in made]


def _step_back(client: Client, *, twice: bool) -> None:
    """Change the demonstration's draft, so that there is a step to take back, or take it back."""
    place = "/api/v1/plans/demonstration"
    draft = client.get(place)
    inputs = {**draft.json()["inputs"], "limits": {"min_clearance_m": 500.0}}
    changed = client.send("PUT", place, json=inputs, headers={"If-Match": draft.headers["etag"]})
    assert changed.status_code == 200
    if twice:
        tag = {"If-Match": changed.headers["etag"]}
        assert client.send("POST", f"{place}/undo", headers=tag).status_code == 200


def test_examples_with_a_fault_are_refused_where_the_fault_is(client: Client) -> None:
    body = copy.deepcopy(EXAMPLES["PlanRequest"])
    body["route"]["waypoints"][1]["lat_deg"] = 91.0
    refused = client.plan(body)
    assert refused.status_code == 422
    assert refused.json()["errors"][0]["pointer"] == "/route/waypoints/1/lat_deg"
