"""Check of the pilot card: that it says what it must, and that equipment is said to be checked."""

from collections.abc import Iterator

from wheelover.core.checks.monitoring import given_of
from wheelover.core.checks.workings import Verdict, Workings, plan_subject
from wheelover.core.monitoring.card import NO_CARD, missing_of_card
from wheelover.core.types.pilot_card import PilotCard
from wheelover.core.types.plan import Finding


def check(workings: Workings) -> tuple[Verdict, ...]:
    """Return the verdict on the pilot card."""
    card = (workings.ship and workings.ship.pilot_card) or NO_CARD
    return (
        Verdict(
            check="pilot_card",
            subject=plan_subject(),
            findings=tuple(_findings(card)),
            not_checked=_not_in_full(workings),
        ),
    )


def _not_in_full(workings: Workings) -> str | None:
    """Return what is missing; nothing where every stage is given and no leg is pilotage."""
    stages = {given_of(workings, leg).stage for leg in workings.track.legs}
    if not stages & {None, "pilotage", "berth"}:
        return None
    if workings.ship is None:
        return "no ship is given"
    missing = missing_of_card(workings.ship)
    return f"nobody has said: {', '.join(missing)}" if missing else None


def _findings(card: PilotCard) -> Iterator[Finding]:
    """Yield what the card itself says to be wrong."""
    for one in card.equipment:
        if not one.checked:
            yield _finding(
                "equipment_not_checked", one.item, f"Said not to be checked: {one.item}."
            )
    if card.defects:
        yield _finding("ship_defects", "defects", f"Defects on the pilot card: {card.defects}.")


def _finding(code: str, about: str, message: str) -> Finding:
    """Return a finding about the card."""
    return Finding(
        code=code, grade="must_explain", subject=plan_subject(), about=about, message=message
    )
