"""What a difference says of action points, contingencies, sources and checklists.

Both plans are computed by the service; the figures of the sentences were worked out by hand.
"""

from typing import Any

import pytest

from tests.render.test_difference import moved_to, told
from tests.revision_documents import GAT, SHIP, Document, frozen, rich_request
from wheelover.api import create_app


@pytest.fixture(scope="module")
def app() -> Any:
    return create_app()


@pytest.fixture(scope="module")
def document(app: Any) -> Document:
    return frozen(app, rich_request(), ship=SHIP, hazards=GAT)


def of(found: dict[str, Document], kind: str) -> dict[str, str]:
    """Return the sentences of one kind of subject by what differs."""
    return {
        one["what"]: one["sentence"] for one in found.values() if one["subject"]["kind"] == kind
    }


def test_a_point_that_is_put_elsewhere(document: Document, app: Any) -> None:
    """Along the leg to B at 11 kn and a current of 1 kn; only the place on the leg differs."""
    body = rich_request()
    body["points"][0] |= {"before_nm": 5.0, "text": "Ladder to windward", "notice_min": 30.0}
    found = told(document, moved_to(document, app, body))
    said = of(found, "point")
    name = "Action point pilot P1"
    assert said["before_nm"] == f"{name} distance before the waypoint was 4.00 NM, now 5.00 NM"
    assert said["notice_min"] == f"{name} notice was 20 min, now 30 min"
    assert said["text"] == f"{name} text was Ladder to leeward, now Ladder to windward"
    assert said["as-laid-place"].startswith(
        f"{name}, as laid, place: was 4.00 NM before B at 2026-11-25T14:42:14.917Z, now 5.00 NM "
    )
    # What the answer repeats of the text is told with it, once.
    text = found["bridge/P1/text"]
    assert [one["pointer"] for one in text["figures"]] == [
        "/inputs/points/0/text", "/result/points/0/text",
    ]  # fmt: skip
    assert found["bridge/P1/as-laid-place"]["follows"] == "bridge/P1/before_nm"
    assert not any("/points/" in one["sentence"] for one in found.values())


def test_points_that_come_and_go(document: Document, app: Any) -> None:
    body = rich_request()
    del body["points"][1]
    body["points"].append(
        {"id": "P9", "kind": "no_return", "leg_to_id": "B", "before_nm": 1.5, "channel": "VHF 16"}
    )
    said = of(told(document, moved_to(document, app, body)), "point")
    assert said["added"] == "Action point no return P9 added: 1.50 NM before B, VHF 16"
    assert said["taken-away"].startswith("Action point report P2 taken away: 47-06.0")


def test_a_contingency_that_is_laid_elsewhere(document: Document, app: Any) -> None:
    """0.01 degrees of latitude are 0.60 NM."""
    body = rich_request()
    roads = body["contingencies"][0]
    roads["remark"] = "14 m, sand"
    roads["route"]["waypoints"][1]["lat_deg"] += 0.01
    found = told(document, moved_to(document, app, body))
    said = of(found, "contingency")
    name = "Contingency anchorage 'roads'"
    assert said["remark"] == f"{name} remark was 12 m, mud, now 14 m, sand"
    assert said["route/waypoints/r2/position"].startswith(
        f"{name}: waypoint r2 moved 0.60 NM 000 T, was 47-09.0"
    )
    laid = " ".join(said.values())
    assert "distance was 3.63 NM, now" in laid
    assert f"{name}, as laid, its own plan" in laid


def test_a_source_of_another_edition_and_one_that_was_read(document: Document, app: Any) -> None:
    body = rich_request()
    body["sources"][0] |= {"edition": "4", "corrected_to_utc": "2026-11-20T00:00:00Z"}
    body["sources"][1]["consulted"] = True
    found = told(document, moved_to(document, app, body))
    said = [one["sentence"] for one in found.values() if one["subject"]["kind"] == "source"]
    chart = "Source 'Gat and approaches' 1234"
    assert f"{chart} edition was 3, now 4" in said
    assert f"{chart} corrected to was 2026-10-01T00:00:00Z, now 2026-11-20T00:00:00Z" in said
    assert "Source 'Forecast' consulted was no, now yes" in said
    # 25 November 14:02 is 55.6 days after 1 October and 5.6 days after 20 November.
    (age,) = [one for one in said if "as laid" in one]
    assert age == f"{chart}, as laid: age was 55.58472222 days, now 5.58472222 days"


def test_a_source_that_is_new(document: Document, app: Any) -> None:
    body = rich_request()
    body["sources"].append(
        {"id": "S3", "kind": "notices", "title": "Notices", "edition": "47", "consulted": False}
    )
    found = told(document, moved_to(document, app, body))
    said = of(found, "source")
    assert said["added"] == "Source 'Notices' added: edition 47, not consulted"
    (kinds,) = of(found, "sources").values()
    assert kinds.startswith("Sources kinds that are missing was ")


def test_an_item_of_a_checklist(document: Document, app: Any) -> None:
    body = rich_request()
    body["checklists"]["planning"]["wheel_overs"]["state"] = "not_done"
    found = told(document, moved_to(document, app, body))
    said = [one["sentence"] for one in found.values() if one["subject"]["kind"] == "checklist"]
    assert "Checklist planning wheel overs state was done, now not_done" in said
