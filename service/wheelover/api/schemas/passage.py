"""What changes along the passage: heights of tide at its stations, and the ship's draughts."""

from collections.abc import Sequence
from itertools import pairwise
from typing import Annotated, Literal

from pydantic import Field, field_validator, model_validator

from wheelover.api.schemas.sky import HarmonicsIn, harmonics_at
from wheelover.api.schemas.strict import Strict, Word
from wheelover.api.schemas.utc import UtcTime
from wheelover.core.errors import Fault, InvalidConditions, InvalidShip
from wheelover.core.types.ship import DraughtChange
from wheelover.core.types.tide import Tide, TideHeight
from wheelover.core.utc import seconds_from_utc

TideMetres = Annotated[float, Field(ge=-20.0, le=20.0, description="Metres above chart datum")]
Draught = Annotated[float, Field(ge=0.0, le=100.0, description="Metres")]
WaterDensity = Annotated[
    float, Field(ge=990.0, le=1050.0, description="Kilograms per cubic metre; salt water is 1025")
]


class TideHeightIn(Strict):
    """A height of tide above chart datum at a time."""

    at_utc: UtcTime
    height_m: TideMetres


class TideIn(Strict):
    """The tide at a station for the legs from one waypoint to another: heights, or constants.

    Without from_id it counts from the first waypoint, without to_id to the last. Between two
    heights the tide runs along half a cosine, which holds between high and low water, or along a
    straight line. Harmonic constants instead of heights have no table to end: windows are looked
    for from 25 h before she passes to 25 h after. The margin is how much earlier or later than
    computed she may pass.
    """

    station: Word
    heights: Annotated[list[TideHeightIn], Field(min_length=2, max_length=2000)] | None = None
    harmonics: HarmonicsIn | None = None
    between: Literal["cosine", "linear"] = "cosine"
    from_id: Word | None = None
    to_id: Word | None = None
    margin_s: Annotated[float, Field(ge=0.0, le=604_800.0, description="Seconds")] = 0.0

    @field_validator("heights")
    @classmethod
    def _in_order(cls, heights: list[TideHeightIn] | None) -> list[TideHeightIn] | None:
        """Refuse heights out of order: between them nothing could be read."""
        for number, (one, after) in enumerate(pairwise(heights or ())):
            if seconds_from_utc(after.at_utc) <= seconds_from_utc(one.at_utc):
                raise ValueError(
                    f"each height must be later than the one before it; number {number + 1} "
                    "(counted from 0) is not"
                )
        return heights

    @model_validator(mode="after")
    def _one_of_both(self) -> "TideIn":
        """Refuse a tide given in two ways, or in none."""
        if (self.heights is None) == (self.harmonics is None):
            raise ValueError("give heights or harmonics, one of both")
        return self

    def to_core(self, pointer: str) -> Tide:
        """Return it as the core takes it.

        Parameters
        ----------
        pointer : str
            Where it stands in the request.

        Raises
        ------
        InvalidConditions
            For a constituent that is not known, or given twice.
        """
        return Tide(
            station=self.station,
            heights=tuple(
                TideHeight(at_s=seconds_from_utc(one.at_utc), height_m=one.height_m)
                for one in self.heights or ()
            ),
            harmonics=harmonics_at(self.harmonics, f"{pointer}/harmonics"),
            between=self.between,
            from_id=self.from_id,
            to_id=self.to_id,
            margin_s=self.margin_s,
        )


class DraughtChangeIn(Strict):
    """What is different of her draughts from a waypoint on, and why: both ends, or the water alone.

    Draughts are as they read in the water there, or in that of draught_density_kg_per_m3; without
    them those before change with the density of the water.
    """

    from_id: Word
    reason: Annotated[str, Field(min_length=1, max_length=500)]
    draught_fore_m: Draught | None = None
    draught_aft_m: Draught | None = None
    draught_midships_m: Draught | None = None
    draught_density_kg_per_m3: WaterDensity | None = None
    water_density_kg_per_m3: WaterDensity | None = None

    @model_validator(mode="after")
    def _something_whole(self) -> "DraughtChangeIn":
        """Refuse a change that changes nothing, and half a pair of draughts."""
        if (self.draught_fore_m is None) != (self.draught_aft_m is None):
            missing = "draught_fore_m" if self.draught_fore_m is None else "draught_aft_m"
            raise ValueError(f"draughts are given at both ends; {missing} is missing")
        if self.draught_fore_m is None and self.draught_midships_m is not None:
            raise ValueError("draught_midships_m needs draught_fore_m and draught_aft_m")
        if self.draught_fore_m is None and self.draught_density_kg_per_m3 is not None:
            raise ValueError("draught_density_kg_per_m3 needs draught_fore_m and draught_aft_m")
        if self.draught_fore_m is None and self.water_density_kg_per_m3 is None:
            raise ValueError("give draughts, or the density of the water, or both")
        return self

    def to_core(self) -> DraughtChange:
        """Return it as the core takes it."""
        return DraughtChange(**self.model_dump())


def tides_on(tides: Sequence[TideIn], ids: Sequence[str]) -> tuple[Tide, ...]:
    """Return tables of tides as the core takes them.

    Parameters
    ----------
    tides : sequence of TideIn
        The tables.
    ids : sequence of str
        The waypoints of the route, in sailing order.

    Raises
    ------
    InvalidConditions
        For a waypoint that is not in the route, or an end before its start.
    """
    faults = []
    for index, tide in enumerate(tides):
        for member in ("from_id", "to_id"):
            named = getattr(tide, member)
            if named is not None and named not in ids:
                faults.append(_unknown(f"/conditions/tides/{index}/{member}", named))
        known = tide.from_id in ids and tide.to_id in ids
        if known and ids.index(tide.from_id or "") >= ids.index(tide.to_id or ""):
            message = f"to_id {(tide.to_id or '')[:60]!r} does not come after from_id"
            faults.append(Fault(pointer=f"/conditions/tides/{index}/to_id", message=message))
    if faults:
        raise InvalidConditions(faults[0].message, tuple(faults))
    return tuple(one.to_core(f"/conditions/tides/{index}") for index, one in enumerate(tides))


def draughts_along(
    changes: Sequence[DraughtChangeIn], ids: Sequence[str], *, ship: bool
) -> tuple[DraughtChange, ...]:
    """Return changes of draught as the core takes them.

    Parameters
    ----------
    changes : sequence of DraughtChangeIn
        The changes.
    ids : sequence of str
        The waypoints of the route, in sailing order.
    ship : bool
        Whether there is a ship that they are changes of.

    Raises
    ------
    InvalidShip
        For a waypoint that is not in the route or named twice, or without a ship.
    """
    if changes and not ship:
        message = "draughts along the passage need a ship: give ship or ship_id"
        raise InvalidShip(message, (Fault(pointer="/draughts", message=message),))
    faults, seen = [], set()
    for index, change in enumerate(changes):
        pointer = f"/draughts/{index}/from_id"
        if change.from_id not in ids:
            faults.append(_unknown(pointer, change.from_id))
        elif change.from_id in seen:
            message = f"from {change.from_id[:60]!r} on her draughts are given twice"
            faults.append(Fault(pointer=pointer, message=message))
        seen.add(change.from_id)
    if faults:
        raise InvalidShip(faults[0].message, tuple(faults))
    return tuple(one.to_core() for one in changes)


def _unknown(pointer: str, named: str) -> Fault:
    """Return the fault of a waypoint that is not in the route."""
    return Fault(pointer=pointer, message=f"{named[:60]!r} is no waypoint of the route")
