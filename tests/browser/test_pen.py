"""The pen of a draft on the page: two navigators, each signed in at a browser of their own."""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import pytest
from playwright.sync_api import Browser, Page, Request, expect

from tests.browser.conftest import Watched
from tests.browser.service import zigzag
from tests.browser.test_editing import fresh, opened, type_into
from tests.browser.test_people_journey import Place, add_people, asked
from tests.running import running

pytestmark = pytest.mark.browser

PEOPLE = {
    "ada": ("Ada Berg", "Second officer", "navigator"),
    "bob": ("Bo Lund", "Third officer", "navigator"),
}
LOOKED_MS = 5000  # longer than from one regular look of the page to the next


@dataclass(frozen=True, slots=True, kw_only=True)
class Desks:
    """The pages of two navigators with the same plan open, and the address of its draft."""

    ada: Page
    bo: Page
    draft: str

    def radii(self) -> tuple[Any, Any]:
        """Return the turn radii of Z1 and Z2 as the service has them, in nautical miles."""
        waypoints = asked(self.ada, "GET", self.draft)["inputs"]["route"]["waypoints"]
        return waypoints[1].get("turn_radius_nm"), waypoints[2].get("turn_radius_nm")


@pytest.fixture(scope="module")
def place(browser: Browser, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Place]:
    url = f"sqlite:///{tmp_path_factory.mktemp('pen') / 'pen.sqlite3'}"
    add_people(url, PEOPLE)
    with running(url, WHEELOVER_ACCOUNTS="on") as address:
        yield Place(address=address, browser=browser, people=PEOPLE)


@pytest.fixture
def desks(place: Place) -> Iterator[Desks]:
    complaints: list[str] = []
    ada, bo = place.page_of("ada"), place.page_of("bob")
    made = asked(ada, "POST", f"{place.address}/api/v1/plans", zigzag())
    for page in (ada, bo):
        page.on("pageerror", lambda error: complaints.append(str(error)))
        page.on("dialog", lambda dialog: (complaints.append(dialog.message), dialog.dismiss()))
        page.goto(f"{place.address}/plans/{made['id']}")
        fresh(page)
    yield Desks(ada=ada, bo=bo, draft=f"{place.address}/api/v1/plans/{made['id']}")
    for page in (ada, bo):
        page.context.close()
    assert complaints == []


def _words(page: Page, words: str) -> None:
    """Wait until the head says this of the pen."""
    expect(page.get_by_test_id("pen-words")).to_have_text(re.compile(f"^Pen: {words}$"))


def _radius(page: Page, name: str, text: str) -> None:
    """Give a waypoint another turn radius."""
    if not page.get_by_test_id("edit-radius").is_visible():
        page.get_by_test_id(f"edit-{name}").click()
    type_into(page, "edit-radius", text)


def test_an_edit_without_the_pen_is_kept_and_sent_after_taking_it_over(desks: Desks) -> None:
    ada, bo = desks.ada, desks.bo
    _words(ada, "free, your first edit takes it")
    expect(ada.get_by_test_id("pen-take")).to_be_hidden()
    _radius(ada, "Z1", "0.61")
    _words(ada, "you")
    bo.reload()
    _words(bo, r"Ada Berg, since \d\d:\d\dZ")
    expect(bo.get_by_test_id("pen-give")).to_be_hidden()

    bo.get_by_test_id("undo").click()
    undone = bo.get_by_text(re.compile("Ada Berg has held the pen.*undo was not done"))
    expect(undone).to_be_visible()
    _radius(bo, "Z2", "0.62")
    kept = bo.get_by_test_id("edits-kept")
    expect(kept).to_contain_text("Ada Berg has held the pen of this plan since")
    expect(bo.get_by_test_id("saved")).to_have_text("1 edit kept here, not saved")
    bo.reload()
    expect(kept).to_contain_text("1 edit kept in this browser")
    bo.get_by_test_id("edit-Z2").click()
    expect(bo.get_by_test_id("edit-radius")).to_have_value("0.62")
    assert desks.radii() == (0.61, None)

    expect(bo.get_by_test_id("pen")).to_contain_text("Taking it over is recorded.")
    bo.get_by_test_id("pen-take").click()
    _words(bo, "you")
    expect(bo.get_by_test_id("pen-told")).to_contain_text("took over the pen from Ada Berg")
    fresh(bo)
    expect(kept).to_be_hidden()
    assert desks.radii() == (0.61, 0.62)
    _words(ada, r"Bo Lund, since \d\d:\d\dZ")
    expect(ada.get_by_test_id("pen-told")).to_contain_text("Bo Lund took over the pen")


def test_the_pen_is_asked_for_with_a_note_and_given_back(desks: Desks) -> None:
    ada, bo = desks.ada, desks.bo
    _radius(ada, "Z1", "0.61")
    _words(bo, r"Ada Berg, since \d\d:\d\dZ")
    bo.get_by_test_id("pen-ask").click()
    bo.get_by_test_id("pen-send").click()
    expect(bo.get_by_test_id("error-pen-note")).to_contain_text("why you ask")
    bo.get_by_test_id("pen-note").fill("Z2 is too tight; may I?")
    bo.wait_for_timeout(LOOKED_MS)
    expect(bo.get_by_test_id("pen-note")).to_have_value("Z2 is too tight; may I?")
    bo.get_by_test_id("pen-send").click()
    expect(bo.get_by_test_id("pen-told")).to_have_text("Your note is shown to Ada Berg.")
    expect(bo.get_by_test_id("pen-note")).to_be_hidden()
    expect(ada.get_by_test_id("pen-asked")).to_have_text(
        "Asked by Bo Lund: Z2 is too tight; may I?"
    )
    expect(bo.get_by_test_id("pen-asked")).to_be_hidden()

    ada.get_by_test_id("pen-give").click()
    for page in (ada, bo):
        _words(page, "free, your first edit takes it")
    expect(ada.get_by_test_id("pen-asked")).to_be_hidden()
    bo.get_by_test_id("show-elsewhere").click()
    _radius(bo, "Z2", "0.62")
    _words(bo, "you")
    _words(ada, r"Bo Lund, since \d\d:\d\dZ")
    assert desks.radii() == (0.61, 0.62)


def test_what_the_holder_changed_meanwhile_is_shown_before_a_kept_edit_is_sent(
    desks: Desks,
) -> None:
    ada, bo = desks.ada, desks.bo
    asked(ada, "POST", f"{desks.draft}/pen", {"take": True})
    _words(bo, r"Ada Berg, since \d\d:\d\dZ")
    _radius(bo, "Z2", "0.62")
    expect(bo.get_by_test_id("edits-kept")).to_be_visible()
    _radius(ada, "Z1", "0.61")
    fresh(ada)
    bo.get_by_test_id("pen-take").click()
    expect(bo.get_by_test_id("conflict")).to_contain_text("0.62")
    assert desks.radii() == (0.61, None)
    bo.get_by_test_id("put-mine").click()
    fresh(bo)
    assert desks.radii() == (0.61, 0.62)


def test_where_nobody_signs_in_there_is_no_pen(watched: Watched, server: str) -> None:
    page = watched.page
    looks: list[str] = []

    def note(request: Request) -> None:
        if request.url.endswith("/pen"):
            looks.append(request.url)

    page.on("request", note)
    opened(watched, server)
    fresh(page)
    page.wait_for_timeout(LOOKED_MS)
    expect(page.get_by_test_id("pen")).to_be_hidden()
    assert looks == []
