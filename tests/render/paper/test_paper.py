"""The paper read back: text, pages, heads, numbers, and what hostile names do to it."""

import copy
import io
import math
import re
from collections import Counter
from dataclasses import replace
from typing import Any

import numpy as np
import pypdf
import pypdfium2
import pytest

from tests.render.paper.plans import (
    FROZEN,
    MORE_FONT,
    demonstration_plan,
    long_plan,
    matter,
    printing,
    rich_plan,
)
from tests.render.paper.plans import made as inputs_of
from tests.render.paper.walk import numbers_of, strange, texts_of, times_of, without
from wheelover.formats.positions import shown
from wheelover.render.exports import Stamp, export_file
from wheelover.render.paper.frame import UNITS
from wheelover.render.paper.paper import laid_out, paper
from wheelover.render.paper.sheet import Clip, Mark, Page, Text
from wheelover.render.paper.working import workings
from wheelover.usecases.plan_route import plan_route

Document = dict[str, Any]
DRAFT = Stamp(demonstration=True)


def read(body: bytes) -> list[str]:
    """Return the text of every page, read back by another library."""
    pages = pypdf.PdfReader(io.BytesIO(body)).pages
    return [" ".join(page.extract_text().split()) for page in pages]


def made(request: Document, result: Document, stamp: Stamp) -> list[str]:
    return read(paper(request, result, stamp, printing(request, result))[0])


def texts(marks: list[Mark] | tuple[Mark, ...]) -> list[str]:
    """Return the texts of a page in the order in which they are written."""
    found = []
    for one in marks:
        if isinstance(one, Text):
            found.append(one.text)
        elif isinstance(one, Clip):
            found += texts(one.marks)
    return found


def page_text(page: Page) -> str:
    return " ".join(" ".join(texts(page.marks)).split())


@pytest.fixture(scope="module")
def demonstration_pages() -> list[str]:
    return made(*demonstration_plan(), DRAFT)


def test_every_page_says_which_plan_it_is(demonstration_pages: list[str]) -> None:
    _, result = demonstration_plan()
    filled = [one for one in result["basis"] if one["source"] == "default"]
    count = len(demonstration_pages)
    for index, text in enumerate(demonstration_pages):
        assert f"page {index + 1} of {count}" in text
        assert "DEMONSTRATION" in text
        assert "DRAFT, not approved" in text
        assert "printed 2026-11-26 11:40Z" in text
        assert f"inputs sha256 {result['inputs_sha256'][:8]}" in text
        assert "1 cab = 0.1 NM = 185.2 m" in text
        assert f"Basis: {len(result['basis'])} inputs, {len(filled)} by DEFAULT" in text
        open_count = sum(one["grade"] == "not_checked" for one in result["findings"])
        assert f"NOT CHECKED: {open_count} findings" in text


def test_a_frozen_plan_says_who_approved_it_on_every_page() -> None:
    request, result = demonstration_plan()
    for text in made(request, result, FROZEN):
        assert "Plan plan-0123, r4, sha256 8f3a8f3a" in text
        assert "Approved r4 by R. Holm, master, claimed" in text


def test_the_cover_says_what_was_found_and_what_was_not_looked_at() -> None:
    request, result = demonstration_plan()
    parts = [page.part for page in laid_out(matter(request, result, FROZEN))]
    pages = zip(made(request, result, FROZEN), parts, strict=True)
    cover = plain = " ".join(text for text, part in pages if part == "Cover")
    counts = Counter(one["grade"] for one in result["findings"])
    assert (
        f"Must resolve {counts['must_resolve']}; Must explain {counts['must_explain']}; "
        f"Not checked {counts['not_checked']}; Note {counts['note']}." in cover
    )
    told = cover.index(f"NOT CHECKED: {counts['not_checked']}")
    assert told < cover.index("Findings, by grade")
    assert FROZEN.sha256 is not None
    for words in (FROZEN.sha256, result["inputs_sha256"], "Demo bulker 190", *FROZEN.standing):
        assert words in plain, words
    for one in result["basis"]:
        if one["source"] == "default":
            assert one["input"].replace("_", " ") in plain
    for caution in result["cautions"]:
        assert caution["text"][:60] in plain


