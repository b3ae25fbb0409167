"""What a step that changes the monitoring of legs is called."""

from typing import Any

from wheelover.render.difference.words import number

Document = dict[str, Any]

MEMBERS = {
    "stage": "stage",
    "primary": "primary fixing",
    "secondary": "secondary fixing",
    "interval_min": "interval of fixes",
    "watch": "watch condition",
    "machinery": "machinery",
    "pilot": "pilot",
    "tugs": "tugs",
    "call_master": "call of the master",
    "notes": "notes",
}

_FEW = 2


def monitoring_said(old: dict[str, Document], new: dict[str, tuple[int, Document]]) -> list[str]:
    """Return what changed in the monitoring of legs, one value set on many legs said once.

    Parameters
    ----------
    old, new : dict
        Waypoints by id, those of now with their index.

    Examples
    --------
    >>> leg = {"monitoring": {"stage": "coastal", "fixing": {"interval_min": 6.0}}}
    >>> monitoring_said({"B": {}}, {"B": (1, {"leg": leg})})
    ['Leg to WPT 02 stage: none to coastal', 'Leg to WPT 02 interval of fixes: none to 6 min']
    """
    changed: dict[tuple[str, str, str], list[int]] = {}
    for one, (index, waypoint) in new.items():
        before, after = _flat(old.get(one) or {}), _flat(waypoint)
        for member in MEMBERS:
            if before.get(member) != after.get(member) and one in old:
                said = _said(member, before.get(member)), _said(member, after.get(member))
                changed.setdefault((member, *said), []).append(index)
    lines: list[str] = []
    told: set[tuple[str, str]] = set()
    for (member, before_said, after_said), indexes in changed.items():
        legs = [i for (m, _, a), more in changed.items() for i in more
                if (m, a) == (member, after_said)]  # fmt: skip
        if len(legs) > _FEW:
            if (member, after_said) not in told:
                lines.append(f"{len(legs)} legs {MEMBERS[member]}: {after_said}")
                told.add((member, after_said))
            continue
        lines += [
            f"Leg to WPT {number(index)} {MEMBERS[member]}: {before_said} to {after_said}"
            for index in indexes
        ]
    return lines


def _flat(waypoint: Document) -> Document:
    """Return the monitoring of the leg to a waypoint, fixing and the rest in one."""
    monitoring = (waypoint.get("leg") or {}).get("monitoring") or {}
    return {**monitoring, **(monitoring.get("fixing") or {})}


def _said(member: str, value: Any) -> str:
    """Return one value in words."""
    if value is None:
        return "none"
    if member == "interval_min":
        return f"{value:g} min"
    words = str(value)
    if member in ("stage", "primary", "secondary"):
        words = words.replace("_", " ")
    return words if len(words) <= 40 else f"{words[:37]}..."
