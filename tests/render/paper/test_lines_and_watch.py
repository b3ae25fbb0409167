"""Lines to steer by and the bridge team's part on paper say what the JSON says of them."""

import copy
import math
from typing import Any

import pytest

from tests.render.paper.plans import FROZEN, demonstration_plan, made, matter
from wheelover.render.paper.paper import laid_out
from wheelover.render.paper.sheet import Text
from wheelover.usecases.plan_route import plan_route

Document = dict[str, Any]


def _printed(request: Document, result: Document, part: str) -> str:
    """Return the text of a part of the paper."""
    words = [
        one.text
        for page in laid_out(matter(request, result, FROZEN))
        if page.part == part
        for one in page.marks
        if isinstance(one, Text)
    ]
    return " ".join(" ".join(words).split())


def test_a_clearing_bearing_says_what_it_does_not_clear_and_whether_it_is_seen() -> None:
    request, result = demonstration_plan()
    assert "DOES NOT CLEAR" not in _printed(request, result, "Index and clearing lines")
    other = copy.deepcopy(result)
    told = [
        one for leg in other["legs"] for one in (leg["clearing_lines"] or {}).get("bearings", [])
    ]
    unseen = sum(one["sight"] == "not_known" for one in told)
    first = next(one for one in told if one["sight"] == "in_sight")
    first["not_cleared"] = [{"hazard_id": "x", "hazard_name": "Stray Ledge"}]
    first["sight"] = "not_known"
    text = _printed(request, other, "Index and clearing lines")
    assert "DOES NOT CLEAR Stray Ledge" in text
    assert text.count("NOT KNOWN") == unseen + 1
    assert text.count("within its range") == len(told) - unseen - 1


def test_the_notes_and_the_use_of_index_lines_are_printed() -> None:
    request, result = demonstration_plan()
    text = _printed(request, result, "Index and clearing lines")
    rows = [one for leg in result["legs"] for one in (leg["index_lines"] or {"rows": []})["rows"]]
    assert {note for one in rows for note in one["notes"]} >= {
        "Whether radar shows it well is not said.",
        "The radar horizon is not applied: a height is not known.",
    }
    for one in rows:
        for note in one["notes"]:
            assert note in text
        if one["use_from_nm"] is None:
            assert "not used, offered" in text
        else:
            assert f"{one['use_from_nm']:.2f} - {one['use_to_nm']:.2f}" in text


def test_a_mark_that_was_chosen_and_gives_no_line_is_named() -> None:
    request, _ = demonstration_plan()
    request = copy.deepcopy(request)
    request["route"]["waypoints"][1]["leg"] = {
        **(request["route"]["waypoints"][1].get("leg") or {}),
        "index_mark_ids": ["stell-head"], "clearing_mark_ids": ["stell-head"],
    }  # fmt: skip
    result = plan_route(made(request))
    text = _printed(request, result, "Index and clearing lines")
    lines = result["legs"][0]
    told = [
        (one["mark_id"], one["reason"])
        for name in ("index_lines", "clearing_lines")
        for one in lines[name]["not_usable"]
    ]
    assert told
    for mark_id, reason in told:
        assert f"{mark_id} was chosen and gives no" in text
        assert " ".join(reason.split()) in text


def test_an_interval_is_in_time_for_what_is_loaded_alone() -> None:
    """Where the register's row is not checked the paper does not say more than it."""
    request = copy.deepcopy(demonstration_plan()[0])
    for one in request["route"]["waypoints"][1:]:
        leg = one.setdefault("leg", {})
        leg["monitoring"] = {
            **(leg.get("monitoring") or {}),
            "fixing": {"primary": "gnss", "secondary": "radar_ranges", "interval_min": 0.5},
        }
    result = plan_route(made(request))
    judged = [leg["monitoring"]["fixing"]["in_time"] for leg in result["legs"]]
    assert True in judged
    text = _printed(request, result, "Monitoring")
    # Words in the narrow cell are broken anywhere, so the blanks are taken out.
    assert text.replace(" ", "").count("intimeforwhatisloaded") == judged.count(True)
    for note in result["legs"][0]["monitoring"]["fixing"]["notes"]:
        assert note.replace(" ", "") in text.replace(" ", "")


def _with_abort(**members: Any) -> tuple[Document, Document, Document]:
    """Return the demonstration with members of the abort of its confined leg another."""
    request, result = demonstration_plan()
    other = copy.deepcopy(result)
    (leg,) = [one for one in other["legs"] if one["monitoring"]["abort"]]
    leg["monitoring"]["abort"].update({"no_return": None, "abort": None, "reasons": [], **members})
    return request, other, leg


@pytest.mark.parametrize(
    ("members", "expected"),
    [
        ({}, "none found on this leg none found on this leg"),
        ({"looked": False, "room": []}, "not known not known not known"),
        ({"reasons": ["no dangers are loaded"]}, "not known not known 2.44"),
        ({"room": []}, "not known: no room on this leg not known: no room on this leg none"),
    ],
)
def test_a_point_that_is_not_known_does_not_read_none(members: Document, expected: str) -> None:
    request, result, _ = _with_abort(**members)
    assert expected in _printed(request, result, "Monitoring")


def test_an_abort_that_no_stopping_run_reaches_is_not_known_and_the_rest_comes_early() -> None:
    place: Document = {"leg_to_id": "WP04", "before_nm": 0.3212, "track_nm": None, "position": None,
             "at_s": None, "at_utc": None}  # fmt: skip
    request, result, leg = _with_abort(no_return=place, abort=None)
    assert math.ceil(place["before_nm"] * 100) / 100 == 0.33
    assert "not known 0.33 NM before WP04" in _printed(request, result, "Monitoring")
    leg["monitoring"]["abort"]["abort"] = {**place, "before_nm": 1.2901}
    assert "1.30 NM before WP04 0.33 NM before WP04" in _printed(request, result, "Monitoring")
