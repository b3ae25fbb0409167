"""What a reader of route files answers: the route it understood, and every row beside its text."""

from dataclasses import dataclass, replace
from typing import Literal

from wheelover.core.errors import Fault, UnreadableFile
from wheelover.core.types.route import Waypoint

FormatName = Literal["csv", "geojson"]


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadRow:
    """One row of the file. ``understood`` is None when it was not, and ``problem`` says why.

    ``line`` counts from 1: the line in a CSV file, the position in a GeoJSON line. A row
    ``in_question`` lacks only a hemisphere, which nobody may guess.
    """

    line: int
    raw: str
    understood: str | None = None
    problem: str | None = None
    in_question: bool = False
    waypoint_id: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class RouteReading:
    """A route file as it was read. Rows not understood leave a hole in the waypoints.

    ``waypoints`` holds one waypoint at least, which is a reading but not yet a route.
    """

    format: FormatName
    name: str
    waypoints: tuple[Waypoint, ...]
    report: tuple[ReadRow, ...]
    read_as: str
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class PartReading:
    """One row's text, and the waypoint it gave or the reason why it gave none."""

    row: ReadRow
    waypoint: Waypoint | None


def refuse_if_nothing_understood(parts: list[PartReading]) -> None:
    """Raise when no row was understood: there is no route to show, only a report.

    Raises
    ------
    UnreadableFile
        With one fault for each row.
    """
    if any(part.waypoint is not None for part in parts):
        return
    faults = tuple(
        Fault(line=part.row.line, message=f"{part.row.problem}: {part.row.raw[:80]!r}")
        for part in parts
    )
    if not faults:
        raise UnreadableFile("The file holds no rows: a header line alone makes no route.")
    raise UnreadableFile(
        f"None of the {len(parts)} rows was understood. Line {faults[0].line}: {faults[0].message}",
        faults,
    )


def with_gaps(parts: list[PartReading]) -> tuple[Waypoint, ...]:
    """Return the waypoints that were understood, those beside a hole marked as such."""
    waypoints: list[Waypoint] = []
    hole = False
    for part in parts:
        if part.waypoint is None:
            hole = True
            continue
        waypoints.append(replace(part.waypoint, gap_before=hole))
        hole = False
    if hole:
        waypoints[-1] = replace(waypoints[-1], gap_after=True)
    return tuple(waypoints)
