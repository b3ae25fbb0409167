"""Chart cells on the page: brought, watched, seen on the Plot, and what a plan makes of them."""

import io
import re
import zipfile

import pytest
from playwright.sync_api import Page, expect

from tests.browser.charted_waters import shoal_cell, stored
from tests.browser.conftest import Watched
from tests.browser.service import ask, draft
from tests.browser.test_editing import fresh

pytestmark = pytest.mark.browser

_COLOURED = """(testId) => {
  const canvas = document.querySelector(`[data-testid="${testId}"]`);
  if (!canvas || !canvas.width) return 0;
  const { data } = canvas.getContext('2d').getImageData(0, 0, canvas.width, canvas.height);
  let count = 0;
  for (let i = 3; i < data.length; i += 4) if (data[i] > 0) count += 1;
  return count;
}"""


def _open(watched: Watched, server: str, plan_id: str) -> Page:
    page = watched.page
    page.goto(f"{server}/plans/{plan_id}")
    expect(page.get_by_test_id("work")).to_have_attribute("data-state", "fresh")
    page.get_by_test_id("open-charts").click()
    expect(page.get_by_test_id("cells-file")).to_be_visible()
    return page


def _bring(page: Page, files: dict[str, bytes]) -> None:
    page.get_by_test_id("cells-file").set_input_files(
        [
            {"name": name, "mimeType": "application/octet-stream", "buffer": body}
            for name, body in files.items()
        ]
    )


def _coloured(page: Page, test_id: str) -> int:
    count: int = page.evaluate(_COLOURED, test_id)
    return count


def test_a_leg_over_a_shoal_of_a_cell_is_found(watched: Watched, server: str) -> None:
    """The whole way: bring, watch, use, see coverage and the shoal, read the finding, undo."""
    plan_id = stored(server)
    page = _open(watched, server, plan_id)
    seen = page.evaluate_handle(
        """() => { const seen = []; new MutationObserver(() => {
          const now = document.querySelector('[data-testid="import-progress"]');
          if (now) seen.push(Number(now.dataset.percent));
        }).observe(document.querySelector('#panel-charts'), { childList: true, subtree: true });
        return seen; }"""
    )
    _bring(page, {"ZZ5SHOAL.000": shoal_cell()})
    report = page.get_by_test_id("import-report")
    expect(report).to_have_attribute("data-ended", "done")
    expect(page.get_by_test_id("imported-ZZ5SHOAL")).to_contain_text("no update known")
    percents = seen.json_value()
    assert percents
    assert percents == sorted(percents)
    row = page.get_by_test_id("cell-row-ZZ5SHOAL")
    for words in ("1:20", "lowest astronomical tide", "2026-01-01", "none applied"):
        expect(row).to_contain_text(words)
    page.get_by_test_id("cells-all").check()
    finding = page.locator('[data-testid="finding"][data-grade="must_resolve"]')
    expect(finding.filter(has_text=re.compile("leg 01-02")).first).to_be_visible()
    expect(page.get_by_test_id("last-step")).to_contain_text("Charts")
    expect(page.get_by_test_id("charted")).to_contain_text("Safety contour")
    expect(page.get_by_test_id("covered-leg-0")).to_have_attribute("data-covered", "true")
    expect(page.get_by_test_id("covered-leg-3")).to_contain_text("NOT COVERED")
    shoal = page.locator('[data-danger^="ZZ5SHOAL/DEPARE"]')
    expect(shoal).to_contain_text("ZZ5SHOAL: depth area")
    shoal.click()
    assert page.locator('[data-plot-item^="hazard-ZZ5SHOAL"]').count() > 0
    assert _coloured(page, "layers-canvas") > 500
    page.get_by_test_id("undo").click()
    expect(page.get_by_test_id("charted")).to_be_hidden()
    fresh(page)
    assert "all_charts" not in draft(server, plan_id)["inputs"]
    watched.assert_quiet()


