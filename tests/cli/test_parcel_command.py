"""``wheelover parcel``: from card to card and from file to file, without a browser."""

import contextlib
import io
import json
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest

from tests.api.sides import Side, keep_plan, offer
from wheelover.cli import main

BY = ("--by", "A. Berg", "--rank", "second officer")


@dataclass(frozen=True)
class Done:
    """How a command ended."""

    returncode: int
    stdout: str
    stderr: str


class Machine:
    """A machine with a store, asked by commands."""

    def __init__(self, folder: Path) -> None:
        self.url = f"sqlite:///{folder / 'wheelover.sqlite3'}"
        folder.mkdir()

    def run(self, *arguments: str) -> Done:
        said, wrong = io.StringIO(), io.StringIO()
        with (
            pytest.MonkeyPatch.context() as patch,
            contextlib.redirect_stdout(said),
            contextlib.redirect_stderr(wrong),
        ):
            patch.setenv("WHEELOVER_DATABASE", self.url)
            code = main(["parcel", *arguments])
        return Done(returncode=code, stdout=said.getvalue(), stderr=wrong.getvalue())

    def answer(self, *arguments: str) -> Any:
        done = self.run(*arguments)
        assert done.returncode == 0, done.stderr
        return json.loads(done.stdout)  # noqa: TID251


def test_a_plan_is_carried_in_files(tmp_path: Path) -> None:
    ship, shore = Machine(tmp_path / "ship"), Machine(tmp_path / "shore")
    cards = {}
    for machine, name, side in ((ship, "MV Zoo", "ship"), (shore, "Office", "shore")):
        card = machine.answer("card", "--name", name, "--side", side)
        cards[name] = card
        (tmp_path / f"{name}.json").write_text(json.dumps(card))
    paired = shore.answer(
        "pair", str(tmp_path / "MV Zoo.json"), "--fingerprint", cards["MV Zoo"]["fingerprint"], *BY
    )
    assert (paired["state"], paired["name"]) == ("paired", "MV Zoo")
    wrong = ship.run("pair", str(tmp_path / "Office.json"), "--fingerprint", "0" * 40, *BY)
    assert wrong.returncode == 4
    assert "Do not pair" in wrong.stderr
    ship.answer(
        "pair", str(tmp_path / "Office.json"), "--fingerprint", cards["Office"]["fingerprint"], *BY
    )

    bridge = Side(ship.url, "MV Zoo", "ship")
    plan_id = keep_plan(bridge)
    offer(bridge, plan_id)
    bridge.store.close()

    file = tmp_path / "noon.woparcel"
    made = ship.answer("make", cards["Office"]["id"], str(file), "--plan", plan_id, *BY)
    assert made["size_count"] == file.stat().st_size
    again = ship.run("make", cards["Office"]["id"], str(file))
    assert again.returncode == 5
    nothing = ship.run("make", cards["Office"]["id"], str(tmp_path / "other.woparcel"))
    assert nothing.returncode == 4
    assert not (tmp_path / "other.woparcel").exists()

    shown = shore.answer("show", str(file))
    assert shown["manifest"]["sender"]["name"] == "MV Zoo"
    assert shown["index"]["plans"][0]["id"] == plan_id
    assert shore.answer("take", str(file))["state"] == "taken"
    assert shore.answer("take", str(file))["state"] == "already_taken"
    office = Side(shore.url, "Office", "shore")
    assert office.get(f"/api/v1/plans/{plan_id}/revisions/1").status_code == 200
    office.store.close()

    damaged = tmp_path / "damaged.woparcel"
    body = file.read_bytes()
    damaged.write_bytes(body[:-1] + bytes([body[-1] ^ 1]))
    refused = shore.run("take", str(damaged))
    assert refused.returncode == 4
    assert shore.run("take", str(tmp_path / "nowhere")).returncode == 5


@pytest.mark.parametrize(
    "url", ["ftp://host", "http://", "https://user@host", "http://host/?a=1", "http://host:x", "x"]
)
def test_an_address_is_one_of_http(tmp_path: Path, url: str) -> None:
    from wheelover.core.errors import InvalidInput  # noqa: PLC0415
    from wheelover.usecases.parcels.delivery import set_address  # noqa: PLC0415

    with pytest.raises(InvalidInput):
        set_address(Side(None, "x", "ship").store, "wo-x", url, None, "2026-11-26T00:00:00.000Z")


def test_no_request_sets_an_address() -> None:
    """Only the command does: no member of any request is one."""
    from wheelover.api import create_app  # noqa: PLC0415

    text = json.dumps(create_app().openapi())
    assert "push_url" not in text
    assert "push_key" not in text