def test_the_pdf_holds_the_texts_that_were_laid_out(demonstration_pages: list[str]) -> None:
    pages = laid_out(matter(*demonstration_plan(), DRAFT))
    squeezed = [re.sub(r"\s", "", text) for text in demonstration_pages]
    assert squeezed == [re.sub(r"\s", "", page_text(page)) for page in pages]


PLANS = {"demonstration": demonstration_plan, "long": lambda: long_plan(12), "rich": rich_plan}


@pytest.mark.parametrize("which", sorted(PLANS))
def test_every_number_of_the_paper_stands_in_the_json(which: str) -> None:
    """But page numbers, units, and lines that are worked by hand, which another test works."""
    page_texts, aside, numbers = _walked(*PLANS[which]())
    for text in page_texts:
        assert strange(without(text, aside), numbers) == []


def test_the_walk_finds_a_number_that_is_not_in_the_json() -> None:
    """Its twin: the paper of one plan held against the numbers of another."""
    request, result = demonstration_plan()
    page_texts, aside, _ = _walked(request, result)
    other = numbers_of(_moved(request), _moved(result))
    count = sum(len(strange(without(text, aside), other)) for text in page_texts)
    assert count > 150


def _moved(value: Any) -> Any:
    """Return JSON values with every number another."""
    if isinstance(value, dict):
        return {key: _moved(one) for key, one in value.items()}
    if isinstance(value, list):
        return [_moved(one) for one in value]
    return value * 1.0731 + 0.5 if isinstance(value, float) else value


def _walked(request: Document, result: Document) -> tuple[list[str], set[str], Any]:
    """Return the texts of the pages, what is set aside of them, and the numbers of the JSON."""
    subject = matter(request, result, FROZEN)
    runs = list(subject.printing.runs.values())
    counts = [
        list(group)
        for member, key in (("findings", "grade"), ("basis", "source"))
        for group in _grouped(result[member], key)
    ]
    aside = texts_of(request, result, runs, FROZEN.standing, FROZEN.sha256, FROZEN.created_utc)
    aside |= texts_of(FROZEN.plan_id, UNITS, "8f3a8f3a", "2026-11-26 11:40Z", "r4", "sha256")
    aside |= {line.text for turn in result["turns"] for one in workings(turn, request["ship"])
              for line in one.lines}  # fmt: skip
    aside |= set(subject.said.exchange)
    aside |= _places(request) | _places(result) | times_of(request, result)
    aside |= STATIC
    pages = [
        re.sub(r"page \d+ of \d+", "", " ".join(_said(page))).replace("...", " ")
        for page in laid_out(subject)
    ]
    return pages, {one for one in aside if len(one) > 1}, numbers_of(request, result, runs, counts)


def _said(page: Page) -> list[str]:
    """Return the texts of a page but for what stands at the bar of a drawing's scale."""
    bar = re.compile(r"(0\.2|0\.5|1|2|5|10|20|50) cab")
    return [one for one in texts(page.marks) if not bar.fullmatch(one)]


def _grouped(rows: list[Document], key: str) -> list[list[Document]]:
    names = {one[key] for one in rows}
    return [[one for one in rows if one[key] == name] for name in names]


STATIC = {"above the horizon, 6 and 12 degrees below", "Error m: 1/2 deg; 0.01 NM; radar",
          "Opens 0.1 deg at m"}  # fmt: skip
"""Words of heads that hold numbers of no plan."""


def _places(value: Any) -> set[str]:
    """Return every position of JSON values as it is printed."""
    if isinstance(value, list):
        return set().union(*(_places(one) for one in value), set())
    if not isinstance(value, dict):
        return set()
    found = set().union(*(_places(one) for one in value.values()), set())
    lat_deg, lon_deg = value.get("lat_deg"), value.get("lon_deg")
    if isinstance(lat_deg, float) and isinstance(lon_deg, float):
        found |= set(shown(lat_deg, lon_deg).split())
    return found


