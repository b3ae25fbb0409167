"""The workbook opened with another library: numbers, texts, heads, and what hostile names do."""

import datetime
import io
import zipfile
from typing import Any

import openpyxl
import pytest
from openpyxl.worksheet.worksheet import Worksheet

from tests.render.paper.plans import FROZEN, demonstration_plan, long_plan, made, rich_plan
from wheelover.render.exports import Stamp, export_file
from wheelover.render.workbook import workbook
from wheelover.usecases.plan_route import plan_route

Document = dict[str, Any]
DRAFT = Stamp(demonstration=True)
SHEETS = ["plan", "ledger", "turns", "methods", "clearances", "UKC", "index", "schedule",
          "findings", "basis"]  # fmt: skip


def opened(request: Document, result: Document, stamp: Stamp) -> openpyxl.Workbook:
    body, warnings = workbook(request, result, stamp)
    assert warnings == ()
    return openpyxl.load_workbook(io.BytesIO(body))


def rows_of(sheet: Worksheet) -> list[dict[str, Any]]:
    """Return the rows of a sheet by the heads of its second row."""
    heads = [cell.value for cell in sheet[2]]
    return [
        {head: cell.value for head, cell in zip(heads, row, strict=True) if cell.value is not None}
        for row in sheet.iter_rows(min_row=3)
    ]


def fifteen(value: float) -> float:
    """Return a number to the 15 digits that a spreadsheet keeps."""
    return float(f"{value:.15g}")


def numbers_of(value: Any) -> set[float]:
    if isinstance(value, bool) or value is None:
        return set()
    if isinstance(value, int | float):
        return {fifteen(value)}
    if isinstance(value, dict):
        return set().union(*(numbers_of(one) for one in value.values()), set())
    if isinstance(value, list):
        return set().union(*(numbers_of(one) for one in value), set())
    return set()


def texts_of(value: Any) -> set[str]:
    if isinstance(value, str):
        return {value}
    if isinstance(value, dict):
        return set().union(*(texts_of(one) for one in value.values()), set())
    if isinstance(value, list):
        return set().union(*(texts_of(one) for one in value), set())
    return set()


def strange(book: openpyxl.Workbook, *values: Any) -> list[Any]:
    """Return every number of a workbook that JSON values do not hold as it is."""
    held = set().union(*(numbers_of(one) for one in values))
    times = set().union(*(texts_of(one) for one in values))
    missing = []
    for sheet in book:
        for row in sheet.iter_rows():
            for cell in row:
                if isinstance(cell.value, datetime.datetime):
                    start = cell.value.isoformat(timespec="seconds")
                    if not any(one.startswith(start) for one in times):
                        missing.append((sheet.title, cell.coordinate, cell.value))
                elif isinstance(cell.value, int | float) and fifteen(cell.value) not in held:
                    missing.append((sheet.title, cell.coordinate, cell.value))
    return missing


PLANS = {"demonstration": demonstration_plan, "long": lambda: long_plan(12), "rich": rich_plan}


@pytest.mark.parametrize("which", sorted(PLANS))
def test_every_number_of_the_workbook_stands_in_the_json(which: str) -> None:
    request, result = PLANS[which]()
    book = opened(request, result, FROZEN)
    assert book.sheetnames[: len(SHEETS)] == SHEETS
    assert strange(book, request, result) == []
    counted = sum(
        isinstance(c.value, int | float) for s in book for row in s.iter_rows() for c in row
    )
    assert counted > 400


def test_the_walk_finds_a_number_that_is_not_in_the_json() -> None:
    request, result = demonstration_plan()
    other = {**result, "turns": [], "clearances": []}
    assert len(strange(opened(request, result, FROZEN), request, other)) > 100


def test_numbers_are_numbers_with_formats_and_units_in_their_heads() -> None:
    request, result = demonstration_plan()
    book = opened(request, result, FROZEN)
    turns = rows_of(book["turns"])
    assert [one["waypoint id"] for one in turns] == [one["waypoint_id"] for one in result["turns"]]
    for row, turn in zip(turns, result["turns"], strict=True):
        assert row["planned distance, NM"] == turn["planned"]["distance_nm"]
        assert row["rate of turn, deg/min"] == turn["rate_of_turn_deg_per_min"]
    heads = {cell.value: cell.column for cell in book["turns"][2]}
    cell = book["turns"].cell(3, heads["planned distance, NM"])
    assert cell.number_format == "0.000"
    ledger = rows_of(book["ledger"])
    assert [one["what"] for one in ledger[:4]] == ["waypoint", "leg", "waypoint", "turn"]
    assert len([one for one in ledger if one["what"] == "leg"]) == len(result["legs"])
    found = rows_of(book["findings"])
    assert [one["message"] for one in found] == [one["message"] for one in result["findings"]]
    basis = rows_of(book["basis"])
    assert [one["input"] for one in basis] == [one["input"] for one in result["basis"]]


