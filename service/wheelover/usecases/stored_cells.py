"""The cells of stored charts, kept ready in columns: an edition never changes."""

from collections import OrderedDict
from collections.abc import Callable
from dataclasses import replace
from threading import Lock

from wheelover.core.types.cells import Cell
from wheelover.formats.cell_document import cell_of
from wheelover.store.charts import ChartEdition

MOST_BYTES = 128 * 1024 * 1024


class StoredCells:
    """Cells as they were read, those used last, under the digests of their contents.

    What they hold is bounded by the length of the texts they were read from. Threads may share one;
    two that miss the same cell both read it.
    """

    def __init__(self, most_bytes: int = MOST_BYTES) -> None:
        self._most_bytes = most_bytes
        self._lock = Lock()
        self._kept: OrderedDict[str, tuple[Cell, int]] = OrderedDict()

    @property
    def digests(self) -> tuple[str, ...]:
        """Return what is kept, the one used last at the end."""
        with self._lock:
            return tuple(self._kept)

    def known(self, edition: ChartEdition) -> Cell | None:
        """Return the cell of an edition where it is kept."""
        with self._lock:
            found = self._kept.get(edition.sha256)
            if found is None:
                return None
            self._kept.move_to_end(edition.sha256)
        return _stored(found[0], edition)

    def of(self, edition: ChartEdition, body: Callable[[], bytes]) -> Cell:
        """Return the cell of an edition; ``body`` is asked for its bytes where it is not kept.

        Raises
        ------
        Damaged
            For bytes that are no cell.
        """
        found = self.known(edition)
        return found if found is not None else self.taken(edition, body())

    def taken(self, edition: ChartEdition, body: bytes, read: Cell | None = None) -> Cell:
        """Return the cell of an edition's bytes and keep it; ``read`` where it was read already."""
        cell = cell_of(body) if read is None else read
        for column in (
            cell.geometries,
            cell.soundings.of,
            cell.soundings.lat_deg,
            cell.soundings.lon_deg,
            cell.soundings.depth_m,
        ):
            column.setflags(write=False)
        with self._lock:
            # The same object for every edition of these bytes: what is made of it is kept by it.
            cell = self._kept.setdefault(edition.sha256, (_stored(cell, edition), len(body)))[0]
            self._kept.move_to_end(edition.sha256)
            while sum(size for _, size in self._kept.values()) > self._most_bytes:
                if len(self._kept) == 1:
                    break
                self._kept.popitem(last=False)
        return _stored(cell, edition)


def _stored(cell: Cell, edition: ChartEdition) -> Cell:
    """Return a cell that says where it is stored; the very same where it says so already."""
    about = replace(
        cell.about, id=edition.id, stored_edition=edition.edition, sha256=edition.sha256
    )
    return cell if about == cell.about else replace(cell, about=about)


STORED_CELLS = StoredCells()
