"""The basis of a plan on its water: what charts and sums of depth hang on."""

import numpy as np

from wheelover.core.types.charted import Charted, WantedSource
from wheelover.core.types.circumstances import Conditions, Limits
from wheelover.core.types.depth import Depths
from wheelover.core.types.plan import BasisRow, Source
from wheelover.core.types.ship import ShipProfile
from wheelover.core.types.tide import Tide

_WANTED_WORDS = {
    "you": None,
    "set": "asked by the limit set",
    "ship": "proposed from her deepest draught; nobody gave one",
    "default": "no draught is known and nobody gave one",
}


def charted_rows(charted: Charted | None) -> tuple[BasisRow, ...]:
    """Return the depths that charted water was held against, and what is assumed of charts.

    Parameters
    ----------
    charted : Charted or None
        What the cells of the plan say; None without cells.
    """
    if charted is None:
        return ()
    contour = charted.contour
    wanted = contour.wanted
    used = "no loaded contour is as deep"
    if contour.used_m is not None:
        used = f"the nearest loaded contour is {contour.used_m:g} m"
    rows = [
        BasisRow(
            input=f"safety {name} wanted",
            value=value_m,
            unit="m",
            source=_WANTED_SOURCES[source],
            note="; ".join(one for one in (_WANTED_WORDS[source], said) if one) or None,
        )
        for name, value_m, source, said in (
            ("contour", wanted.contour_m, wanted.contour_source, used),
            ("depth", wanted.depth_m, wanted.depth_source, None),
        )
    ]
    if bool(np.any(charted.dangers.hazards.position_uncertainty_m == 0.0)):
        rows.append(
            BasisRow(
                input="position uncertainty of charted land, structures and marks",
                value=0.0,
                unit="m",
                source="default",
                note="charts state none; floating marks are taken to swing by three depths",
            )
        )
    return tuple(rows)


_WANTED_SOURCES: dict[WantedSource, Source] = {
    "you": "you",
    "set": "set",
    "ship": "default",
    "default": "default",
}


def water_rows(
    ship: ShipProfile | None, conditions: Conditions, limits: Limits, depths: Depths
) -> tuple[BasisRow, ...]:
    """Return what the sums of water under the keel hang on, and what is assumed for them.

    Parameters
    ----------
    ship : ShipProfile or None
        Her draughts and stability.
    conditions : Conditions
        Tide, waves and the density of the water.
    limits : Limits
        The clearances required.
    depths : Depths
        The sums: without any nothing is assumed.
    """
    given: tuple[tuple[str, float | None, str | None], ...] = (
        ("height of tide", conditions.tide_m, "m"),
        ("significant wave height", conditions.wave_height_m, "m"),
        ("wave allowance", conditions.wave_allowance_m, "m"),
        ("density of the water", conditions.water_density_kg_per_m3, "kg/m3"),
        ("level of clearances under objects, above chart datum", conditions.height_datum_m, "m"),
        ("least under-keel clearance", limits.min_ukc_m, "m"),
        ("least under-keel clearance over draught", limits.min_ukc_draught_ratio, None),
        ("least clearance over the mast", limits.min_overhead_m, "m"),
        ("electrical distance under cables", limits.electrical_distance_m, "m"),
    )
    rows = [
        BasisRow(input=name, value=value, unit=unit, source="you")
        for name, value, unit in given
        if value is not None
    ]
    rows += [
        BasisRow(
            input="table of tides" if one.harmonics is None else "harmonic constants of the tide",
            value=one.station,
            unit=None,
            source="you",
            note=_tide_note(one),
        )
        for one in conditions.tides
    ]
    terms = [term for one in depths.sums for term in one.terms if term.source == "default"]
    if ship is not None and (depths.sums or depths.overheads):
        rows += _afloat_rows(ship)
    dry = sum(1 for term in terms if term.name == "tide" and term.value_m is not None)
    if dry:
        note = f"{dry} sums of under-keel clearance, for which no tide is given"
        rows.append(
            BasisRow(input="height of tide", value=0.0, unit="m", source="default", note=note)
        )
    return tuple(rows)


def _tide_note(tide: Tide) -> str:
    """Return what is given of a tide, and over which time it is looked at."""
    if tide.harmonics is None:
        return f"{len(tide.heights)} heights above chart datum"
    return (
        f"{len(tide.harmonics.constituents)} constituents, mean level "
        f"{tide.harmonics.mean_level_m:g} m above chart datum; windows are looked for from 25 h "
        "before she passes to 25 h after"
    )


def _afloat_rows(ship: ShipProfile) -> list[BasisRow]:
    """Return the ship's data that sums under the keel and over the mast are made of."""
    given: tuple[tuple[str, float | None, str | None], ...] = (
        ("draught forward", ship.draught_fore_m, "m"),
        ("draught aft", ship.draught_aft_m, "m"),
        ("air draught", ship.air_draught_m, "m"),
        ("block coefficient", ship.block_coefficient, None),
        ("displacement", ship.displacement_t, "t"),
        ("TPC", ship.tpc_t_per_cm, "t/cm"),
        ("GM", ship.gm_m, "m"),
        ("KG", ship.kg_m, "m"),
        ("BG", ship.bg_m, "m"),
    )
    return [
        BasisRow(input=f"{name} of {ship.name}", value=value, unit=unit, source="ship")
        for name, value, unit in given
        if value is not None
    ]
