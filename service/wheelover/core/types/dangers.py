"""What kinds of danger are told apart, and kinds of water: what margins are written for."""

from typing import Literal, get_args

DangerClass = Literal[
    "land",
    "coast",
    "shoal",
    "sounding",
    "rock",
    "wreck",
    "obstruction",
    "structure",
    "fishing",
    "aid",
    "ice",
    "unsurveyed",
    "overhead",
    "warning",
    "restricted",
    "special",
    "routeing",
    "cable",
    "other",
]
"""One word for what a thing is to a ship; several classes of chart object share one.

``shoal`` is water shallower than the safety contour, ``structure`` what stands in the water,
``aid`` what marks it, ``special`` an area with special conditions that is not closed [MSC232]_,
``warning`` what a navigational warning tells of [S53]_.
"""

DANGER_CLASSES: tuple[DangerClass, ...] = get_args(DangerClass)

WaterKind = Literal["open", "coastal", "confined"]
"""The kind of water a leg leads through, as company limits tell it apart."""

WATER_KINDS: tuple[WaterKind, ...] = get_args(WaterKind)

# Words that people write for a danger's kind; anything else has the general margin.
_WORDS: dict[str, DangerClass] = {
    "depth area": "shoal",
    "bank": "shoal",
    "reef": "rock",
    "isolated danger": "obstruction",
    "foul ground": "obstruction",
    "platform": "structure",
    "pile": "structure",
    "pier": "structure",
    "breakwater": "structure",
    "buoy": "aid",
    "beacon": "aid",
    "light": "aid",
    "light float": "aid",
    "light vessel": "aid",
    "fish farm": "fishing",
    "marine farm": "fishing",
    "bridge": "overhead",
    "power line": "overhead",
    "conveyor": "overhead",
    "restricted area": "restricted",
    "prohibited area": "restricted",
    "submarine cable": "cable",
    "pipeline": "cable",
    "separation zone": "routeing",
    "island": "land",
    "navigational warning": "warning",
}


def danger_class_of(kind: str | None) -> DangerClass | None:
    """Return the class that a danger's kind, as a person wrote it, stands for; None for no class.

    Examples
    --------
    >>> danger_class_of("Wreck"), danger_class_of("fish farm"), danger_class_of("regatta")
    ('wreck', 'fishing', None)
    """
    if kind is None:
        return None
    word = " ".join(kind.lower().replace("_", " ").split())
    for one in DANGER_CLASSES:
        if word == one:
            return one
    # What is called overhead, and every bridge by whatever is said before it, crosses above.
    if word.startswith("overhead ") or word.endswith(" bridge"):
        return "overhead"
    return _WORDS.get(word)
