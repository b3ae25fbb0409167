"""F5: bodies made from good ones by chance: nothing is a fault of ours, every error a problem.

In the long form every parser of files runs under a coverage-guided fuzzer as well (atheris, of the
extra ``prove``), five minutes each.
"""

import copy
import importlib.util
import json
import os
import random
import re
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from tests.api.conftest import send
from tests.faults.figures import report
from wheelover.api import create_app, problems
from wheelover.api.examples import EXAMPLES

ROOT = Path(__file__).parents[2]
PLACES = {
    "PlanRequest": "/api/v1/plan",
    "TurnCardRequest": "/api/v1/turns/card",
    "DeparturesRequest": "/api/v1/plan/departures",
    "MovedRequest": "/api/v1/plan/moved",
    "ManoeuvreIn": "/api/v1/manoeuvre",
    "HelmOrdersIn": "/api/v1/turns/helm-orders",
    "AboutMarkIn": "/api/v1/turns/about-mark",
    "ShipIn": "/api/v1/ships",
    "HazardSetIn": "/api/v1/hazard-sets",
    "SignedIn": "/api/v1/plans/plan-none/revisions/1/checks",
    "DecisionIn": "/api/v1/plans/plan-none/revisions/1/decisions",
}
_ODD = [
    None, True, "", "12.5", "\ud800", "a" * 5000, -1, 0, 1e308, -1e-320, 2**63, [], {}, [[]],
    {"a": {"b": {}}}, "'; DROP TABLE plan; --", "<script>", "\u0000",
]  # fmt: skip
_RAW = [b"NaN", b"1e999", b"-Infinity", b'{"a":1,"a":2}', b"\xff\xfe", b"]", b'"\\ud800"', b"00"]


def _places(value: Any, path: tuple[Any, ...] = ()) -> list[tuple[Any, ...]]:
    """Return the path of every member of a value."""
    found = [path] if path else []
    members = value.items() if isinstance(value, dict) else ()
    members = enumerate(value) if isinstance(value, list) else members
    for key, inner in members:
        found += _places(inner, (*path, key))
    return found


def _altered(value: Any, chance: random.Random) -> bytes:
    """Return a body with one to three of its members made odd, or cut or turned as bytes."""
    body = copy.deepcopy(value)
    for _ in range(chance.randint(1, 3)):
        places = _places(body)
        if not places:
            break
        *way, last = chance.choice(places)
        inner = body
        for key in way:
            inner = inner[key]
        if isinstance(inner, dict) and chance.random() < 0.2:
            del inner[last]
        else:
            inner[last] = copy.deepcopy(chance.choice(_ODD))
    raw = json.dumps(body).encode()
    kind = chance.random()
    if kind < 0.1:
        raw = raw[: chance.randrange(len(raw))]
    elif kind < 0.2:
        at = chance.randrange(len(raw))
        raw = raw[:at] + chance.choice(_RAW) + raw[at + 1 :]
    return raw


def fuzzed(count: int, url: str) -> dict[str, int]:
    """Return what became of so many bodies made by chance."""
    app = create_app(url)
    chance = random.Random(5)  # noqa: S311  the same bodies in every run
    figures = {"sent": count, "taken": 0, "refused": 0, "ours": 0, "no_problem": 0}
    for _ in range(count):
        name = chance.choice(list(PLACES))
        answer = send(
            app,
            "POST",
            PLACES[name],
            content=_altered(EXAMPLES[name], chance),
            headers={"Content-Type": "application/json", "If-Match": '"x"'},
        )
        figures["taken"] += answer.status_code < 400
        figures["refused"] += 400 <= answer.status_code < 500
        figures["ours"] += answer.status_code >= 500
        problem = answer.headers["content-type"] == "application/problem+json"
        figures["no_problem"] += answer.status_code >= 400 and not problem
    app.state.store.close()
    return figures


def holds(figures: dict[str, int]) -> bool:
    return figures["ours"] == 0 and figures["no_problem"] == 0 and figures["refused"] > 0


def test_no_body_is_a_fault_of_ours(engine: str, store_url: str, long_form: bool) -> None:
    figures = fuzzed(10_000 if long_form else 400, store_url)
    report("F5", engine=engine, **figures)
    assert holds(figures)


def test_a_service_without_its_handlers_is_found_out(
    engine: str, store_url: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(problems, "install", lambda _app: None)
    figures = fuzzed(40, store_url)
    report("F5-twin", engine=engine, **figures)
    assert not holds(figures)


# The parsers, by a fuzzer that sees which lines a file reaches.

PARSERS = ("csv", "gpx", "rtz", "geojson", "parcel")
_EACH_S, _TWIN_S = 300, 60


def searched(parser: str, seconds: int, folder: Path, *faulty: str) -> dict[str, Any]:
    """Return how many files a fuzzer tried on a parser, and whether one was a fault of ours."""
    if importlib.util.find_spec("atheris") is None:
        if os.environ.get("CI") == "true":
            pytest.fail("atheris is not installed (extra prove)")
        pytest.skip("atheris is not installed (extra prove)")
    command = [sys.executable, "-m", "tests.faults.fuzz_parser", parser, str(seconds), str(folder)]
    done = subprocess.run([*command, *faulty], capture_output=True, check=False, cwd=ROOT)
    said = done.stderr.decode(errors="replace") + done.stdout.decode(errors="replace")
    runs = [int(one) for one in re.findall(r"^(?:Done |#)(\d+)", said, re.MULTILINE)]
    assert runs, said
    return {"parser": parser, "files": max(runs), "faults": int(done.returncode != 0), "said": said}


@pytest.mark.only_long
@pytest.mark.parametrize("parser", PARSERS)
def test_no_file_is_a_fault_of_a_parser(parser: str, tmp_path: Path) -> None:
    figures = searched(parser, _EACH_S, tmp_path)
    said = figures.pop("said")
    report("F5", **figures)
    assert figures["faults"] == 0, said[-3000:]


@pytest.mark.only_long
def test_a_refusal_that_escapes_a_parser_is_found_out(tmp_path: Path) -> None:
    figures = searched("csv", _TWIN_S, tmp_path, "faulty")
    assert "a refusal that escaped" in figures.pop("said")
    report("F5-twin", **figures)
    assert figures["faults"] == 1
