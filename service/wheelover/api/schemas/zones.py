"""Zone descriptions kept on board from a waypoint on."""

from collections.abc import Sequence
from typing import Annotated

from pydantic import Field

from wheelover.api.schemas.strict import Strict, Word
from wheelover.core.errors import Fault, InvalidConditions
from wheelover.core.types.circumstances import ZoneFrom


class ZoneIn(Strict):
    """The zone description from a waypoint on: hours added to zone time to have UTC, west positive.

    Whole or half hours, until the next one given. Without any it is that of the longitude.
    """

    from_id: Word
    zone_description_h: Annotated[
        float, Field(ge=-14.0, le=12.0, multiple_of=0.5, description="Hours")
    ]


def zones_on(zones: Sequence[ZoneIn], ids: Sequence[str]) -> tuple[ZoneFrom, ...]:
    """Return zone descriptions as the core takes them.

    Parameters
    ----------
    zones : sequence of ZoneIn
        As given.
    ids : sequence of str
        The waypoints of the route.

    Raises
    ------
    InvalidConditions
        For a waypoint that is not in the route, or named twice.
    """
    faults, seen = [], set()
    for index, one in enumerate(zones):
        pointer, named = f"/zones/{index}/from_id", one.from_id[:60]
        if one.from_id not in ids:
            message = f"{named!r} is no waypoint of the route"
            faults.append(Fault(pointer=pointer, message=message))
        elif one.from_id in seen:
            message = f"from {named!r} on a zone description is given twice"
            faults.append(Fault(pointer=pointer, message=message))
        seen.add(one.from_id)
    if faults:
        raise InvalidConditions(faults[0].message, tuple(faults))
    return tuple(
        ZoneFrom(from_id=one.from_id, description_h=one.zone_description_h) for one in zones
    )
