"""What charted clearances count from, and where that is the level of the charted depths."""

from collections.abc import Mapping
from types import MappingProxyType

LEVELS: Mapping[int, str] = MappingProxyType(
    {
        1: "mean low water springs",
        2: "mean lower low water springs",
        3: "mean sea level",
        4: "lowest low water",
        5: "mean low water",
        6: "lowest low water springs",
        7: "approximate mean low water springs",
        8: "Indian spring low water",
        9: "low water springs",
        10: "approximate lowest astronomical tide",
        11: "nearly lowest low water",
        12: "mean lower low water",
        13: "low water",
        14: "approximate mean low water",
        15: "approximate mean lower low water",
        16: "mean high water",
        17: "mean high water springs",
        18: "high water",
        19: "approximate mean sea level",
        20: "high water springs",
        21: "mean higher high water",
        22: "equinoctial spring low water",
        23: "lowest astronomical tide",
        24: "local datum",
        25: "International Great Lakes Datum 1985",
        26: "mean water level",
        27: "lower low water large tide",
        28: "higher high water large tide",
        29: "nearly highest high water",
        30: "highest astronomical tide",
    }
)
"""Levels by the numbers of the attribute VERDAT [S57A]_."""

_SHORT: Mapping[str, str] = MappingProxyType(
    {
        "hat": "highest astronomical tide",
        "lat": "lowest astronomical tide",
        "mhhw": "mean higher high water",
        "mhw": "mean high water",
        "mhws": "mean high water springs",
        "msl": "mean sea level",
    }
)
"""What levels are called for short."""

_LOWEST = "lowest astronomical tide"
_LOCAL = "local datum"
_CHART_DATUM = ("chart datum", _LOWEST)


def level_words(level: str) -> str:
    """Return a level in words by which it is told from another.

    Parameters
    ----------
    level : str
        As somebody wrote it.

    Examples
    --------
    >>> level_words("MHWS") == level_words("Mean  high water springs")
    True
    """
    words = " ".join(level.lower().replace(".", "").split())
    return _SHORT.get(words, words)


def is_chart_datum(level: str | None, depth_datum: str | None = None) -> bool:
    """Return whether a level is that of the charted depths: nothing lies between the two.

    Parameters
    ----------
    level : str or None
        What a clearance counts from, in words; None where nobody says it.
    depth_datum : str or None
        What the depths beside it count from. Where that is not said, chart datum is taken to be
        the lowest astronomical tide. Two levels that are both only called local may differ.
    """
    if level is None:
        return False
    words = level_words(level)
    if depth_datum is None or words == "chart datum":
        return words in _CHART_DATUM
    return words == level_words(depth_datum) and words != _LOCAL
