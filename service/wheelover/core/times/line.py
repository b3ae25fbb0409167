"""The whole track as one line of places with the time at each, piece after piece."""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from wheelover.core.arrays import Floats, Ints
from wheelover.core.legs import in_columns, points_along
from wheelover.core.track import Track
from wheelover.core.turns.arc import points_on_arcs
from wheelover.core.types.clearance import Piece
from wheelover.core.types.times import PieceTime
from wheelover.core.types.track import Arc, LegLine
from wheelover.core.units import NM_M

STEP_M = 0.5 * NM_M
TURN_DEG = 3.0


@dataclass(frozen=True, slots=True, kw_only=True)
class TimedLine:
    """Places along the track, shape (n,), with the time at each counted from the departure.

    ``run`` numbers the parts of the track between which there is none; ``piece`` is a number in
    ``pieces``, ``along_m`` how far along it; ``at_s`` is nan where no time is known.
    """

    lat_deg: Floats
    lon_deg: Floats
    at_s: Floats
    along_m: Floats
    piece: Ints
    run: Ints
    pieces: tuple[Piece, ...]


def timed_line(track: Track, times: Mapping[Piece, PieceTime]) -> TimedLine:
    """Return a track as a line with times, its legs in steps of half a mile, its arcs finer.

    Parameters
    ----------
    track : Track
        The track.
    times : mapping of Piece to PieceTime
        When she is on each piece.
    """
    legs: list[tuple[LegLine, Floats]] = []
    arcs: list[tuple[Arc, Floats]] = []
    order: list[tuple[Piece, int, Floats]] = []
    runs: list[int] = []
    at = {turn.waypoint_index: turn for turn in track.turns}
    run, expected = 0, 0
    for leg in track.legs:
        run += leg.from_index != expected or not leg.room
        expected = leg.from_index + 1
        if leg.path is None or not leg.room:
            continue
        steps = max(1, int(np.ceil((leg.track_to_m - leg.track_from_m) / STEP_M)))
        along_m = np.linspace(leg.track_from_m, leg.track_to_m, steps + 1)
        order.append((Piece(kind="leg", index=leg.index), len(legs), along_m))
        legs.append((leg.path, along_m))
        runs.append(run)
        turn = at.get(expected)
        if turn is not None and turn.arc is not None:
            steps = max(2, 2 * int(np.ceil(abs(turn.arc.sweep_deg) / TURN_DEG / 2.0)))
            parts = np.linspace(0.0, 1.0, steps + 1)
            order.append((Piece(kind="turn", index=turn.index), len(arcs), parts * turn.arc.arc_m))
            arcs.append((turn.arc, parts * abs(turn.arc.sweep_deg)))
            runs.append(run)
    return _in_order(order, runs, _on_legs(legs), _on_arcs(arcs), times)


def _on_legs(legs: list[tuple[LegLine, Floats]]) -> list[tuple[Floats, Floats]]:
    """Return the places on legs, all at once."""
    if not legs:
        return []
    counts = [len(along_m) for _, along_m in legs]
    which = np.repeat(np.arange(len(legs)), counts)
    columns = in_columns([path for path, _ in legs]).rows(which)
    lat, lon, _ = points_along(columns, np.concatenate([along_m for _, along_m in legs]))
    cuts = np.cumsum(counts)[:-1]
    return list(zip(np.split(lat, cuts), np.split(lon, cuts), strict=True))


def _on_arcs(arcs: list[tuple[Arc, Floats]]) -> list[tuple[Floats, Floats]]:
    """Return the places on arcs, all at once."""
    if not arcs:
        return []
    counts = [len(turned) for _, turned in arcs]
    which = np.repeat(np.arange(len(arcs)), counts)
    lat, lon = points_on_arcs(
        [arc for arc, _ in arcs], which, np.concatenate([turned for _, turned in arcs])
    )
    cuts = np.cumsum(counts)[:-1]
    return list(zip(np.split(lat, cuts), np.split(lon, cuts), strict=True))


def _in_order(
    order: list[tuple[Piece, int, Floats]],
    runs: list[int],
    on_legs: list[tuple[Floats, Floats]],
    on_arcs: list[tuple[Floats, Floats]],
    times: Mapping[Piece, PieceTime],
) -> TimedLine:
    """Return the places of legs and arcs in sailing order."""
    lats, lons, clocks = [], [], []
    for piece, row, along_m in order:
        lat, lon = on_legs[row] if piece.kind == "leg" else on_arcs[row]
        lats.append(lat)
        lons.append(lon)
        time = times.get(piece)
        found = [None if time is None else time.at_s(one) for one in along_m.tolist()]
        clocks.append(np.array(found, np.float64))
    counts = [len(one) for one in lats]
    none = np.empty(0)
    return TimedLine(
        lat_deg=np.concatenate(lats) if lats else none,
        lon_deg=np.concatenate(lons) if lons else none,
        at_s=np.concatenate(clocks) if clocks else none,
        along_m=np.concatenate([along_m for _, _, along_m in order]) if lats else none,
        piece=np.repeat(np.arange(len(order)), counts),
        run=np.repeat(np.array(runs, np.int64), counts),
        pieces=tuple(piece for piece, _, _ in order),
    )
