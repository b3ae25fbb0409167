"""Every number of the parts the bridge steers by stands in the workbook, and most on paper.

The other way round (no number of a file that the JSON does not hold) is in ``test_workbook`` and
in ``tests/render/paper``.
"""

import copy
import re
from collections import Counter
from collections.abc import Iterator
from functools import lru_cache
from typing import Any

import openpyxl
import pytest

from tests import zoo
from tests.api.test_aid_lines import body, mark
from tests.core.aids.waters import NORTH, beside, off
from tests.render.paper.plans import FROZEN, demonstration_plan, made, matter, rich_plan
from tests.render.paper.test_pilot import CARD, LOADING
from tests.render.workbook.test_workbook import fifteen, opened
from wheelover.render.paper.paper import laid_out
from wheelover.render.paper.sheet import Text
from wheelover.usecases.plan_route import plan_route

Document = dict[str, Any]
MILE_M = 1852.0
UNITS = {
    "deg_per_min": "deg/min", "t_per_day": "t/day", "nm": "NM", "kn": "kn", "deg": "deg",
    "min": "min", "m": "m", "s": "s", "h": "h", "t": "t", "kw": "kW", "rpm": "rpm",
    "days": "days", "count": "count", "ratio": "ratio", "index": "number",
}  # fmt: skip
"""Units by the end of a name, by hand."""


@lru_cache(maxsize=1)
def lines_plan() -> tuple[Document, Document]:
    """Return a plan with every kind of line to steer by, and a whole pilot card."""
    front = off(NORTH[1], 0.0, 2.0 * MILE_M)
    request = body(
        mark("tower", beside(5000.0, 1.5 * MILE_M), height_m=40.0),
        mark("spire", beside(8000.0, -1.2 * MILE_M), height_m=40.0),
        mark("light", beside(12_000.0, 300.0), kind="light", height_m=30.0),
        mark("front", front, leading_deg=0.0, height_m=25.0),
        mark("rear", off(front, 0.0, 800.0), leading_deg=0.0, height_m=35.0),
        leg={"xtd_port_nm": 0.4},
        departure_utc="2026-12-01T12:00:00Z",
    )
    chosen = {"clearing_mark_ids": ["gone"], "index_mark_ids": ["missing"]}
    request["route"]["waypoints"][2]["leg"] = chosen
    rocks = {"Far rock": beside(5000.0, 1200.0), "Near rock": beside(5600.0, 700.0)}
    request["hazards"]["features"] = [
        {
            "type": "Feature",
            "geometry": {"type": "Point", "coordinates": [lon_deg, lat_deg]},
            "properties": {"id": name.lower().replace(" ", "-"), "name": name},
        }
        for name, (lat_deg, lon_deg) in rocks.items()
    ]
    request["ship"] = {
        **zoo.request()["ship"], **LOADING, "pilot_card": CARD, "eye_height_m": 20.0,
        "radar_height_m": 30.0,
    }  # fmt: skip
    return request, plan_route(made(copy.deepcopy(request)))


PLANS = {"demonstration": demonstration_plan, "rich": rich_plan, "lines": lines_plan}


def numbers_by_name(value: Any, name: str = "") -> Iterator[tuple[str, float]]:
    """Yield every number of JSON values with the name of its member."""
    if isinstance(value, dict):
        for inner, one in value.items():
            yield from numbers_by_name(one, inner)
    elif isinstance(value, list):
        for one in value:
            yield from numbers_by_name(one, name)
    elif isinstance(value, int | float) and not isinstance(value, bool):
        yield name, fifteen(value)


def head(name: str) -> str:
    """Return how the head of a column of a member ends."""
    end = max((one for one in UNITS if name.endswith(f"_{one}")), key=len, default="")
    plain = name.removesuffix(f"_{end}").replace("_", " ") if end else name.replace("_", " ")
    return f"{plain}, {UNITS[end]}" if end else plain


def held(book: openpyxl.Workbook, sheet: str) -> Counter[tuple[str, float]]:
    """Return every number of a sheet with each end of its head, in words."""
    found: Counter[tuple[str, float]] = Counter()
    heads = [str(cell.value) for cell in book[sheet][2]]
    for row in book[sheet].iter_rows(min_row=3):
        for title, cell in zip(heads, row, strict=True):
            if isinstance(cell.value, int | float) and not isinstance(cell.value, bool):
                if heads == ["of", "item", "value", "unit"]:
                    title = f"{row[1].value}, {row[3].value}".removesuffix(", ")  # noqa: PLW2901
                words = title.split(" ")
                ends = {" ".join(words[start:]) for start in range(len(words))}
                found.update((end, fifteen(cell.value)) for end in ends)
    return found


