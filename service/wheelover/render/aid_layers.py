"""Lines to steer by as GeoJSON features: what the Plot draws of them and the export carries."""

from collections.abc import Iterator
from typing import Any

from wheelover.core.aids.parallels import parallels
from wheelover.core.types.aid_lines import IndexLimit, IndexLine
from wheelover.core.types.plan import Plan
from wheelover.core.types.track import LegLine, Side
from wheelover.core.units import nm_from_m
from wheelover.render.lines import Geometry, line
from wheelover.render.rounding import METRES, MILES, rounded

Feature = dict[str, Any]


def line_features(plan: Plan) -> Iterator[Feature]:
    """Yield the lines to steer by of a plan, those in use and not those offered."""
    yield from _index(plan)


def _feature(layer: str, geometry: Geometry, **properties: object) -> Feature:
    """Return one feature of a layer."""
    return {
        "type": "Feature",
        "geometry": geometry,
        "properties": {"layer": layer, **properties},
    }


def _index(plan: Plan) -> Iterator[Feature]:
    """Yield the index lines, through their objects, and the limits, beside the track."""
    names = {one.id: one.name for one in plan.aid_lines.marks}
    paths = {leg.index: leg.path for leg in plan.legs}
    wanted: list[tuple[LegLine, IndexLine, IndexLimit | None, float]] = []
    for one in (each for index in plan.aid_lines.index for each in index.in_use):
        path = paths[one.leg_index]
        if path is not None:
            wanted.append((path, one, None, _signed_m(one.side, one.range_m)))
            wanted += [
                (path, one, limit, _signed_m(limit.room.side, limit.room.room_m))
                for limit in one.limits
                if limit.room.room_m is not None and limit.room.room_m > 0.0
            ]
    drawn = parallels(
        [(path, one.serves_from_m, one.serves_to_m, off_m) for path, one, _, off_m in wanted]
    )
    for (_, one, bound, off_m), (lat, lon) in zip(wanted, drawn, strict=True):
        common = {
            "index": one.leg_index,
            "mark_id": one.mark_id,
            "mark_name": names[one.mark_id],
            "off_track_nm": rounded(nm_from_m(off_m), MILES),
        }
        if bound is None:
            yield _feature(
                "parallel_index",
                line(lat, lon),
                **common,
                side=one.side,
                use=one.use,
                set_nm=rounded(one.set_nm, MILES),
            )
            continue
        yield _feature(
            "index_limit",
            line(lat, lon),
            **common,
            side=bound.room.side,
            word=bound.word,
            range_nm=rounded(bound.range_nm, MILES),
            room_m=rounded(bound.room.room_m, METRES),
            source=bound.room.source,
        )


def _signed_m(side: Side, off_m: float) -> float:
    """Return a distance off, starboard positive."""
    return off_m if side == "starboard" else -off_m
