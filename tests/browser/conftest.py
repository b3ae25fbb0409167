"""A real server in a process of its own, and a real Chromium that can reach nothing else."""

import os
import shutil
import time
from collections.abc import Iterator

import pytest
from playwright.sync_api import (
    Browser,
    FloatRect,
    Locator,
    Page,
    Request,
    expect,
    sync_playwright,
)

from tests.running import running

# An answer may take long where other work runs beside the tests; what is there is seen at once.
_PATIENCE_MS = 15_000
expect.set_options(timeout=_PATIENCE_MS)

# The shell is Chromium without its windows: the same pages for a third of the processor's time.
_NAMES = ("chromium-headless-shell", "chromium", "chromium-browser")
CHROMIUM = next((found for name in _NAMES if (found := shutil.which(name))), None)
FLAGS = [
    # No name but our own leads anywhere, whatever a page asks for.
    "--host-resolver-rules=MAP * ~NOTFOUND, EXCLUDE 127.0.0.1, EXCLUDE localhost",
    "--no-sandbox",
    "--disable-gpu",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--disable-quic",
]


@pytest.fixture(scope="session")
def server(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """Start the service as a user does and return its address."""
    scratch = tmp_path_factory.mktemp("store") / "browser.sqlite3"
    with running(f"sqlite:///{scratch}", "--demonstration") as address:
        yield address


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    """Start Chromium. Without one the tests are left out, and with CI=true they fail."""
    if CHROMIUM is None:
        if os.environ.get("CI") == "true":
            pytest.fail("Chromium is not installed")
        pytest.skip("Chromium is not installed; apt-get install chromium-headless-shell")
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=CHROMIUM, args=FLAGS)
        yield browser
        browser.close()


def hold_on(page: Page) -> None:
    """Keep what a test holds back from being let go by the driver when it takes its route away."""
    page.route("**/a-place-that-no-page-asks-for", lambda route: route.abort())


def box_of(place: Locator) -> FloatRect:
    """Return where something is drawn; while a layer draws it anew it is nowhere for a moment."""
    until_s = time.monotonic() + _PATIENCE_MS / 1000.0
    while (box := place.bounding_box()) is None:
        assert time.monotonic() < until_s, f"{place} is not drawn"
        place.page.wait_for_timeout(50)
    return box


def done_by_page(page: Page, module: str, name: str) -> None:
    """Call a function of a module that the page has loaded."""
    page.evaluate(
        """([module, name]) => {
          const main = document.querySelector("script[type=module]").src;
          return import(new URL(module, main)).then((one) => one[name]());
        }""",
        [module, name],
    )


class Watched:
    """A page whose every request, console message and dialog is watched."""

    def __init__(self, page: Page, address: str) -> None:
        self.page = page
        self.foreign: list[str] = []
        self.complaints: list[str] = []
        self.dialogs: list[str] = []
        page.on("request", lambda request: self._asked(request, address))
        page.on("pageerror", lambda error: self.complaints.append(str(error)))
        page.on("console", self._console)
        page.on("dialog", lambda dialog: (self.dialogs.append(dialog.message), dialog.dismiss()))

    def _asked(self, request: Request, address: str) -> None:
        if not request.url.startswith((address, "blob:", "data:")):
            self.foreign.append(request.url)

    def _console(self, message: object) -> None:
        if getattr(message, "type", "") in ("error", "warning"):
            self.complaints.append(str(getattr(message, "text", "")))

    def assert_quiet(self) -> None:
        assert self.foreign == []
        assert self.dialogs == []
        assert self.complaints == []


@pytest.fixture
def watched(browser: Browser, server: str) -> Iterator[Watched]:
    context = browser.new_context(viewport={"width": 1400, "height": 900}, accept_downloads=True)
    page = context.new_page()
    page.set_default_timeout(_PATIENCE_MS)
    yield Watched(page, server)
    context.close()
