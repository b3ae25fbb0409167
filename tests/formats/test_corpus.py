"""Route files that are damaged, odd or hostile, each with what must be said of it.

``corpus/`` holds the files, ``corpus_expected.json`` the answers: status, and for a file that is
read how many rows were understood and the lines of those that were not; for one that is refused
the line or the member named first. A good file of each odd kind stands among them.
"""

from pathlib import Path
from typing import Any

import pytest

from tests.api.conftest import Client
from wheelover.api import create_app
from wheelover.formats.strict_json import read_json

HERE = Path(__file__).parent
EXPECTED: dict[str, dict[str, Any]] = read_json((HERE / "corpus_expected.json").read_bytes())


@pytest.fixture(scope="module")
def service() -> Client:
    return Client(create_app())


def _said(service: Client, body: bytes, name: str) -> dict[str, Any]:
    """Return the answer to a file in the terms of the expected ones."""
    response = service.read(body, name)
    answer = response.json()
    if response.status_code != 200:
        first = answer.get("errors", [{}])[0]
        place = {key: first[key] for key in ("line", "pointer") if first.get(key)}
        return {"status": response.status_code, **place}
    bad = [row for row in answer["report"] if row["problem"]]
    assert answer["rejected_count"] == len(bad)
    assert len(answer["report"]) == answer["accepted_count"] + len(bad)
    assert len(answer["route"]["waypoints"]) == answer["accepted_count"]
    assert all(row["raw"] is not None and row["understood"] is None for row in bad)
    return {
        "status": 200,
        "format": answer["format"],
        "accepted_count": answer["accepted_count"],
        "bad_lines": [row["line"] for row in bad],
    }


def test_every_file_has_its_answer_and_every_answer_its_file() -> None:
    assert set(EXPECTED) == {path.name for path in (HERE / "corpus").iterdir()}
    assert len(EXPECTED) >= 80


@pytest.mark.parametrize("name", sorted(EXPECTED))
def test_what_is_said_of_it(name: str, service: Client) -> None:
    assert _said(service, (HERE / "corpus" / name).read_bytes(), name) == EXPECTED[name]


@pytest.mark.parametrize("name", sorted(EXPECTED))
def test_a_file_cut_anywhere_never_breaks_the_service(name: str, service: Client) -> None:
    """The same files cut short and with one byte turned, at places spread over them."""
    body = (HERE / "corpus" / name).read_bytes()
    for part in range(1, 8):
        at = len(body) * part // 8
        turned = bytearray(body)
        if at < len(turned):
            turned[at] ^= 0x15
        for one in (body[:at], bytes(turned)):
            assert service.read(one, name).status_code in (200, 415, 422)
