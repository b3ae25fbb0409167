"""What the sums need of the ship, with where each value comes from and why one is missing."""

from dataclasses import dataclass

from wheelover.core.depth.allowances import SEA_WATER_KG_PER_M3, wave_allowance_m
from wheelover.core.depth.heel import wind_heel_deg, wind_lever_m
from wheelover.core.manoeuvre.estimate_forces import USUAL_LPP_RATIO
from wheelover.core.types.circumstances import Conditions
from wheelover.core.types.depth import TermSource
from wheelover.core.types.ship import ShipProfile
from wheelover.core.units import m_per_s_from_kn

_TONNE_KG = 1000.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Hull:
    """What squat is computed from. ``block_ratio`` is None where it is not known."""

    lpp_m: float
    beam_m: float
    block_ratio: float | None
    notes: tuple[str, ...]


def hull_of(ship: ShipProfile) -> Hull:
    """Return what squat is computed from.

    Parameters
    ----------
    ship : ShipProfile
        Without a block coefficient it comes from her displacement, without a length between
        perpendiculars this is the usual part of her length overall.
    """
    notes = []
    lpp_m = ship.lpp_m
    if lpp_m is None:
        lpp_m = USUAL_LPP_RATIO * ship.loa_m
        notes.append(
            f"length between perpendiculars assumed, {USUAL_LPP_RATIO:g} of the length overall"
        )
    block = ship.block_coefficient
    if block is None and ship.displacement_t is not None:
        density = ship.draught_density_kg_per_m3 or SEA_WATER_KG_PER_M3
        box_m3 = lpp_m * ship.beam_m * (ship.draught_fore_m + ship.draught_aft_m) / 2.0
        if box_m3 > 0.0:
            block = min(ship.displacement_t * _TONNE_KG / density / box_m3, 1.0)
            notes.append(f"block coefficient {block:.3f} from her displacement")
    return Hull(lpp_m=lpp_m, beam_m=ship.beam_m, block_ratio=block, notes=tuple(notes))


@dataclass(frozen=True, slots=True, kw_only=True)
class Lean:
    """A heel or what it needs: a value, or None with the reason why there is none."""

    heel_deg: float | None
    source: TermSource
    reason: str


def wind_heel(ship: ShipProfile, conditions: Conditions) -> Lean:
    """Return her heel to the steady wind, taken from abeam.

    Parameters
    ----------
    ship : ShipProfile
        Windage and the height of its centre, displacement and metacentric height.
    conditions : Conditions
        The wind by its mean speed.
    """
    if conditions.wind_kn is None:
        given = conditions.wind_force_bft is not None
        what = "the wind is given by its force alone" if given else "no wind is given"
        return Lean(heel_deg=None, source="default", reason=f"{what}: give direction and speed")
    if conditions.wind_kn == 0.0:
        return Lean(heel_deg=0.0, source="you", reason="no wind, as given")
    hull = hull_of(ship)
    draught_m = (ship.draught_fore_m + ship.draught_aft_m) / 2.0
    displacement_t = ship.displacement_t
    if displacement_t is None and hull.block_ratio is not None:
        box_m3 = hull.lpp_m * hull.beam_m * draught_m
        displacement_t = hull.block_ratio * box_m3 * SEA_WATER_KG_PER_M3 / _TONNE_KG
    missing = [
        word
        for word, value in (
            ("lateral windage", ship.lateral_windage_m2),
            ("the height of its centre above the water", ship.windage_centre_above_water_m),
            ("displacement or block coefficient", displacement_t or None),
            ("GM", ship.gm_m),
        )
        if value is None
    ]
    if missing or displacement_t is None or ship.gm_m is None:
        reason = f"not given for {ship.name}: {', '.join(missing)}"
        return Lean(heel_deg=None, source="default", reason=reason)
    lever_m = wind_lever_m(
        m_per_s_from_kn(conditions.wind_kn),
        ship.lateral_windage_m2 or 0.0,
        (ship.windage_centre_above_water_m or 0.0) + draught_m / 2.0,
        displacement_t,
    )
    heel_deg = float(wind_heel_deg(lever_m, ship.gm_m)[0])
    reason = f"{heel_deg:.2f} deg to a steady wind of {conditions.wind_kn:g} kn taken from abeam"
    return Lean(heel_deg=heel_deg, source="computed", reason=reason)


def gravity_above_buoyancy_m(ship: ShipProfile) -> tuple[float | None, str]:
    """Return BG in metres, None where it is not known, and where it comes from or why not.

    Parameters
    ----------
    ship : ShipProfile
        With KG alone the centre of buoyancy is taken at half the draught, below which it never
        lies in a ship's form: BG comes out too large rather than too small.
    """
    if ship.bg_m is not None:
        return ship.bg_m, f"BG {ship.bg_m:g} m"
    if ship.kg_m is None:
        return None, f"not given for {ship.name}: KG or BG"
    bg_m = ship.kg_m - (ship.draught_fore_m + ship.draught_aft_m) / 4.0
    return max(bg_m, 0.0), f"BG {max(bg_m, 0.0):.2f} m from KG {ship.kg_m:g} m"


@dataclass(frozen=True, slots=True, kw_only=True)
class Allowance:
    """What is taken off for something: a value, or None with the reason why it is not known."""

    value_m: float | None
    source: TermSource
    reason: str


def wave_allowance(conditions: Conditions) -> Allowance:
    """Return what is taken off for waves: as given, else from their height.

    Parameters
    ----------
    conditions : Conditions
        The allowance, or the significant height of sea and swell.
    """
    if conditions.wave_allowance_m is not None:
        return Allowance(value_m=conditions.wave_allowance_m, source="you", reason="as given")
    if conditions.wave_height_m is None:
        reason = "no wave height and no allowance is given"
        return Allowance(value_m=None, source="default", reason=reason)
    value_m = wave_allowance_m(conditions.wave_height_m)
    reason = (
        f"half the highest of a thousand waves of {conditions.wave_height_m:g} m significant height"
    )
    return Allowance(value_m=value_m, source="computed", reason=reason)