def test_heads_repeat_and_no_turn_is_parted() -> None:
    request, result = long_plan(80)
    pages = laid_out(matter(request, result, FROZEN))
    tables = [page for page in pages if page.part == "Plan table"]
    assert len(tables) > 8
    seen: list[str] = []
    for page in tables:
        found = texts(page.marks)
        assert "Wheel-over, NM" in found
        assert "Orders" in found
        names = [one for one in found if one == "leg" or re.fullmatch(r"WP\d\d", one)]
        # A leg is never the last of a page: the turn at its end stands on the page of its leg.
        assert names[-1] != "leg"
        assert names[0] == ("WP01" if page is tables[0] else "leg")
        seen += [one for one in names if one != "leg"]
    assert seen == [one["id"] for one in request["route"]["waypoints"]]
    sheets = [page for page in pages if page.part == "Working sheet"]
    assert len(sheets) == 80


def test_the_same_arguments_give_the_same_bytes() -> None:
    request, result = demonstration_plan()
    one = paper(request, result, DRAFT, printing(request, result))[0]
    assert one == paper(request, result, DRAFT, printing(request, result))[0]
    later = replace(printing(request, result), printed_utc="2026-11-26T11:41:00Z")
    assert one != paper(request, result, DRAFT, later)[0]


HOSTILE = (
    "<b>&amp;</b><img src=x onerror=alert(1)>",
    "=HYPERLINK(1)",
    "\u202eevil\u202c \u05d0\u05d1",
    "x" * 180,
    "a) Tj ET (b \\",
    "\u0416\u4e2d\U0001f6a2",
)


@pytest.mark.parametrize("name", HOSTILE)
def test_a_hostile_name_is_printed_as_it_is_written(name: str) -> None:
    request, _ = demonstration_plan()
    waypoints = [{**one, "name": name} for one in request["route"]["waypoints"]]
    request = {
        **request,
        "route": {**request["route"], "name": name, "waypoints": waypoints},
        "ship": {**request["ship"], "name": name},
    }
    pages = made(request, plan_route(inputs_of(request)), DRAFT)
    most = 0x500 if MORE_FONT else 0x370
    told = "".join(one if ord(one) < most else f"{{{ord(one):04X}}}" for one in name)
    assert re.sub(r"\s", "", told) in re.sub(r"\s", "", pages[0])
    assert len(pages) < 70


def test_a_card_says_what_the_plan_says_of_its_turn() -> None:
    request, result = demonstration_plan()
    pages = laid_out(matter(request, result, FROZEN))
    found = " ".join(page_text(page) for page in pages if page.part == "Turn cards")
    assert found.count("Not a chart.") == len(result["turns"])
    for turn in result["turns"]:
        card = found[found.index(f"Turn {turn['waypoint_id']} ") :]
        distance_nm = turn["planned"]["distance_nm"]
        assert f"WO {distance_nm:.2f} NM" in card[:900]
        assert f"{distance_nm * 10:.2f} cab, {distance_nm * 1852:.0f} m" in card[:900]
        window = turn["hull"]["window"]
        if window and window["latest"]:
            assert f"closes {window['latest']['distance_nm'] * 10:.2f} cab" in card
            assert f"WO to close {math.floor(window['latest']['later_s'])} s" in card
        for row in turn["wheel_overs"]:
            assert f"{row['distance_nm'] * 10:.2f} cab" in card
        for order in turn["wheel_overs"][3]["manoeuvre"]["orders"]:
            assert f"at {order['heading_deg'] % 360:05.1f}" in card


def test_a_run_that_is_not_the_plans_is_not_drawn() -> None:
    """A frozen plan whose turns another engine made otherwise: the reason stands there instead."""
    request, result = demonstration_plan()
    other = copy.deepcopy(result)
    for turn in other["turns"]:
        turn["planned"]["distance_nm"] += 0.01
    subject = matter(request, other, FROZEN)
    assert set(subject.printing.runs.values()) == {
        "the run of this engine is not that of the frozen plan"
    }
    cards = [page_text(one) for one in laid_out(subject) if one.part == "Turn cards"]
    assert all("Run through the turn not drawn: the run of this engine" in one for one in cards)
    assert not any("cab to go" in one for one in cards)


LATER = ("schedule", "marks", "depths", "points", "points_found", "contingencies", "sources",
         "checklists", "fixing_rule", "charts", "cases", "alternatives")  # fmt: skip
