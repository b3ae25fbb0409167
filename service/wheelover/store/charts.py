"""Chart cells: keep their editions, list them, find those of a stretch of water."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection, Select, insert, select, update

from wheelover.core.errors import NotFound
from wheelover.store.blobs import Blobs
from wheelover.store.chart_tables import chart_cell, chart_edition
from wheelover.store.sequence import new_id, newest_seq, next_seq

_WORDS = "chart cell"


@dataclass(frozen=True, slots=True, kw_only=True)
class ChartEdition:
    """One edition of a cell, without its contents.

    ``edition`` counts what was kept here and ``newest`` is the newest of them; the producer's own
    numbers stand beside. ``said`` is JSON text.
    """

    id: str
    name: str
    edition: int
    newest: int
    producer_edition: int
    producer_update: int
    sha256: str
    object_count: int
    west_deg: float
    south_deg: float
    east_deg: float
    north_deg: float
    said: str
    created_utc: str
    withdrawn_utc: str | None
    seq: int


@dataclass(frozen=True, slots=True, kw_only=True)
class ChartContents:
    """What a new edition is made of, its blob kept already. The box: west, south, east, north."""

    name: str
    producer_edition: int
    producer_update: int
    sha256: str
    object_count: int
    box_deg: tuple[float, float, float, float]
    said: str


class Charts:
    """The chart cells of one unit of work."""

    def __init__(self, connection: Connection, blobs: Blobs) -> None:
        self._connection = connection
        self._blobs = blobs

    def named(self, name: str, vessel_id: str | None) -> ChartEdition | None:
        """Return the newest edition of a cell by its producer's name, of a vessel or for all."""
        of = chart_cell.c.vessel_id
        whose = of.is_(None) if vessel_id is None else of == vessel_id
        found = self._connection.execute(_newest().where(chart_cell.c.name == name, whose)).first()
        return None if found is None else ChartEdition(**found._mapping)

    def keep(
        self, contents: ChartContents, now_utc: str, vessel_id: str | None = None
    ) -> ChartEdition:
        """Keep an edition of a cell, the first or a new one, and return it. It is in use again."""
        known = self.named(contents.name, vessel_id)
        number = 1 if known is None else known.edition + 1
        seq = next_seq(self._connection, chart_cell)
        if known is None:
            cell_id = new_id("cell")
            row = {
                "id": cell_id,
                "name": contents.name,
                "edition": number,
                "created_utc": now_utc,
                "changed_seq": seq,
                "vessel_id": vessel_id,
                "withdrawn_utc": None,
            }
            self._connection.execute(insert(chart_cell).values(row))
        else:
            cell_id = known.id
            self._change(cell_id, {"edition": number, "changed_seq": seq, "withdrawn_utc": None})
        west, south, east, north = contents.box_deg
        edition = {
            "cell_id": cell_id,
            "edition": number,
            "producer_edition": contents.producer_edition,
            "producer_update": contents.producer_update,
            "sha256": contents.sha256,
            "object_count": contents.object_count,
            "west_deg": west,
            "south_deg": south,
            "east_deg": east,
            "north_deg": north,
            "said": contents.said,
            "created_utc": now_utc,
        }
        self._connection.execute(insert(chart_edition).values(edition))
        return self.get(cell_id)

    def withdraw(self, cell_id: str, now_utc: str | None) -> ChartEdition:
        """Take a cell out of use, or with None back into it; its editions stay."""
        seq = next_seq(self._connection, chart_cell)
        self._change(cell_id, {"withdrawn_utc": now_utc, "changed_seq": seq})
        return self.get(cell_id)

    def _change(self, cell_id: str, row: dict[str, Any]) -> None:
        """Change the row of a cell."""
        wanted = update(chart_cell).where(chart_cell.c.id == cell_id)
        self._connection.execute(wanted.values(row))

    def get(self, cell_id: str, number: int | None = None) -> ChartEdition:
        """Return an edition of a cell, the newest unless a number is given.

        Raises
        ------
        NotFound
            For an id or an edition that is not kept.
        """
        at = chart_cell.c.edition if number is None else number
        wanted = _editions().where(chart_cell.c.id == cell_id, chart_edition.c.edition == at)
        found = self._connection.execute(wanted).first()
        if found is None:
            which = "" if number is None else f"edition {number} of "
            raise NotFound(f"{which}{_WORDS} {cell_id[:80]!r} is not stored")
        return ChartEdition(**found._mapping)

    def known(self, cell_id: str) -> bool:
        """Return whether there is a cell of that id; a parcel may name one that is not here."""
        wanted = select(chart_cell.c.id).where(chart_cell.c.id == cell_id)
        return self._connection.execute(wanted).first() is not None

    def vessel_of(self, cell_id: str) -> str | None:
        """Return the vessel a cell belongs to, None for what is for all.

        Raises
        ------
        NotFound
            For an id that stands for nothing.
        """
        wanted = select(chart_cell.c.vessel_id).where(chart_cell.c.id == cell_id)
        found = self._connection.execute(wanted).first()
        if found is None:
            raise NotFound(f"{_WORDS} {cell_id[:80]!r} is not stored")
        return None if found.vessel_id is None else str(found.vessel_id)

    def require_for(self, cell_id: str, vessels: frozenset[str]) -> None:
        """Refuse a cell of another vessel as one that is not stored.

        Raises
        ------
        NotFound
            Unless it is for all, or for one of these vessels.
        """
        if self.vessel_of(cell_id) not in (None, *vessels):
            raise NotFound(f"{_WORDS} {cell_id[:80]!r} is not stored")

    def digests(self) -> Iterator[tuple[str, int, str]]:
        """Yield id, edition and digest of every edition of every cell."""
        columns = (chart_edition.c.cell_id, chart_edition.c.edition, chart_edition.c.sha256)
        for row in self._connection.execute(select(*columns).order_by(*columns[:2])):
            yield row.cell_id, row.edition, row.sha256

    def body(self, edition: ChartEdition) -> bytes:
        """Return the contents of an edition (``formats.cell_document``)."""
        return self._blobs.get(edition.sha256)

    def page(
        self, limit: int, before_seq: int | None, vessels: frozenset[str] | None = None
    ) -> list[ChartEdition]:
        """Return newest editions, last changed first, those before a place in that order.

        With ``vessels``, those of these and, where there are any, those for all.
        """
        if vessels is not None and not vessels:
            return []
        wanted = _of_vessels(_newest(), vessels)
        if before_seq is not None:
            wanted = wanted.where(chart_cell.c.changed_seq < before_seq)
        wanted = wanted.order_by(chart_cell.c.changed_seq.desc()).limit(limit)
        return [ChartEdition(**row._mapping) for row in self._connection.execute(wanted)]

    def newest_seq(self) -> int:
        """Return a number that grows with every change of a cell."""
        return newest_seq(self._connection, chart_cell)

    def any_in_use(self, vessels: frozenset[str]) -> bool:
        """Return whether some vessels have any cell in use, of their own or for all."""
        wanted = select(chart_cell.c.id).where(chart_cell.c.withdrawn_utc.is_(None))
        found = self._connection.execute(_of_vessels(wanted, vessels).limit(1))
        return found.first() is not None

    def in_use(
        self, south_deg: float, north_deg: float, vessels: frozenset[str] | None = None
    ) -> list[ChartEdition]:
        """Return the newest editions of cells in use that reach between two latitudes, by name."""
        wanted = _of_vessels(_newest(), vessels).where(
            chart_cell.c.withdrawn_utc.is_(None),
            chart_edition.c.north_deg >= south_deg,
            chart_edition.c.south_deg <= north_deg,
        )
        wanted = wanted.order_by(chart_cell.c.name, chart_cell.c.id)
        return [ChartEdition(**row._mapping) for row in self._connection.execute(wanted)]


def _of_vessels(wanted: Select[Any], vessels: frozenset[str] | None) -> Select[Any]:
    """Return a query for what is of some vessels or for all; None for everything."""
    if vessels is None:
        return wanted
    of = chart_cell.c.vessel_id
    return wanted.where(of.is_(None) | of.in_(sorted(vessels)))


def _newest() -> Select[Any]:
    """Return the query for newest editions."""
    return _editions().where(chart_edition.c.edition == chart_cell.c.edition)


def _editions() -> Select[Any]:
    """Return the query for editions of cells."""
    return select(
        chart_cell.c.id,
        chart_cell.c.name,
        chart_edition.c.edition,
        chart_cell.c.edition.label("newest"),
        chart_edition.c.producer_edition,
        chart_edition.c.producer_update,
        chart_edition.c.sha256,
        chart_edition.c.object_count,
        chart_edition.c.west_deg,
        chart_edition.c.south_deg,
        chart_edition.c.east_deg,
        chart_edition.c.north_deg,
        chart_edition.c.said,
        chart_edition.c.created_utc,
        chart_cell.c.withdrawn_utc,
        chart_cell.c.changed_seq.label("seq"),
    ).join(chart_edition, chart_edition.c.cell_id == chart_cell.c.id)
