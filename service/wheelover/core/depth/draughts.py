"""Her draughts on each leg: as given, as changed along the passage, and by the water's density."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from wheelover.core.depth.allowances import (
    SEA_WATER_KG_PER_M3,
    density_change_m,
    fresh_water_allowance_m,
    most_density_change_m,
    most_density_rise_m,
)
from wheelover.core.types.depth import End, TermSource
from wheelover.core.types.route import Route
from wheelover.core.types.ship import DraughtChange, ShipProfile
from wheelover.core.types.track import PlannedLeg

_LONGEST_REASON = 500


@dataclass(frozen=True, slots=True, kw_only=True)
class Afloat:
    """How deep she lies on a leg, at rest.

    ``change_m`` is what the density of the water adds to the draughts read, less where she comes
    into denser water. ``lowers_m`` is how far it surely lowers her mast, less than zero where it
    may raise it.
    """

    fore_m: float
    aft_m: float
    midships_m: float | None
    source: TermSource
    reason: str
    change_m: float = 0.0
    lowers_m: float = 0.0
    change_source: TermSource = "default"
    change_reason: str = "the water is as dense as that in which the draughts were read"

    @property
    def ends(self) -> dict[End, float]:
        """Return the draughts read, by where they are read."""
        read: dict[End, float] = {"fore": self.fore_m, "aft": self.aft_m}
        return read if self.midships_m is None else {**read, "midships": self.midships_m}

    @property
    def deepest_m(self) -> float:
        """Return the greatest of the draughts read."""
        return max(self.ends.values())

    @property
    def mean_m(self) -> float:
        """Return the mean of the draughts fore and aft."""
        return (self.fore_m + self.aft_m) / 2.0


def afloat_on_legs(
    ship: ShipProfile,
    route: Route,
    legs: Sequence[PlannedLeg],
    water_density_kg_per_m3: float | None,
) -> tuple[Afloat, ...]:
    """Return how deep she lies on each leg.

    Parameters
    ----------
    ship : ShipProfile
        Her draughts, and what is different of them along the passage.
    route : Route
        Says which waypoint comes when.
    legs : sequence of PlannedLeg
        The legs, in sailing order.
    water_density_kg_per_m3 : float or None
        Of the water at departure; salt water where it is not said.
    """
    place = {waypoint.id: index for index, waypoint in enumerate(route.waypoints)}
    changes = sorted(
        ((place[one.from_id], one) for one in ship.draughts if one.from_id in place),
        key=lambda row: row[0],
    )
    found = []
    for leg in legs:
        read = (ship.draught_fore_m, ship.draught_aft_m, ship.draught_midships_m)
        read_in = ship.draught_density_kg_per_m3 or SEA_WATER_KG_PER_M3
        water = water_density_kg_per_m3 or SEA_WATER_KG_PER_M3
        source: TermSource = "ship"
        reason = f"as given for {ship.name}"
        for index, change in changes:
            if index > leg.from_index:
                break
            water = change.water_density_kg_per_m3 or water
            if change.draught_fore_m is not None and change.draught_aft_m is not None:
                read = (change.draught_fore_m, change.draught_aft_m, change.draught_midships_m)
                read_in, source = change.draught_density_kg_per_m3 or water, "you"
                reason = f"from {change.from_id}: {change.reason}"
        found.append(_afloat(ship, read, (read_in, water), source, reason))
    return tuple(found)


def change_in_force(
    changes: Sequence[DraughtChange], from_id: str, water_density_kg_per_m3: float | None
) -> DraughtChange | None:
    """Return changes that count one after the other as the one change that they come to.

    Parameters
    ----------
    changes : sequence of DraughtChange
        In sailing order, all of them behind her.
    from_id : str
        The waypoint that the one change is to count from.
    water_density_kg_per_m3 : float or None
        Of the water at departure; salt water where it is not said.
    """
    read, read_in, water = None, None, None
    reasons: list[str] = []
    for one in changes:
        water = one.water_density_kg_per_m3 or water
        if one.draught_fore_m is not None:
            read, reasons = one, []
            read_in = one.draught_density_kg_per_m3 or water or water_density_kg_per_m3
        reasons.append(one.reason)
    if not changes:
        return None
    plain = DraughtChange(
        from_id=from_id,
        reason="; ".join(dict.fromkeys(reasons))[:_LONGEST_REASON],
        water_density_kg_per_m3=water,
    )
    if read is None:
        return plain
    read_in = read_in or SEA_WATER_KG_PER_M3
    there = water or water_density_kg_per_m3 or SEA_WATER_KG_PER_M3
    return replace(
        plain,
        draught_fore_m=read.draught_fore_m,
        draught_aft_m=read.draught_aft_m,
        draught_midships_m=read.draught_midships_m,
        draught_density_kg_per_m3=None if read_in == there else read_in,
    )


def _afloat(
    ship: ShipProfile,
    read: tuple[float, float, float | None],
    densities: tuple[float, float],
    source: TermSource,
    reason: str,
) -> Afloat:
    """Return draughts read in water of one density as they are in that of another."""
    fore_m, aft_m, midships_m = read
    plain = Afloat(fore_m=fore_m, aft_m=aft_m, midships_m=midships_m, source=source, reason=reason)
    read_in, water = densities
    if read_in == water:
        return plain
    words = f"from water of {read_in:g} into {water:g} kg/m3"
    if ship.displacement_t is not None and ship.tpc_t_per_cm is not None:
        change_m = density_change_m(
            fresh_water_allowance_m(ship.displacement_t, ship.tpc_t_per_cm), read_in, water
        )
        lowers_m = change_m
        how = f"{words}, by displacement / (4 TPC)"
    else:
        change_m = most_density_change_m(plain.deepest_m, read_in, water)
        lowers_m = -most_density_rise_m(plain.deepest_m, read_in, water)
        how = f"{words}; the most it can be, as displacement and TPC are not given"
    return Afloat(
        fore_m=fore_m,
        aft_m=aft_m,
        midships_m=midships_m,
        source=source,
        reason=reason,
        change_m=change_m,
        lowers_m=lowers_m,
        change_source="computed",
        change_reason=how,
    )


def deeper(one: Afloat, other: Afloat) -> Afloat:
    """Return that of two states in which she lies deeper.

    Parameters
    ----------
    one, other : Afloat
        On the legs beside a turn.
    """
    return one if one.deepest_m + one.change_m >= other.deepest_m + other.change_m else other