def test_cues_marks_and_monitoring_have_their_sheets() -> None:
    request, result = demonstration_plan()
    book = opened(request, result, FROZEN)
    marks = [one for one in rows_of(book["marks"]) if one["row"] == "mark"]
    assert [one["id"] for one in marks] == [one["id"] for one in result["marks"]["rows"]]
    cues = [one for turn in result["turns"] for one in turn["cues"]["rows"]]
    found = [one for one in rows_of(book["cues"]) if one["row"] == "cue"]
    assert [one["range, NM"] for one in found] == [one["range_nm"] for one in cues]
    watch = [one for one in rows_of(book["monitoring"]) if one["row"] == "leg"]
    assert [one["to id"] for one in watch] == [leg["to_id"] for leg in result["legs"]]


def test_sheets_are_frozen_and_print_on_a4() -> None:
    for sheet in opened(*demonstration_plan(), FROZEN):
        assert sheet.page_setup.orientation == "landscape"
        assert int(sheet.page_setup.paperSize) == 9
        assert sheet.oddFooter.right.text == "page &P of &N"
        assert "REVISION 4" in sheet["A1"].value
        assert "8f3a8f3a" in sheet["A1"].value
        if sheet.max_row > 3 and sheet.title != "plan":
            assert sheet.freeze_panes == "B3"
            assert sheet.print_title_rows == "$2:$2"


def test_the_first_sheet_says_what_every_file_says() -> None:
    request, result = demonstration_plan()
    said = [cell.value for cell in opened(request, result, DRAFT)["plan"]["A"]]
    assert said[0].startswith("DEMONSTRATION, DRAFT")
    count = sum(one["grade"] == "not_checked" for one in result["findings"])
    assert f"NOT CHECKED: {count} findings" in said
    for caution in result["cautions"]:
        assert caution["text"] in said


HOSTILE = (
    "=1+1", "=HYPERLINK(\"http://x\",\"y\")", "+1", "-1", "@SUM(A1)", "\t=1", "{=1}", "&L&P&Z",
    "http://example.org", "<b>x</b>&amp;", "\u202eevil", "x" * 190, "123", "\u0001\u0000x"[1:],
)  # fmt: skip


@pytest.mark.parametrize("name", HOSTILE)
def test_a_hostile_name_is_a_text(name: str) -> None:
    request, _ = demonstration_plan()
    waypoints = [{**one, "name": name} for one in request["route"]["waypoints"]]
    request = {**request, "route": {"name": name, "waypoints": waypoints}}
    request["ship"] = {**request["ship"], "name": name}
    hazards = request["hazards"]
    features = [
        {**one, "properties": {**one["properties"], "name": name}} for one in hazards["features"]
    ]
    request["hazards"] = {**hazards, "name": name, "features": features}
    result = plan_route(made(request))
    body, _ = workbook(request, result, DRAFT)
    book = openpyxl.load_workbook(io.BytesIO(body))
    for sheet in book:
        for row in sheet.iter_rows():
            for cell in row:
                assert cell.data_type != "f", (sheet.title, cell.coordinate, cell.value)
                assert cell.hyperlink is None
    names = {one["name"] for one in rows_of(book["ledger"]) if "name" in one}
    assert names == {name.replace("\u0000", "\ufffd")}
    with zipfile.ZipFile(io.BytesIO(body)) as parts:
        assert not any(b"<f>" in parts.read(part) for part in parts.namelist())
        assert not any("externalLink" in part for part in parts.namelist())


def test_the_same_arguments_give_the_same_bytes() -> None:
    one = workbook(*demonstration_plan(), FROZEN)[0]
    assert one == workbook(*demonstration_plan(), FROZEN)[0]
    with zipfile.ZipFile(io.BytesIO(one)) as parts:
        assert b"2026-11-25T14:02:11Z" in parts.read("docProps/core.xml")


def test_it_is_a_format_of_export() -> None:
    file = export_file("xlsx", *demonstration_plan(), Stamp())
    assert file.name.endswith("-draft.xlsx")
    assert file.media_type.endswith("spreadsheetml.sheet")
    assert file.body.startswith(b"PK")
    assert file.warnings == ()
