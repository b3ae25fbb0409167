"""What files of a revision say of its record: reasons, others' words, warnings, the audit head."""

import csv
import io
from pathlib import Path
from typing import Any

import pytest
from pypdf import PdfReader

from tests.api.conftest import Client
from tests.api.keeping import post, stored_plan
from tests.api.record_keeping import (
    MASTER,
    NAVIGATOR,
    WATCH,
    approve,
    decide,
    edit,
    offer,
    record,
)
from tests.reasons import reasons_for
from wheelover.api import create_app
from wheelover.cli import main

FORMATS = ("geojson", "rtz", "gpx", "csv")
OFFICE = {"name": "S. Lund", "rank": "superintendent"}


@pytest.fixture(scope="module")
def database(tmp_path_factory: pytest.TempPathFactory) -> str:
    return f"sqlite:///{tmp_path_factory.mktemp('words') / 'a.sqlite3'}"


@pytest.fixture(scope="module")
def reviewed(database: str) -> tuple[Client, str]:
    """Return a plan that everybody has said something of, approved."""
    client = Client(create_app(database))
    place, _ = stored_plan(client)
    offer(client, place)
    finding = client.get(f"{place}/revisions/1").json()["result"]["findings"][0]["id"]
    body = {"finding_id": finding, "words": "Old data, seen.", "by": NAVIGATOR, "revision": 1}
    one = post(client, f"{place}/explanations", body).json()["id"]
    answer = {"answer": "accepted", "words": "Agreed by me.", "by": MASTER}
    assert post(client, f"{place}/explanations/{one}/answers", answer).status_code == 201
    agreed = {"kind": "agree", "words": "Mind the squat.", "by": OFFICE}
    assert post(client, f"{place}/revisions/1/shore-decisions", agreed).status_code == 201
    approve(client, place, 1)
    for leg in client.get(f"{place}/revisions/1").json()["result"]["legs"]:
        said = {"to_id": leg["to_id"], "by": WATCH}
        done = post(client, f"{place}/revisions/1/verified-courses", said)
        assert done.status_code == 201, done.text
    return client, place


def words(body: bytes, name: str) -> str:
    """Return the words of a file, its escapes undone."""
    text = body.decode("utf-8-sig")
    if name == "csv":
        return "\n".join(cell for row in csv.reader(io.StringIO(text)) for cell in row)
    for written, meant in (("&quot;", '"'), ("&#39;", "'"), ("&apos;", "'"), ("&amp;", "&")):
        text = text.replace(written, meant)
    return text.replace('\\"', '"')


@pytest.mark.parametrize("name", FORMATS)
def test_a_file_says_what_was_said_of_a_revision(reviewed: tuple[Client, str], name: str) -> None:
    client, place = reviewed
    text = words(client.get(f"{place}/revisions/1/export/{name}").content, name)
    assert "Finding explained by A. Berg, second officer, claimed" in text
    assert "Old data, seen." in text
    assert "Accepted by R. Holm, master, claimed" in text
    assert "Agreed by me." in text
    assert "Shore agreed: S. Lund, superintendent, claimed" in text
    assert "Mind the squat." in text
    legs = client.get(f"{place}/revisions/1").json()["result"]["legs"]
    assert "Courses verified by L. Vik, third officer, claimed" in text
    for leg in legs:
        assert f"{leg['from_id']} to {leg['to_id']} {leg['course_deg']:05.1f}" in text


@pytest.mark.parametrize("name", FORMATS)
def test_a_reason_stands_with_the_message_it_serves(
    reviewed: tuple[Client, str], name: str
) -> None:
    client, place = reviewed
    text = words(client.get(f"{place}/revisions/1/export/{name}").content, name)
    approval = record(client, place, 1)["approval"]
    assert len(approval["reasons"]) > 1
    split = text.replace(" | ", "\n").replace("&#10;", "\n").splitlines()
    lines = [one for one in split if "Master's reason" in one]
    for reason in approval["reasons"]:
        messages = [item["message"][:60] for item in reason["items"]]
        assert any(all(one in line for one in messages) for line in lines), messages
        for item in reason["items"]:
            assert not any(f"(for {item['id']}" in line for line in lines)


def test_the_head_that_a_file_carries_is_held_against_the_log(
    reviewed: tuple[Client, str], database: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """The head of a printed plan shows that the end of the log was cut off afterwards."""
    import sqlite3  # noqa: PLC0415

    client, place = reviewed
    text = words(client.get(f"{place}/revisions/1/export/geojson").content, "geojson")
    head = text.partition("Audit log ends at ")[2][: len("own:00:") + 64].partition('"')[0]
    assert main(["verify", "--database", database, "--head", head]) == 0
    client.app.state.store.close()
    path = Path(database.removeprefix("sqlite:///"))
    with sqlite3.connect(path) as connection:
        connection.execute("DROP TRIGGER audit_no_delete")
        connection.execute("DELETE FROM audit WHERE number = (SELECT max(number) FROM audit)")
    connection.close()
    assert main(["verify", "--database", database, "--head", head]) == 1
    assert "own" in capsys.readouterr().out


def _codes(found: dict[str, Any]) -> list[str]:
    return [one["code"] for one in found["warnings"]]


def test_who_approves_his_own_plan_is_told_to_everybody() -> None:
    client = Client(create_app())
    place, _ = stored_plan(client)
    offer(client, place, by=MASTER)
    assert record(client, place, 1)["warnings"] == []
    found = approve(client, place, 1)
    assert _codes(found) == [
        "approved_by_author",
        "approval_claimed",
        "not_checked_by_second_person",
    ]
    text = client.get(f"{place}/revisions/1/export/geojson").text
    assert "WARNING: R. Holm made this plan and approved it" in text
    assert "WARNING: Name and rank of whoever approved (R. Holm, master) are claimed" in text


def test_a_second_person_takes_the_warnings_away_that_he_answers() -> None:
    client = Client(create_app())
    place, _ = stored_plan(client)
    offer(client, place)
    said = {"by": WATCH, "words": "Looked at."}
    assert post(client, f"{place}/revisions/1/checks", said).status_code == 201
    assert _codes(approve(client, place, 1)) == ["approval_claimed"]
    nameless, _ = stored_plan(client)
    offer(client, nameless, by=None)
    assert "author_not_named" in _codes(approve(client, nameless, 1))


def test_no_long_name_hides_on_any_page_that_an_approval_lapsed(database: str) -> None:
    client = Client(create_app(database))
    place, _ = stored_plan(client)
    offer(client, place)
    name = "Captain Bartholomew Maximilian Archibald Featherstonehaugh-Cholmondeley of Wymondham"
    by = {"name": name, "rank": "master"}
    reasons = reasons_for(record(client, place, 1)["open_items"])
    assert decide(client, place, 1, "approve", by=by, reasons=reasons).status_code == 201
    printed = pages(client, place)
    assert len(printed) > 3
    assert not [one for one in printed if "NOT COUNTED AS APPROVED" in one]
    edit(client, place, limits={"min_clearance_m": 900.0})
    for text in pages(client, place):
        assert "NOT COUNTED AS APPROVED: inputs changed since. State: approved." in text
        assert text.index("NOT COUNTED AS APPROVED") < text.index("Approved r1 by Cap")
    assert "Not counted as approved." in pages(client, place)[0]


def pages(client: Client, place: str) -> list[str]:
    """Return the texts of the pages of the first revision, on one line each."""
    body = client.get(f"{place}/revisions/1/export/pdf").content
    return [" ".join(one.extract_text().split()) for one in PdfReader(io.BytesIO(body)).pages]
