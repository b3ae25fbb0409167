"""F6: damaged and odd route files: each is refused clearly, or its bad rows are named.

The files are those of ``tests/formats/corpus``, as they are and with bytes cut or turned by chance.
"""

import random
from pathlib import Path
from typing import Any

import pytest

from tests.api.conftest import Client
from tests.faults.figures import report
from wheelover.api import create_app
from wheelover.api.routers import routes

CORPUS = Path(__file__).parents[1] / "formats" / "corpus"
_OF_THE_SERVER = ("/usr/", "/home/", "site-packages", "Traceback", "wheelover/formats")


def _files(count: int) -> list[tuple[str, bytes]]:
    """Return so many files: the corpus first, then damaged copies of it."""
    paths = sorted(CORPUS.iterdir())
    made = [(path.name, path.read_bytes()) for path in paths]
    chance = random.Random(6)  # noqa: S311  the same files in every run
    while len(made) < count:
        path = chance.choice(paths)
        body = bytearray(path.read_bytes())
        if not body:
            continue
        if chance.random() < 0.4:
            body = body[: chance.randrange(len(body))]
        for _ in range(chance.randint(1, 6)):
            if body:
                body[chance.randrange(len(body))] = chance.randrange(256)
        made.append((path.name, bytes(body)))
    return made[:count]


def uploaded(count: int) -> dict[str, Any]:
    """Return how many files were read, read in part, refused with a place, and refused without."""
    client = Client(create_app())
    figures = {"files": 0, "read": 0, "in_part": 0, "refused": 0, "placed": 0, "ours": 0, "told": 0}
    for name, body in _files(count):
        answer = client.read(body, name)
        figures["files"] += 1
        figures["ours"] += answer.status_code >= 500
        figures["told"] += any(one in answer.text for one in _OF_THE_SERVER)
        if answer.status_code == 200:
            bad = [row for row in answer.json()["report"] if row["problem"]]
            figures["in_part" if bad else "read"] += 1
            assert all(row["line"] for row in bad)
            continue
        figures["refused"] += 1
        errors = answer.json().get("errors", [])
        figures["placed"] += any("line" in one or "pointer" in one for one in errors)
    return figures


def holds(figures: dict[str, Any]) -> bool:
    """Most refusals have a place; a file of an unknown kind, or an empty one, has none."""
    placed = figures["placed"] / max(figures["refused"], 1)
    quiet = figures["ours"] == 0 and figures["told"] == 0
    return bool(quiet and figures["refused"] >= 0.2 * figures["files"] and placed >= 0.5)


def test_every_damaged_file_is_answered_clearly(long_form: bool) -> None:
    figures = uploaded(500 if long_form else 160)
    report("F6", **figures)
    assert holds(figures)


def test_a_reader_that_swallows_its_errors_is_found_out(monkeypatch: pytest.MonkeyPatch) -> None:
    real = routes.read_route_file

    def swallowing(body: bytes, name: str) -> Any:
        try:
            return real(body, name)
        except Exception:  # the sabotage: nothing is said of what could not be read
            nothing = {"name": name, "waypoints": []}
            return {"format": "csv", "route": nothing, "report": [], "accepted_count": 0,
                    "rejected_count": 0}  # fmt: skip

    monkeypatch.setattr(routes, "read_route_file", swallowing)
    figures = uploaded(90)
    report("F6-twin", **figures)
    assert not holds(figures)
