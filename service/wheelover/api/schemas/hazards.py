"""The dangers of a request: a GeoJSON FeatureCollection (RFC 7946)."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Literal

from wheelover.api.schemas.danger import Box
from wheelover.api.schemas.danger_columns import Dangers, joined_hazards
from wheelover.api.schemas.strict import Label, Strict, Word
from wheelover.core.errors import Fault, InvalidChart
from wheelover.core.swing import with_swing
from wheelover.core.types.chart import Chart
from wheelover.formats.crs84 import is_crs84


class HazardsIn(Strict):
    """The dangers of a plan."""

    type: Literal["FeatureCollection"]
    features: Dangers
    name: Label | None = None
    bbox: Box | None = None
    crs: dict[str, Any] | None = None

    def refuse_other_datums(self) -> None:
        """Refuse another datum than WGS84.

        Raises
        ------
        InvalidChart
            Naming the member.
        """
        if not is_crs84(self.crs):
            message = "only WGS84 longitude and latitude (CRS84) are read"
            raise InvalidChart(message, (Fault(pointer="/hazards/crs", message=message),))

    def refuse_doubled_ids(self) -> None:
        """Refuse an id that two dangers share: an answer could not say which it means.

        Raises
        ------
        InvalidChart
            Naming the second of them.
        """
        ids = self.features.hazards.ids
        if len(set(ids)) == len(ids):
            return
        first: dict[str, int] = {}
        for index, one in enumerate(ids):
            if one in first:
                own = bool(self.features.id_in_properties[index])
                message = f"id {one[:60]!r} is already that of danger {first[one]} (counted from 0)"
                pointer = f"/hazards/features/{index}{'/properties' if own else ''}/id"
                raise InvalidChart(message, (Fault(pointer=pointer, message=message),))
            first[one] = index


class HazardSetIn(Strict):
    """A hazard set to be kept: its name, where it is from, and its dangers."""

    name: Word
    source: Label | None = None
    hazards: HazardsIn


@dataclass(frozen=True, slots=True, kw_only=True)
class NamedHazards:
    """The dangers of one origin: those in the request, or those of a stored set."""

    source: str
    hazards: HazardsIn
    set_id: str | None = None


def chart_of(origins: Sequence[NamedHazards]) -> Chart:
    """Return the dangers of all origins as the core takes them.

    An id that dangers of two origins share is told apart by the id of the set.

    Raises
    ------
    InvalidChart
        For another datum than WGS84, or an id that two dangers of one origin share.
    """
    for origin in origins:
        origin.hazards.refuse_other_datums()
        origin.hazards.refuse_doubled_ids()
    parts = [origin.hazards.features.hazards for origin in origins]
    return Chart(
        loaded=bool(origins),
        hazards=with_swing(joined_hazards(parts, _told_apart(origins))),
        sources=tuple(
            f"{origin.source}: {part.count}" for origin, part in zip(origins, parts, strict=True)
        ),
    )


def _told_apart(origins: Sequence[NamedHazards]) -> tuple[str, ...]:
    """Return the ids of all dangers, each once."""
    if len(origins) == 1:
        return origins[0].hazards.features.hazards.ids
    taken: dict[str, None] = {}
    for origin in origins:
        for one in origin.hazards.features.hazards.ids:
            name = one
            while name in taken:
                name = f"{origin.set_id}/{name}"
            taken[name] = None
    return tuple(taken)