def test_layers_have_switches_tables_and_files(watched: Watched, server: str) -> None:
    page = watched.page
    plan_id = stored(server)
    _open(watched, server, plan_id)
    _bring(page, {"ZZ5SHOAL.000": shoal_cell()})
    expect(page.get_by_test_id("import-report")).to_be_visible()
    page.get_by_test_id("cells-all").check()
    for name in ("no_go", "coverage", "coverage_hole"):
        expect(page.get_by_test_id(f"layer-{name}")).to_be_checked()
    canvas = page.get_by_test_id("layers-canvas")
    drawn = int(canvas.get_attribute("data-drawn") or 0)
    page.get_by_test_id("layer-coverage_hole").uncheck()
    expect(canvas).to_have_attribute("data-drawn", str(drawn - 1))
    page.get_by_test_id("layer-as-table-no_go").click()
    expect(page.get_by_test_id("layer-table-no_go")).to_contain_text("area")
    with page.expect_download() as download:
        page.get_by_test_id("layer-save-no_go").click()
    text = download.value.path().read_text()
    assert '"FeatureCollection"' in text
    assert '"no_go"' in text
    page.get_by_test_id("cell-show-ZZ5SHOAL").click()
    expect(page.get_by_test_id("layers-told")).to_contain_text("Cell ZZ5SHOAL")
    page.get_by_test_id("layer-as-table-object").click()
    expect(page.get_by_test_id("layer-table-object")).to_contain_text("UWTROC")
    page.get_by_test_id("layer-coverage_hole").check()
    watched.assert_quiet()


def test_files_that_are_no_cells_are_named(watched: Watched, server: str) -> None:
    page = _open(watched, server, stored(server))
    _bring(page, {"ZZ5BAD.000": shoal_cell("ZZ5BAD")[:900], "notes.txt": b"no cell"})
    report = page.get_by_test_id("import-report")
    expect(report).to_be_visible()
    expect(report).to_contain_text("ZZ5BAD.000")
    expect(report).to_contain_text("notes.txt")
    expect(report.get_by_text("NOT READ").first).to_be_visible()
    assert not [one for one in ask(server, "GET", "/charts")["items"] if one["name"] == "ZZ5BAD"]
    page.get_by_test_id("import-away").click()
    expect(report).to_have_count(0)


def test_an_import_is_stopped_and_found_again(watched: Watched, server: str) -> None:
    """A reload meets the import again; its end is what the service says."""
    page = _open(watched, server, stored(server))
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w") as folder:
        for number in range(12):
            name = f"ZZ5N{number:04d}"
            folder.writestr(f"{name}/{name}.000", shoal_cell(name))
    _bring(page, {"many.zip": packed.getvalue()})
    expect(page.get_by_test_id("import-progress")).to_be_visible()
    page.reload()
    page.get_by_test_id("open-charts").click()
    shown = page.get_by_test_id("import-progress").or_(page.get_by_test_id("import-report"))
    expect(shown).to_be_visible()
    # Between the look and the hand the import may have ended, and the button with it.
    page.evaluate("""document.querySelector("[data-testid='import-stop']")?.click()""")
    expect(page.get_by_test_id("import-report")).to_be_visible()
    ended = page.get_by_test_id("import-report").get_attribute("data-ended")
    kept = [one for one in ask(server, "GET", "/charts")["items"] if "ZZ5N" in one["name"]]
    assert len(kept) == (12 if ended == "done" else 0)


def test_cells_are_named_and_left_out(watched: Watched, server: str) -> None:
    plan_id = stored(server)
    page = _open(watched, server, plan_id)
    _bring(page, {"ZZ5NAMED.000": shoal_cell("ZZ5NAMED")})
    page.get_by_test_id("cell-use-ZZ5NAMED").click()
    expect(page.get_by_test_id("cell-row-ZZ5NAMED")).to_contain_text("edition 1 kept here")
    fresh(page)
    inputs = draft(server, plan_id)["inputs"]
    assert list(inputs["chart_editions"].values()) == [1]
    assert inputs["chart_ids"] == list(inputs["chart_editions"])
    page.get_by_test_id("cell-leave-ZZ5NAMED").click()
    expect(page.get_by_test_id("cells-none")).to_be_checked()
    page.get_by_test_id("undo").click()
    expect(page.get_by_test_id("cells-named")).to_be_checked()
    watched.assert_quiet()


def test_a_failing_list_is_said(watched: Watched, server: str) -> None:
    page = watched.page
    page.route("**/api/v1/charts?*", lambda route: route.abort())
    page.goto(f"{server}/plans/{stored(server)}")
    page.get_by_test_id("open-charts").click()
    expect(page.get_by_test_id("panel-charts").get_by_test_id("problem")).to_be_visible()
    page.unroute("**/api/v1/charts?*")
    page.get_by_test_id("panel-charts").get_by_test_id("retry").click()
    expect(page.get_by_test_id("panel-charts").get_by_test_id("problem")).to_have_count(0)
