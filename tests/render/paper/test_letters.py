"""Letters of other alphabets on paper: as they are, or as numbers with a word about it.

Read back by another library. The names are those of real places in their own letters, from memory.
"""

import io
import os
import re
from collections.abc import Iterator
from typing import Any

import pypdf
import pytest

from tests.render.paper.plans import MORE_FONT, demonstration_plan, made, matter, printing
from tests.render.paper.test_paper import DRAFT, read
from wheelover.render.exports import export_file
from wheelover.render.paper import type as letters
from wheelover.render.paper.paper import laid_out, paper
from wheelover.render.paper.sheet import Text
from wheelover.usecases.plan_route import plan_route

Document = dict[str, Any]

with_font = pytest.mark.skipif(
    not MORE_FONT and not os.environ.get("CI"), reason="the font of more alphabets is not installed"
)

GREEK = "\u039b\u03b9\u03bc\u03ae\u03bd \u03a0\u03b5\u03b9\u03c1\u03b1\u03b9\u03ac"
RUSSIAN = "\u0424\u0438\u043d\u0441\u043a\u0438\u0439 \u0437\u0430\u043b\u0438\u0432"
UKRAINIAN = "\u041e\u0434\u0435\u0441\u0430, \u0407\u0407 \u0456 \u0491"
LATIN = "Kr\u0101slava, \u0141\u00f3d\u017a, Troms\u00f8, \u0130zmir, \u1ea2nh"
CHINESE = "\u4e2d\u6587 bar"


def plan_named(name: str) -> tuple[Document, Document]:
    """Return the demonstration with a name for route, ship and every waypoint."""
    request, _ = demonstration_plan()
    waypoints = [{**one, "name": name} for one in request["route"]["waypoints"]]
    request = {
        **request,
        "route": {**request["route"], "name": name, "waypoints": waypoints},
        "ship": {**request["ship"], "name": name},
    }
    return request, plan_route(made(request))


def squeezed(text: str) -> str:
    return re.sub(r"\s", "", text)


@with_font
@pytest.mark.parametrize("name", [GREEK, RUSSIAN, UKRAINIAN, LATIN])
def test_names_in_greek_cyrillic_and_more_latin_print_as_they_are(name: str) -> None:
    request, result = plan_named(name)
    body, warnings = paper(request, result, DRAFT, printing(request, result))
    pages = [squeezed(one) for one in read(body)]
    # The heading is bold and the ship's name is not; the plan table has every waypoint.
    assert pages[0].count(squeezed(name)) >= 2
    count = sum(one.count(squeezed(name)) for one in pages)
    assert count > len(request["route"]["waypoints"])
    assert warnings == ()
    assert not any(re.search(r"\{[0-9A-F]{4}\}", one) for one in pages)
    assert "SIGNSREPLACED" not in "".join(pages)


@with_font
def test_the_font_is_in_the_file_and_only_where_it_is_needed() -> None:
    def fonts_of(name: str) -> set[str]:
        request, result = plan_named(name)
        file = paper(request, result, DRAFT, printing(request, result))[0]
        found = set()
        for page in pypdf.PdfReader(io.BytesIO(file)).pages:
            for one in page["/Resources"]["/Font"].values():
                descriptor = one.get_object().get("/FontDescriptor")
                if descriptor is not None and "/FontFile2" in descriptor.get_object():
                    found.add(str(one.get_object()["/BaseFont"]).partition("+")[2])
        return found

    assert not any("Noto" in one for one in fonts_of("Pilot ground"))
    assert any("Noto" in one for one in fonts_of(GREEK))


@with_font
def test_widths_are_those_that_are_drawn() -> None:
    """A right end of a text in two fonts lies where its width says; a bold one is as wide."""
    text = letters.printable(f"Pier {GREEK} 3")
    parts = [letters.width_pt(part, 9.0) for part, _ in letters.runs(text)]
    assert [third for _, third in letters.runs(text)].count(True) == 2
    assert letters.width_pt(text, 9.0) == pytest.approx(sum(parts))
    assert letters.width_pt(GREEK, 9.0) > 30.0


def test_letters_that_no_font_has_are_numbers_and_the_cover_says_so() -> None:
    request, result = plan_named(CHINESE)
    body, warnings = paper(request, result, DRAFT, printing(request, result))
    pages = [squeezed(one) for one in read(body)]
    assert "{4E2D}{6587}bar" in pages[0]
    (said,) = warnings
    assert said.endswith("in braces: {4E2D}, {6587}.")
    assert squeezed(said) in pages[0]
    parts = printing(request, result)
    assert export_file("pdf", request, result, DRAFT, printing=parts).warnings == warnings


@pytest.fixture
def without_font(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """Run as where the package of the third font is missing."""

    def forget() -> None:
        for one in (letters.more, letters.printable, letters.width_pt):
            one.cache_clear()

    monkeypatch.setattr(letters, "_MORE_FROM", "no_such_package_of_fonts")
    forget()
    yield
    monkeypatch.undo()
    forget()


def test_without_the_font_it_is_said_as_well(without_font: None) -> None:
    request, result = plan_named(RUSSIAN)
    pages = laid_out(matter(request, result, DRAFT))
    cover = squeezed(" ".join(one.text for one in pages[0].marks if isinstance(one, Text)))
    assert "SIGNSREPLACED" in cover
    assert "{0424}" in cover
    assert letters.lacking({"a": [GREEK[0]], "b": "plain"}) == [GREEK[0]]


def test_a_plan_in_the_letters_of_every_day_says_nothing_of_it() -> None:
    request, result = demonstration_plan()
    assert paper(request, result, DRAFT, printing(request, result))[1] == ()
