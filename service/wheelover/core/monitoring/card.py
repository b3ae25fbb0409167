"""The pilot card and the exchange with the pilot: what is missing, and which order gives a speed.

The members are those of the first appendix of [A601]_, from memory.
"""

from collections.abc import Sequence

from wheelover.core.types.pilot_card import CardOrder, PilotCard
from wheelover.core.types.ship import ShipProfile

NO_CARD = PilotCard()

ASKED: tuple[tuple[str, str], ...] = (
    ("call_sign", "call sign"),
    ("imo_number", "IMO number"),
    ("bulbous_bow", "bulbous bow"),
    ("chain_port_shackles_count", "chain of the port anchor"),
    ("chain_starboard_shackles_count", "chain of the starboard anchor"),
    ("engine_type", "type of engine"),
    ("max_power_kw", "power"),
    ("astern_power_ratio", "power astern"),
    ("ahead_to_astern_s", "time from full ahead to full astern"),
    ("engine_orders", "table of engine orders"),
    ("rudder_type", "type of rudder"),
    ("hard_over_s", "time of the rudder from hard over to hard over"),
    ("equipment", "equipment checked"),
)
"""What is asked for on the card, and what it is called."""

ASKED_OF_SHIP: tuple[tuple[str, str], ...] = (
    ("displacement_t", "displacement"),
    ("air_draught_m", "air draught"),
)


def missing_of_card(ship: ShipProfile) -> tuple[str, ...]:
    """Return what is asked for on the card of a ship and nobody has said, in words."""
    card = ship.pilot_card or NO_CARD
    of_card = [words for member, words in ASKED if getattr(card, member) in (None, ())]
    of_ship = [words for member, words in ASKED_OF_SHIP if getattr(ship, member) is None]
    return (*of_ship, *of_card)


def nearest_order(
    orders: Sequence[CardOrder], speed_kn: float, member: str
) -> tuple[str, float] | None:
    """Return the engine order whose speed is nearest to a planned one, and that speed.

    Parameters
    ----------
    orders : sequence of CardOrder
        The table of engine orders.
    speed_kn : float
        The planned speed through the water.
    member : str
        ``laden_speed_kn`` or ``ballast_speed_kn``.

    Examples
    --------
    >>> table = [CardOrder(order="half", laden_speed_kn=9.0), CardOrder(order="slow")]
    >>> nearest_order(table, 10.0, "laden_speed_kn")
    ('half', 9.0)
    """
    known = [(one.order, getattr(one, member)) for one in orders]
    with_speed = [(order, float(value)) for order, value in known if value is not None]
    return min(with_speed, key=lambda one: abs(one[1] - speed_kn), default=None)
