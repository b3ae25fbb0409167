"""What each leg and turn passes beneath: dangers of the class overhead that lie on the track."""

from collections.abc import Sequence
from typing import Literal

from wheelover.core.margins import class_at
from wheelover.core.types.chart import Hazards
from wheelover.core.types.clearance import Infringement
from wheelover.core.types.depth import ObjectOver

_NO_CABLES = ("bridge", "span", "pipe", "conveyor", "gate", "gantry", "walkway", "crane", "arch")
"""Kinds of which it is known that they are no cable; of any other that is not."""


def objects_over(
    hazards: Hazards,
    infringements: Sequence[Infringement],
    source: Literal["you", "chart"] = "you",
) -> tuple[ObjectOver, ...]:
    """Return what the track passes beneath, as far as positions are known.

    Parameters
    ----------
    hazards : Hazards
        The dangers.
    infringements : sequence of Infringement
        How near the track comes to them: a danger that it crosses is one at or below zero.
    source : {"you", "chart"}
        Where they come from.
    """
    known = {one.hazard: one for one in hazards.overheads}
    found = {}
    for one in infringements:
        index = one.hazard_index
        if one.clearance_m > 0.0 or class_at(hazards, index) != "overhead":
            continue
        kind, over = (hazards.kinds[index] or "").lower(), known.get(index)
        found[one.piece, index] = ObjectOver(
            piece=one.piece,
            hazard_id=hazards.ids[index],
            hazard_name=hazards.names[index],
            height_m=None if over is None else over.height_m,
            datum=None if over is None else over.datum,
            datum_m=None if over is None else over.datum_m,
            is_cable=not any(word in kind for word in _NO_CABLES),
            electrical_off=over is not None and over.electrical_off,
            source=source,
            what=f"under {hazards.names[index] or hazards.ids[index]}",
        )
    return tuple(found[key] for key in sorted(found, key=lambda key: (key[0].index, key[1])))
