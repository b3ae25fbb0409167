"""How lights are written on charts: character, colours, period [INT1]_."""

from wheelover.core.charted.attributes import Attributes, codes_of, number_of, text_of

_CHARACTERS = {
    1: "F",
    2: "Fl",
    3: "LFl",
    4: "Q",
    5: "VQ",
    6: "UQ",
    7: "Iso",
    8: "Oc",
    9: "IQ",
    10: "IVQ",
    11: "IUQ",
    12: "Mo",
    13: "FFl",
    14: "Fl+LFl",
    15: "OcFl",
    16: "FLFl",
    17: "Al.Oc",
    18: "Al.LFl",
    19: "Al.Fl",
    20: "Al.Grp",
    25: "Q+LFl",
    26: "VQ+LFl",
    27: "UQ+LFl",
    28: "Al",
    29: "Al.FFl",
}
_COLOURS = {1: "W", 3: "R", 4: "G", 5: "Bu", 6: "Y", 9: "Am", 10: "Vi", 11: "Or"}


def character_of(attributes: Attributes) -> str | None:
    """Return the character of a light as charts abbreviate it, None where none is charted.

    Parameters
    ----------
    attributes : mapping
        What is known of the light.

    Examples
    --------
    >>> character_of({"LITCHR": 2, "SIGGRP": "(2)", "COLOUR": ("3",), "SIGPER": 10.0})
    'Fl(2) R 10s'
    """
    code = codes_of(attributes, "LITCHR")
    character = _CHARACTERS.get(min(code, default=0))
    if character is None:
        return None
    group = text_of(attributes, "SIGGRP")
    if group is not None and group != "()" and "(1)" not in (group, group.replace(" ", "")):
        character += group if group.startswith("(") else f"({group})"
    colours = "".join(_COLOURS.get(one, "") for one in sorted(codes_of(attributes, "COLOUR")))
    period_s = number_of(attributes, "SIGPER")
    period = None if period_s is None else f"{period_s:g}s"
    return " ".join(one for one in (character, colours, period) if one)
