"""What the coastline says of each leg and turn, as JSON values and as features."""

from collections.abc import Iterator
from typing import Any

from wheelover.core.coast.waived import waiver_of_turn, within
from wheelover.core.types.clearance import Piece
from wheelover.core.types.coast import Landfall, LandRow
from wheelover.core.types.plan import CheckRow, Plan
from wheelover.render.lines import along_legs, part_of_arcs
from wheelover.render.rounding import METRES, position, rounded

Document = dict[str, Any]
_CHECKS = {"leg": "leg_land", "turn": "turn_land"}


def land_rows(plan: Plan) -> dict[Piece, Document]:
    """Return the row of every leg and turn that was held against the coastline.

    Parameters
    ----------
    plan : Plan
        The plan.
    """
    if plan.land is None:
        return {}
    results = {_key(row): row.result for row in plan.checks if row.check in _CHECKS.values()}
    return {
        one.piece: _row(one, results.get((one.piece.kind, one.piece.index)), plan.land.version)
        for one in plan.land.rows
    }


def _key(row: CheckRow) -> tuple[str, int | None]:
    """Return which piece of the track a row of the register is about."""
    return row.subject.kind, row.subject.index


def _row(row: LandRow, result: str | None, version: str) -> Document:
    """Return one row."""
    nearest = row.nearest
    return {
        "result": result,
        "source": row.source,
        "version": version,
        "search_m": rounded(row.search_m, METRES),
        "nearest_m": rounded(None if nearest is None else nearest.distance_m, METRES),
        "position": position(None if nearest is None else nearest.on_coast),
        "track_position": position(None if nearest is None else nearest.on_track),
        "hull_m": rounded(row.hull_m, METRES),
        "used": [
            {
                "source": one.source,
                "from_m": rounded(one.from_m, METRES),
                "to_m": rounded(one.to_m, METRES),
            }
            # Where one source is used for all of it, that is said by its name alone.
            for one in (row.used if row.source == "both" else ())
        ],
        "on_land": [_landfall(one) for one in row.on_land],
        "waived": None
        if row.waived is None
        else {
            "from_m": rounded(row.waived.from_m, METRES),
            "to_m": rounded(row.waived.to_m, METRES),
        },
        "corridor": [
            {
                "side": one.side,
                "limit_m": rounded(one.limit_m, METRES),
                "distance_m": rounded(one.distance_m, METRES),
                "position": position(one.on_coast),
                "waived": one.waived,
            }
            for one in row.corridor
        ],
        "reason": row.unmeasured,
    }


def _landfall(one: Landfall) -> Document:
    """Return a stretch on land."""
    return {
        "from_m": rounded(one.from_m, METRES),
        "to_m": rounded(one.to_m, METRES),
        "from": position(one.start),
        "to": position(one.end),
        "canals": list(one.canals),
    }


def land_features(plan: Plan) -> Iterator[Document]:
    """Yield the stretches of the track that lie on land, as features.

    Parameters
    ----------
    plan : Plan
        The plan.
    """
    if plan.land is None:
        return
    found = [(row.piece, one) for row in plan.land.rows for one in row.on_land]
    on_legs = [(piece, one) for piece, one in found if piece.kind == "leg"]
    in_turns = [(piece, one) for piece, one in found if piece.kind == "turn"]
    stretches = []
    for piece, one in on_legs:
        path = plan.legs[piece.index].path
        if path is not None:
            stretches.append((path, one.from_m, one.to_m))
    arcs = []
    for piece, one in in_turns:
        arc = plan.turns[piece.index].arc
        if arc is not None:
            arcs.append((arc, one.from_m, one.to_m))
    geometries = [*along_legs(stretches), *part_of_arcs(arcs)]
    for (piece, one), geometry in zip([*on_legs, *in_turns], geometries, strict=True):
        yield {
            "type": "Feature",
            "geometry": geometry,
            "properties": {
                "layer": "land",
                "piece_kind": piece.kind,
                "piece_index": piece.index,
                "length_m": rounded(one.length_m, METRES),
                "canals": list(one.canals),
                "waived": _is_waived(plan, piece, one),
            },
        }


def _is_waived(plan: Plan, piece: Piece, one: Landfall) -> bool:
    """Return whether somebody answers for a stretch on land of a leg or turn."""
    if plan.land is None:
        return False
    row = plan.land.of(piece)
    if row is None or piece.kind == "leg":
        return row is not None and within(row.waived, one)
    return waiver_of_turn(plan.turns[piece.index], plan.legs, plan.land.rows, row) is not None