def of_pieces(result: Document, member: str, *names: str) -> list[Any]:
    return [one[name] for one in result[member] for name in names if one.get(name)]


def parts(result: Document) -> dict[str, list[Any]]:
    """Return what must stand in each sheet."""
    without_plan = [
        {name: value for name, value in one.items() if name != "plan"}
        for one in result["contingencies"]
    ]
    # Which row of a list was chosen is told in the row itself.
    cues = [
        {name: value for name, value in one.items() if name not in ("first", "second")}
        for one in of_pieces(result, "turns", "cues")
    ]
    return {
        "index": [
            *of_pieces(result, "legs", "index_lines", "clearing_lines", "transits"),
            *of_pieces(result, "turns", "index_lines"),
        ],
        "pilot card": [result["pilot_card"]],
        "points": result["points"],
        "contingencies": without_plan,
        "schedule": [result["schedule"]],
        "cues": cues,
        "monitoring": of_pieces(result, "legs", "monitoring"),
        "sources": [result["sources"]],
        "checklists": [result["checklists"]],
    }


def missing(book: openpyxl.Workbook, result: Document) -> list[tuple[str, str, float]]:
    """Return every number of the JSON that its sheet does not hold under its name, as often."""
    gone = []
    for sheet, values in parts(result).items():
        wanted = Counter((head(name), value) for name, value in numbers_by_name(values))
        found = held(book, sheet) if sheet in book.sheetnames else Counter()
        gone += [(sheet, *one) for one, count in wanted.items() if found[one] < count]
    return gone


@pytest.mark.parametrize("which", sorted(PLANS))
def test_every_number_of_the_parts_stands_in_its_sheet(which: str) -> None:
    request, result = PLANS[which]()
    assert missing(opened(request, result, FROZEN), result) == []
    assert sum(1 for _ in numbers_by_name(list(parts(result).values()))) > 250


def test_the_plans_hold_what_is_looked_for() -> None:
    """Or the walk would find nothing missing of what never comes."""
    seen: Counter[str] = Counter()
    for plan in PLANS.values():
        _, result = plan()
        for leg in result["legs"]:
            index, clearing = leg["index_lines"] or {}, leg["clearing_lines"] or {}
            seen["line"] += len(index.get("rows", []))
            seen["limit"] += sum(len(one["limits"]) for one in index.get("rows", []))
            seen["not_served"] += len(index.get("not_served", []))
            seen["unusable"] += len(index.get("not_usable", []) + clearing.get("not_usable", []))
            seen["bearing"] += len(clearing.get("bearings", []))
            seen["range"] += len(clearing.get("ranges", []))
            seen["none_for"] += len(clearing.get("none_for", []))
            seen["other"] += sum(len(one["not_cleared"]) for one in clearing.get("bearings", []))
            seen["transit"] += len(leg["transits"])
        seen["bend"] += sum(len((one["index_lines"] or {"rows": []})["rows"])
                            for one in result["turns"])  # fmt: skip
        seen["points"] += len(result["points"])
        seen["contingencies"] += len(result["contingencies"])
    assert min(seen.values()) > 0, seen


def test_the_walk_misses_what_is_left_out() -> None:
    """Its twins: a clearing range, a limit, a thruster, fuel of a leg and a warning point less."""
    for which, cut in (
        ("demonstration", lambda of: [leg["clearing_lines"]["ranges"].clear()
                                      for leg in of["legs"] if leg["clearing_lines"]]),
        ("lines", lambda of: [one["limits"].clear() for leg in of["legs"]
                              for one in (leg["index_lines"] or {"rows": []})["rows"]]),
        ("lines", lambda of: of["pilot_card"]["thrusters"].clear()),
        ("demonstration", lambda of: of["schedule"]["fuel"]["legs"].clear()),
        ("demonstration", lambda of: [turn["cues"]["warning_points"].clear()
                                      for turn in of["turns"] if turn["cues"]]),
        ("rich", lambda of: of["contingencies"].clear()),
    ):  # fmt: skip
        request, result = PLANS[which]()
        less = copy.deepcopy(result)
        cut(less)
        assert missing(opened(request, less, FROZEN), result), which


