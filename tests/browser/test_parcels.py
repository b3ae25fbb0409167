"""Two installations on the page: paired by voice, a parcel made, downloaded and taken."""

import random
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, expect

from tests.api.test_parcel_conflicts import gone_back
from tests.browser.conftest import Watched
from tests.browser.recorded import offered
from tests.browser.service import ask
from tests.browser.test_frozen import opened_frozen
from tests.browser.test_narrow import measure
from tests.running import running

pytestmark = pytest.mark.browser


@pytest.fixture(scope="module")
def ship(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """Start the ship's own service."""
    with running(f"sqlite:///{tmp_path_factory.mktemp('ship') / 'a.sqlite3'}") as address:
        yield address


@pytest.fixture(scope="module")
def shore(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """Start the office's service."""
    with running(f"sqlite:///{tmp_path_factory.mktemp('shore') / 'b.sqlite3'}") as address:
        yield address


@pytest.fixture
def pages(browser: Browser, ship: str, shore: str) -> Iterator[tuple[Watched, Watched]]:
    """Return a page on board and one ashore, each of which can reach its own service only."""
    contexts = [browser.new_context(viewport={"width": 1400, "height": 900}) for _ in range(2)]
    opened = [
        Watched(context.new_page(), address)
        for context, address in zip(contexts, (ship, shore), strict=True)
    ]
    yield opened[0], opened[1]
    for context in contexts:
        context.close()


def named(page: Page, address: str, name: str, side: str) -> tuple[str, str]:
    """Name an installation on its Desk; return its card and the fingerprint it shows."""
    page.goto(address)
    page.get_by_test_id("self-open").click()
    page.get_by_test_id("self-name").fill(name)
    page.get_by_test_id("self-side").select_option(side)
    page.get_by_test_id("self-record").click()
    expect(page.get_by_test_id("self-words")).to_contain_text(name)
    fingerprint = page.get_by_test_id("fingerprint").inner_text()
    assert [len(group) for group in fingerprint.split()] == [5] * 8
    return page.get_by_test_id("self-card").input_value(), fingerprint


def paired(page: Page, card: str, fingerprint: str) -> None:
    """Pair with another installation, by its card and what is read by voice."""
    page.get_by_test_id("pair-open").click()
    page.get_by_test_id("pair-card").fill(card)
    page.get_by_test_id("pair-fingerprint").fill(fingerprint)
    page.get_by_test_id("pair-by-name").fill("Ada Berg")
    page.get_by_test_id("pair-by-rank").fill("Second officer")
    page.get_by_test_id("pair-record").click()


def both_paired(pages: tuple[Watched, Watched], ship: str, shore: str) -> None:
    """Name both and pair each with the other."""
    sides = [(pages[0].page, ship, "MV Zoo", "ship"), (pages[1].page, shore, "Zoo office", "shore")]
    cards = [named(*side) for side in sides]
    for (page, *_), other in zip(sides, reversed(cards), strict=True):
        paired(page, *other)
        expect(page.get_by_test_id("peer-state")).to_have_text("paired")


def carried(sender: Page, taker: Page, folder: Path, plan_id: str | None = None) -> None:
    """Make the next parcel on one Desk, download it, and take it on the other."""
    sender.locator("[data-testid^='peer-open-']").click()
    if plan_id is not None:
        sender.get_by_test_id(f"send-{plan_id}").check()
    made = sender.locator("[data-testid='parcels-sent'] > li")
    expect(sender.locator(".field-label", has_text="Came from it")).to_be_visible()
    before = made.count()
    sender.locator("button[data-testid^='make-']").click()
    expect(made).to_have_count(before + 1)
    newest = sender.locator("[data-testid^='download-']").first
    expect(newest).to_contain_text("kB")
    with sender.expect_download() as download:
        newest.click()
    path = folder / "parcel"
    download.value.save_as(path)
    taker.get_by_test_id("parcel-file").set_input_files(path)
    expect(taker.get_by_test_id("parcel-said")).to_contain_text(": taken.")


def test_a_parcel_goes_ashore(
    pages: tuple[Watched, Watched], ship: str, shore: str, tmp_path: Path
) -> None:
    on_board, ashore = pages[0].page, pages[1].page
    cards = [
        named(on_board, ship, "MV Zoo", "ship"),
        named(ashore, shore, "Zoo office", "shore"),
    ]
    wrong = cards[1][1][:-1] + ("0" if cards[1][1][-1] != "0" else "1")
    paired(on_board, cards[1][0], wrong)
    expect(on_board.get_by_test_id("error-pair-fingerprint")).to_be_visible()
    on_board.get_by_test_id("pair-fingerprint").fill(cards[1][1].replace(" ", ""))
    on_board.get_by_test_id("pair-record").click()
    expect(on_board.get_by_test_id("peer-state")).to_have_text("paired")
    paired(ashore, *cards[0])
    expect(ashore.get_by_test_id("peer-state")).to_have_text("paired")
    plan_id = offered(ship)
    on_board.reload()
    carried(on_board, ashore, tmp_path, plan_id)
    expect(ashore.get_by_test_id("parcel-said")).to_contain_text("Zoo zigzag: revision r1")
    expect(ashore.get_by_test_id(f"plan-row-{plan_id}")).to_be_visible()
    # The same again changes nothing, and says so.
    ashore.get_by_test_id("parcel-file").set_input_files(tmp_path / "parcel")
    expect(ashore.get_by_test_id("parcel-said")).to_contain_text("taken before; nothing changed")
    opened_frozen(on_board, ship, plan_id)
    expect(on_board.get_by_test_id("revision-sync")).to_contain_text("sent ")
    opened_frozen(ashore, shore, plan_id)
    expect(ashore.get_by_test_id("revision-sync")).to_contain_text("received ")
    on_board.goto(ship)
    on_board.set_viewport_size({"width": 320, "height": 800})
    on_board.locator("[data-testid^='peer-open-']").click()
    on_board.get_by_test_id("pair-open").click()
    measure(on_board)
    assert all("422" in one for one in pages[0].complaints)
    pages[1].assert_quiet()


def test_a_large_file_goes_in_chunks_and_is_gone_on_with(
    watched: Watched, server: str, tmp_path: Path
) -> None:
    """Whole and chunks are held against their digests, so both are right before it is refused."""
    page = watched.page
    path = tmp_path / "large"
    path.write_bytes(random.Random(5).randbytes(300_001))  # noqa: S311  only bytes
    numbers: list[str] = []

    def _drop_third(route: object) -> None:
        numbers.append(route.request.url.rsplit("/", 1)[1])  # type: ignore[attr-defined]
        if len(numbers) == 3:
            route.abort()  # type: ignore[attr-defined]
        else:
            route.continue_()  # type: ignore[attr-defined]

    page.route("**/chunks/*", _drop_third)
    page.goto(server)
    page.get_by_test_id("parcel-file").set_input_files(path)
    said = page.get_by_test_id("parcel-said")
    expect(said).to_contain_text("large was not taken")
    said.get_by_test_id("retry").click()
    expect(said).to_contain_text("Parcel refused")
    assert numbers == ["0", "1", "2", "2", "3", "4"]
    assert ask(server, "GET", "/peers")["items"] == []
    assert watched.dialogs == []


def held_differently(folder: Path) -> str:
    """Set a ship back, let both sides tell each other, and return the plan they differ on."""
    sides, plan_id = gone_back(folder)
    sides.shore.take(sides.ship.parcel(sides.shore))
    sides.ship.taken(sides.shore.parcel(sides.ship))
    sides.shore.taken(sides.ship.parcel(sides.shore))
    sides.ship.taken(sides.shore.parcel(sides.ship))
    sides.ship.store.close()
    sides.shore.store.close()
    return plan_id


def test_what_two_sides_hold_is_picked_from_by_the_master(browser: Browser, tmp_path: Path) -> None:
    """A ship set back to a backup has offered another revision under the same number."""
    # The browser's driver has a loop in this thread; asking the API in-process needs its own.
    with ThreadPoolExecutor(1) as thread:
        plan_id = thread.submit(held_differently, tmp_path).result()
    with running(f"sqlite:///{tmp_path / 'ship.sqlite3'}") as address:
        context = browser.new_context(viewport={"width": 1400, "height": 900})
        on_board = Watched(context.new_page(), address)
        page = on_board.page
        opened_frozen(page, address, plan_id, 2)
        both = page.get_by_test_id("two-sides")
        expect(both).to_contain_text("1 thing that two sides hold differently")
        expect(both).to_contain_text("Zoo office holds another revision 2; both are kept")
        digests = [both.get_by_test_id(f"conflict-{one}") for one in ("here", "other")]
        assert digests[0].inner_text() != digests[1].inner_text()
        both.get_by_role("combobox").select_option("other")
        both.get_by_label("Name").fill("Jon Holm")
        both.get_by_label("Rank").fill("Master")
        both.get_by_label("Words").fill("what was offered first")
        both.get_by_test_id("pick-record").click()
        expect(both).to_be_hidden()
        limits = ask(address, "GET", f"/plans/{plan_id}")["inputs"]["limits"]
        assert limits["min_clearance_m"] == 111.0
        on_board.assert_quiet()
        context.close()