LATER_LEG = ("courses", "monitoring", "index_lines", "clearing_lines", "transits", "near", "land")
LATER_TURN = ("cues", "index_lines", "late_helm", "near", "land", "hull")


def test_a_revision_of_an_earlier_engine_is_printed() -> None:
    """It holds none of the members that came later: their parts do not come, and nothing fails."""
    request, result = demonstration_plan()
    earlier = {k: v for k, v in result.items() if k not in LATER}
    earlier["legs"] = [{k: v for k, v in one.items() if k not in LATER_LEG}
                       for one in result["legs"]]  # fmt: skip
    earlier["turns"] = [{k: v for k, v in one.items() if k not in LATER_TURN}
                        for one in result["turns"]]  # fmt: skip
    parts = {page.part for page in laid_out(matter(request, earlier, FROZEN))}
    assert parts == {"Cover", "Plan table", "Turn cards", "Working sheet",
                     "Pilot card and exchange", "Signatures"}  # fmt: skip


def test_what_a_rich_plan_holds_has_its_part() -> None:
    request, result = rich_plan()
    pages = laid_out(matter(request, result, FROZEN))
    by_part: dict[str, str] = {}
    for page in pages:
        by_part[page.part] = by_part.get(page.part, "") + page_text(page)
    for one in result["sources"]["rows"]:
        assert one["title"] in by_part["Cover"]
    assert "NOT CONSULTED" in by_part["Cover"]
    assert "Ladder to leeward" in by_part["Monitoring"]
    assert "anchorage: roads" in by_part["Monitoring"]
    assert "Visibility under 3 NM" in by_part["Monitoring"]
    assert "DIFFERS from what is computed" in by_part["Checklists"]
    for items in result["checklists"].values():
        assert all(one["text"] in by_part["Checklists"] for one in items)
    for one in result["schedule"]["rows"]:
        eta = one["eta_utc"]
        assert f"{eta[5:10]} {eta[11:16]}Z" in by_part["Schedule"]
    for one in result["depths"]["keel"]:
        assert (
            f"{math.floor(one['net_ukc_m'] * 100 + 1e-6) / 100:.2f}"
            in (by_part["Under-keel clearance"])
        )


def test_the_terms_of_a_printed_sum_add_up_to_it() -> None:
    """What stands on the sheet of water under the keel can be added by hand."""
    request, result = rich_plan()
    found = [one for one in laid_out(matter(request, result, FROZEN))
             if one.part == "Under-keel clearance"]  # fmt: skip
    text = " ".join(page_text(page) for page in found)
    (one,) = result["depths"]["keel"]
    terms = re.findall(r"(?:charted depth|tide|draught|density|survey|squat) (-?\d+\.\d\d)", text)
    assert len(terms) == 6
    assert sum(float(term) for term in terms) == pytest.approx(one["net_ukc_m"], abs=1e-9)


def test_pages_have_ink_and_none_of_it_in_the_margins() -> None:
    request, result = demonstration_plan()
    body = paper(request, result, FROZEN, printing(request, result))[0]
    document = pypdfium2.PdfDocument(body)
    scale = 1.5
    for page in document:
        drawn = np.asarray(page.render(scale=scale).to_pil().convert("L"))
        # Black alone: the few greys are rims of letters.
        assert (drawn < 128).mean() > 0.008
        rim = int(11 * 72 / 25.4 * scale)
        inner = np.full(drawn.shape, 255, np.uint8)
        inner[rim:-rim, rim:-rim] = drawn[rim:-rim, rim:-rim]
        assert (inner == drawn).all()


def test_nothing_is_written_outside_the_page_or_smaller_than_nine() -> None:
    for page in laid_out(matter(*long_plan(12), FROZEN)):
        for one in page.marks:
            if isinstance(one, Text):
                assert one.size_pt >= 9.0
                assert 0.0 < one.x_pt < page.width_pt
                assert 0.0 < one.y_pt < page.height_pt


def test_it_is_a_format_of_export() -> None:
    request, result = demonstration_plan()
    file = export_file("pdf", request, result, Stamp(), printing=printing(request, result))
    assert file.media_type == "application/pdf"
    assert file.name == "demonstration-north-gat-to-stell-draft.pdf"
    assert file.body.startswith(b"%PDF-")
    assert file.warnings == ()