@pytest.mark.parametrize("which", sorted(PLANS))
def test_texts_of_what_is_not_served_and_not_cleared_stand_in_the_sheet(which: str) -> None:
    request, result = PLANS[which]()
    sheet = opened(request, result, FROZEN)["index"]
    texts = Counter(str(cell.value) for row in sheet.iter_rows() for cell in row)
    for leg in result["legs"]:
        clearing, index = leg["clearing_lines"] or {}, leg["index_lines"] or {}
        for one in [*clearing.get("none_for", []), *clearing.get("not_usable", []),
                    *index.get("not_usable", [])]:  # fmt: skip
            for text in one.values():
                assert texts[text] > 0, text
        count = sum(len(one["not_cleared"]) for one in clearing.get("bearings", []))
        assert texts["NOT CLEARED by the clearing bearing"] >= count
        for reason in (clearing.get("reason"), index.get("reason")):
            assert reason is None or texts[reason] > 0


def printed(request: Document, result: Document, part: str) -> str:
    """Return the text of a part of the paper, without blanks."""
    return "".join(
        re.sub(r"\s", "", one.text)
        for page in laid_out(matter(request, result, FROZEN))
        if page.part == part
        for one in page.marks
        if isinstance(one, Text)
    )


@pytest.mark.parametrize("which", sorted(PLANS))
def test_lines_to_steer_by_stand_on_paper(which: str) -> None:
    """In the decimals that can be set, rounded here by Python's own formatting."""
    request, result = PLANS[which]()
    text = printed(request, result, "Index and clearing lines")
    count = 0
    for leg in result["legs"]:
        clearing, index = leg["clearing_lines"] or {}, leg["index_lines"] or {}
        wanted = [
            *(f"{one['set_nm']:.2f}{one['side']}" for one in index.get("rows", [])),
            *(f"{one['range_nm']:.3f}" for one in index.get("rows", [])),
            *(f"{limit['word']}{limit['range_nm']:.2f}" for one in index.get("rows", [])
              for limit in one["limits"] if limit["range_nm"] is not None),
            *(f"{one['word']}{one['set_deg']:05.1f}T" for one in clearing.get("bearings", [])),
            *(f"{one['word']}{one['set_nm']:.2f}NM" for one in clearing.get("ranges", [])),
            *(f"{one['bearing_deg']:05.1f}" for one in leg["transits"]),
            *(f"{one['from_nm']:.2f}to{one['to_nm']:.2f}NM" for one in index.get("not_served", [])),
            *(re.sub(r"\s", "", one["hazard_name"]) for one in clearing.get("none_for", [])),
        ]  # fmt: skip
        for one in wanted:
            assert one in text, one
        count += len(wanted)
    for turn in result["turns"]:
        for one in (turn["index_lines"] or {"rows": []})["rows"]:
            assert f"{one['in_range_nm']:.2f}{one['in_side']}" in text
            assert f"{one['out_range_nm']:.2f}{one['out_side']}" in text
            count += 2
    assert count > (15 if which != "rich" else -1)


@pytest.mark.parametrize("which", sorted(PLANS))
def test_times_and_points_stand_on_paper(which: str) -> None:
    request, result = PLANS[which]()
    schedule = printed(request, result, "Schedule")
    for row in result["schedule"]["rows"]:
        for at in (row["eta_utc"], row["etd_utc"] if row["stay_s"] else None):
            assert at is None or f"{at[5:10]}{at[11:16]}Z" in schedule
        if row["to_go_nm"] is not None:
            assert f"{row['to_go_nm']:.2f}" in schedule
    for leg in result["schedule"]["legs"]:
        if leg["speed_over_ground_kn"] is not None:
            assert f"{leg['speed_over_ground_kn']:.1f}" in schedule
    watch = printed(request, result, "Monitoring")
    for one in result["points"]:
        if one["place"] is not None:
            assert f"{one['place']['before_nm']:.2f}" in watch, one["id"]
    for one in result["contingencies"]:
        if one["distance_nm"] is not None:
            assert f"{one['distance_nm']:.2f}" in watch, one["id"]


def test_the_sheet_of_the_pilot_card_reads_as_lines_with_units() -> None:
    request, result = lines_plan()
    sheet = opened(request, result, FROZEN)["pilot card"]
    lines = [tuple(cell.value for cell in row) for row in sheet.iter_rows(min_row=3)]
    assert ("ship", "max power", 8765, "kW") in lines
    assert ("thruster 1", "power", 812, "kW") in lines
    assert ("engine order 1", "propeller", 63, "rpm") in lines
    assert ("ship", "chain port shackles", 12.25, "count") in lines
    assert ("equipment 1", "checked", "no", "") in lines
    assert [line for line in lines if line[1] == "call sign"] == [
        ("ship", "call sign", "ZZZZ1", "")
    ]
