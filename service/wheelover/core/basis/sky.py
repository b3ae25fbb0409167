"""The basis of courses by compass and of the light: model, deviation card, gyro error."""

from wheelover.core.schedule.variation import MODEL, VALID_FROM_YEAR, VALID_TO_YEAR
from wheelover.core.types.compass import DeviationCard, SkyFound
from wheelover.core.types.plan import BasisRow
from wheelover.core.types.ship import ShipProfile


def sky_rows(ship: ShipProfile | None, sky: SkyFound) -> tuple[BasisRow, ...]:
    """Return what courses by compass hang on, and what is assumed for them.

    Parameters
    ----------
    ship : ShipProfile or None
        Her compasses.
    sky : SkyFound
        What was found: without a known variation no model was used.
    """
    rows = []
    if any(one.variation.value_deg is not None for one in sky.courses):
        rows.append(
            BasisRow(
                input="magnetic variation",
                value=MODEL,
                unit=None,
                source="set",
                note=f"valid from {VALID_FROM_YEAR:.1f} to {VALID_TO_YEAR:.1f}, at noon of the day "
                "that each leg begins; local anomalies are not in it",
            )
        )
    if ship is not None and ship.gyro_error_deg is not None:
        rows.append(
            BasisRow(
                input=f"gyro error of {ship.name}",
                value=ship.gyro_error_deg,
                unit="deg",
                source="ship",
                note="added to the gyro's reading; the error by speed and latitude is not computed",
            )
        )
    if ship is not None and ship.deviation_card is not None:
        rows += _card_rows(ship.name, ship.deviation_card)
    return tuple(rows)


def _card_rows(name: str, card: DeviationCard) -> list[BasisRow]:
    """Return the deviation card, and what is assumed of its headings."""
    made = "when it was made is not said" if card.swung_utc is None else f"made {card.swung_utc}"
    rows = [
        BasisRow(
            input=f"deviation card of {name}",
            value=f"{len(card.rows)} headings",
            unit=None,
            source="ship",
            note=f"{made}; along a straight line between two headings",
        )
    ]
    if card.by is None:
        rows.append(
            BasisRow(
                input="headings of the deviation card",
                value="compass",
                unit=None,
                source="default",
                note="the card does not say whether they are by compass or magnetic",
            )
        )
    return rows
