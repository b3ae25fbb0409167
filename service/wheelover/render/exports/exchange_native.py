"""What a plan can say in the native members of route exchange XML beside track and limits.

Attributes, units and their meaning are those of the published list of IEC 61174 Annex S: draughts,
water under the keel and heights in metres, displacement in tonnes.
"""

from typing import Any

from wheelover.render.exports.rows import Row, plain
from wheelover.render.exports.stamp import Document

METRES_DIGITS = 4


def ship_of(inputs: Document) -> Document:
    """Return the ship of a request as she is loaded; empty where there is none."""
    ship: dict[str, Any] = inputs.get("ship") or {}
    loadings: list[Document] = ship.get("loadings") or []
    chosen = next((one for one in loadings if one["name"] == ship.get("loading")), {})
    return {**ship, **{key: value for key, value in chosen.items() if value is not None}} | {
        "name": ship.get("name")
    }


def vessel(inputs: Document) -> dict[str, str | None]:
    """Return what the head of the file says of the vessel."""
    ship = ship_of(inputs)
    card: Document = ship.get("pilot_card") or {}
    return {
        "vesselName": ship.get("name") or None,
        "vesselIMO": card.get("imo_number"),
        "vesselDisplacement": plain(ship.get("displacement_t")),
        "vesselGM": plain(ship.get("gm_m")),
    }


def leg_numbers(row: Row, inputs: Document, result: Document) -> dict[str, str | None]:
    """Return what a leg says of draughts, depths and the water under the keel on it.

    ``staticUKC`` is the least with the ship at rest, ``dynamicUKC`` what is left of it under way,
    each as its sum in the plan has it. Speeds allowed on a leg are not the plan's to give.
    """
    ship, keel = ship_of(inputs), row.leg_keel or {}
    contour = (result.get("charts") or {}).get("safety_contour") or {}
    fore_m = keel.get("draught_fore_m") or ship.get("draught_fore_m")
    aft_m = keel.get("draught_aft_m") or ship.get("draught_aft_m")
    return {
        "safetyContour": plain(contour.get("used_m"), METRES_DIGITS),
        "safetyDepth": plain(contour.get("depth_wanted_m"), METRES_DIGITS),
        "draughtForward": plain(fore_m, METRES_DIGITS),
        "draughtAft": plain(aft_m, METRES_DIGITS),
        "staticUKC": plain(keel.get("static_ukc_m"), METRES_DIGITS),
        "dynamicUKC": plain(keel.get("net_ukc_m"), METRES_DIGITS),
        "masthead": plain(ship.get("air_draught_m"), METRES_DIGITS),
    }
