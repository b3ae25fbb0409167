"""The reading report: a row is put right where it stands, and the report can be taken away."""

import json

import pytest
from playwright.sync_api import expect

from tests.browser.conftest import Watched

pytestmark = pytest.mark.browser

ROWS = "name,latitude,longitude\nA,47-00.0N,030-00.0W\nB,47 06.0,30 00.0\nC,47-12.0N,030-00.0W\n"


def test_a_row_in_question_is_edited_and_read_again(watched: Watched, server: str) -> None:
    page = watched.page
    page.goto(server)
    page.get_by_test_id("route-paste").fill(ROWS)
    page.get_by_test_id("route-paste-read").click()
    expect(page.get_by_test_id("count-accepted")).to_have_text("2")
    page.get_by_test_id("row-edit-3").click()
    expect(page.get_by_test_id("row-text-3")).to_have_value("B,47 06.0,30 00.0")
    page.get_by_test_id("row-text-3").fill("B,47 06.0 N,30 00.0 W")
    page.get_by_test_id("row-read-3").click()
    expect(page.get_by_test_id("count-accepted")).to_have_text("3")
    with page.expect_download() as caught:
        page.get_by_test_id("report-json").click()
    rows = json.loads(caught.value.path().read_text())  # noqa: TID251
    assert [row["line"] for row in rows] == [2, 3, 4]
    with page.expect_download() as caught:
        page.get_by_test_id("report-text").click()
    assert "line 3\tB,47 06.0 N,30 00.0 W\t" in caught.value.path().read_text()
    watched.assert_quiet()


def test_the_hemisphere_of_a_row_is_chosen_and_never_guessed(watched: Watched, server: str) -> None:
    page = watched.page
    page.goto(server)
    page.get_by_test_id("route-paste").fill(ROWS)
    page.get_by_test_id("route-paste-read").click()
    row = page.get_by_test_id("report-row-3")
    expect(row).to_contain_text("IN QUESTION")
    for name in ("NE", "NW", "SE", "SW"):
        expect(page.get_by_test_id(f"row-3-{name}")).to_be_visible()
    page.get_by_test_id("row-3-SW").click()
    expect(page.get_by_test_id("count-accepted")).to_have_text("3")
    expect(row).to_contain_text("47-06.000S 030-00.000W")
    expect(row).to_contain_text("B,47 06.0 S,30 00.0 W")
    watched.assert_quiet()


def test_rows_of_one_line_are_told_apart(watched: Watched, server: str) -> None:
    page = watched.page
    page.goto(server)
    points = '<rtept lat="47" lon="-30"/><rtept lat="x" lon="-30"/><rtept lat="47.2" lon="-30"/>'
    start = '<gpx version="1.1" creator="t" xmlns="http://www.topografix.com/GPX/1/1"><rte>'
    page.get_by_test_id("route-paste").fill(f"{start}{points}</rte></gpx>")
    page.get_by_test_id("route-paste-read").click()
    expect(page.get_by_test_id("take-rows")).to_contain_text("keep row 2 as a hole")
    page.get_by_test_id("take-rows").click()
    expect(page.get_by_test_id("hole-row-1")).to_contain_text("row 2, line 1")
