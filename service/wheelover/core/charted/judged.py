"""Whether a charted object is a danger, and why: the rules of each class [S57A]_."""

from dataclasses import dataclass

from wheelover.core.charted.attributes import Attributes, codes_of, number_of, text_of
from wheelover.core.charted.classes import CLASSES, ObjectClass
from wheelover.core.charted.contour import shallower
from wheelover.core.types.charted import Wanted

_ALWAYS_UNDER_WATER = 3
_SHOALER = 2
_AS_DEEP_OR_DEEPER = frozenset({1, 3})
_SHOWS = {
    1: "partly above water at high water",
    2: "always dry",
    4: "covers and uncovers",
    5: "awash",
    6: "under water at times",
    7: "floats",
}
_WRECKS_DANGEROUS = {2: "dangerous", 4: "with masts showing", 5: "with hull showing"}
_FLAGGED = {5: "fish haven", 6: "foul area", 7: "foul ground"}
_BARRIERS = {8: "ice boom", 10: "boom"}
_DOUBTFUL = {
    2: "its depth is unknown",
    3: "its depth is doubtful",
    4: "its depth is unreliable",
    5: "no bottom was found at its depth",
    7: "its least depth is unknown",
    8: "its depth is reported, not surveyed",
    9: "its depth is reported, not confirmed",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Judged:
    """What is made of one object; ``counts`` is None where its surroundings decide."""

    counts: bool | None
    why: str
    depth_m: float | None = None
    doubtful: bool = False


def judged(name: str, attributes: Attributes, wanted: Wanted) -> Judged:
    """Return whether an object of a class that is kept off is a danger, as far as it says itself.

    Parameters
    ----------
    name : str
        Its class.
    attributes : mapping
        What is known of it.
    wanted : Wanted
        The contour and the depth that water is held against.
    """
    row = CLASSES[name]
    if row.rule in {"depth_area", "contour"}:
        end = "VALDCO" if row.rule == "contour" else "DRVAL1"
        return _shoal(row, number_of(attributes, end), wanted)
    if row.rule == "depth_or_unknown":
        return _single(name, attributes, wanted)
    in_water = row.rule in {"standing", "equipment"}
    return Judged(
        counts=True,
        why=f"{row.words}: {'it stands in the water' if in_water else 'kept off wherever it lies'}",
        depth_m=number_of(attributes, "VALSOU"),
    )


def _shoal(row: ObjectClass, depth_m: float | None, wanted: Wanted) -> Judged:
    """Return whether a depth area or a contour is shallower than the contour wanted."""
    counts = shallower(depth_m, wanted.contour_m)
    if depth_m is None:
        why = f"{row.words} whose least depth is not charted"
    else:
        dries = f"dries {-depth_m:g} m" if depth_m < 0.0 else f"from {depth_m:g} m"
        why = f"{row.words} {dries}, contour wanted {wanted.contour_m:g} m"
    return Judged(counts=counts, why=why, depth_m=depth_m)


def judged_sounding(depth_m: float | None, wanted: Wanted) -> Judged:
    """Return whether a sounding is a danger: less than the depth wanted, or none at all.

    Parameters
    ----------
    depth_m : float or None
        Its depth, metres; negative where it dries.
    wanted : Wanted
        The depth that it is held against.
    """
    if depth_m is None:
        return Judged(counts=True, why="sounding without a depth")
    words = f"sounding that dries {-depth_m:g} m" if depth_m < 0.0 else f"sounding of {depth_m:g} m"
    return Judged(
        counts=shallower(depth_m, wanted.depth_m),
        why=f"{words}, depth wanted {wanted.depth_m:g} m",
        depth_m=depth_m,
    )


def _single(name: str, attributes: Attributes, wanted: Wanted) -> Judged:
    """Return whether a wreck, rock or obstruction is a danger, as far as it says itself."""
    words = named(name, attributes)
    depth_m = number_of(attributes, "VALSOU")
    said = _said(name, attributes, words)
    if said is not None:
        return Judged(counts=True, why=said, depth_m=depth_m)
    if depth_m is None:
        return Judged(counts=None, why=f"{words} of unknown depth")
    dries = f"that dries {-depth_m:g} m" if depth_m < 0.0 else f"at {depth_m:g} m"
    less = shallower(depth_m, wanted.depth_m)
    doubt = codes_of(attributes, "QUASOU") & _DOUBTFUL.keys()
    if doubt and not less:
        why = f"{words} {dries}, but {_DOUBTFUL[min(doubt)]}"
        return Judged(counts=True, why=why, depth_m=depth_m, doubtful=True)
    why = f"{words} {dries}, depth wanted {wanted.depth_m:g} m"
    return Judged(counts=less, why=why, depth_m=depth_m)


def _said(name: str, attributes: Attributes, words: str) -> str | None:
    """Return by what it says a wreck, rock or obstruction is a danger at any depth."""
    wreck = codes_of(attributes, "CATWRK") & _WRECKS_DANGEROUS.keys()
    if name == "WRECKS" and wreck:
        return f"wreck charted as {_WRECKS_DANGEROUS[min(wreck)]}"
    if name == "OBSTRN" and codes_of(attributes, "CATOBS") & _BARRIERS.keys():
        return f"{words}: a barrier"
    level = codes_of(attributes, "WATLEV") & _SHOWS.keys()
    return f"{words} that {_is(_SHOWS[min(level)])}" if level else None


def _is(level: str) -> str:
    """Return how a thing stands in the water, with its verb."""
    return level if level.startswith(("covers", "floats")) else f"is {level}"


def by_surroundings(attributes: Attributes, before: Judged, *, deep: bool) -> Judged:
    """Return what is made of a thing of unknown depth, once its surroundings are known.

    It is a danger, unless it is always under water, all water around it is charted as deep enough,
    and it is charted as no shoaler than that. Where the last is not charted it still counts, but as
    doubtful.

    Parameters
    ----------
    attributes : mapping
        What is known of it.
    before : Judged
        What was made of it alone.
    deep : bool
        Whether all water around it, as far as its place is sure, is charted as deep enough.
    """
    exposed = codes_of(attributes, "EXPSOU")
    if _SHOALER in exposed:
        why = f"{before.why}, charted as shoaler than the water around it"
        return Judged(counts=True, why=why)
    if not deep:
        return Judged(counts=True, why=before.why)
    if _ALWAYS_UNDER_WATER not in codes_of(attributes, "WATLEV"):
        why = f"{before.why}; nothing says that it is always under water"
        return Judged(counts=True, why=why)
    if exposed and exposed <= _AS_DEEP_OR_DEEPER:
        return Judged(counts=False, why=f"{before.why}, no shoaler than the deep water around it")
    why = f"{before.why} in water charted as deep enough; how deep it lies beside it is not charted"
    return Judged(counts=True, why=why, doubtful=True)


def named(name: str, attributes: Attributes) -> str:
    """Return what an object is called in a sentence, foul ground and fish havens by their name.

    Parameters
    ----------
    name : str
        Its class.
    attributes : mapping
        What is known of it.
    """
    if name == "OBSTRN":
        kind = codes_of(attributes, "CATOBS")
        flagged = kind & (_FLAGGED | _BARRIERS).keys()
        if flagged:
            return (_FLAGGED | _BARRIERS)[min(flagged)]
    return CLASSES[name].words


def label_of(name: str, attributes: Attributes, depth_m: float | None) -> str:
    """Return what an object is called on its own: its name, what it is, and its depth.

    Parameters
    ----------
    name : str
        Its class.
    attributes : mapping
        What is known of it.
    depth_m : float or None
        Its depth, metres.
    """
    row = CLASSES[name]
    words = named(name, attributes)
    if depth_m is not None:
        between = " from" if row.rule == "depth_area" else ""
        words += f" drying {-depth_m:g} m" if depth_m < 0.0 else f"{between} {depth_m:g} m"
    elif row.rule in {"depth_or_unknown", "depth_area"}:
        words += ", depth unknown"
    own = text_of(attributes, "OBJNAM")
    return words if own is None else f"{own} ({words})"
