"""Marks that cells chart: a light, what it stands on and what else is there are one mark."""

from collections.abc import Iterable, Sequence
from typing import Literal

import numpy as np
import shapely

from wheelover.core.arrays import Ints
from wheelover.core.charted.attributes import Attributes, codes_of, number_of, text_of
from wheelover.core.charted.classes import CLASSES
from wheelover.core.charted.light_words import character_of
from wheelover.core.charted.overlap import Objects
from wheelover.core.geo import geodesic
from wheelover.core.types.marks import Light, Mark, MarkKind
from wheelover.core.types.route import Position

_BUOYS = ("BOYCAR", "BOYINB", "BOYISD", "BOYLAT", "BOYSAW", "BOYSPP", "LITFLT", "LITVES")
_BEACONS = ("BCNCAR", "BCNISD", "BCNLAT", "BCNSAW", "BCNSPP", "DAYMAR")
_STRUCTURES = ("OFSPLF", "PYLONS", "PILPNT", "MORFAC")
_LANDMARKS = ("LNDMRK", "SILTNK", "BUISGL", "CRANES")
_FITTED = ("RTPBCN", "RADRFL")
_ONLY_IF_TOLD_APART = frozenset({"BUISGL", "CRANES", "PILPNT", "MORFAC", "SILTNK"})
"""Classes of which there are many alike: one that nothing tells apart is no mark."""

_KINDS: dict[str, MarkKind] = {
    **dict.fromkeys(_BUOYS, "buoy"),
    **dict.fromkeys(_BEACONS, "beacon"),
    **dict.fromkeys(_LANDMARKS, "landmark"),
    **dict.fromkeys(_STRUCTURES, "structure"),
    "LIGHTS": "light",
    "RTPBCN": "other",
}
_LOOKED_AT = ("LIGHTS", *_BUOYS, *_BEACONS, *_STRUCTURES, *_LANDMARKS, *_FITTED)
_RANK = {name: number for number, name in enumerate(_KINDS)}

_LANDMARK_WORDS = {
    1: "cairn",
    3: "chimney",
    4: "dish aerial",
    5: "flagstaff",
    6: "flare stack",
    7: "mast",
    9: "monument",
    10: "column",
    12: "obelisk",
    13: "statue",
    14: "cross",
    15: "dome",
    16: "radar scanner",
    17: "tower",
    18: "windmill",
    19: "wind turbine",
    20: "spire or minaret",
}
_NOT_STEERED_BY = frozenset({7, 8, 9, 11, 17})
"""Fog detectors, flood, strip, spot and emergency lights: no marks."""

_DIRECTIONAL, _LEADING = 1, 4
_OUT = frozenset({4, 11})
"""Disused, extinguished."""

_OBSCURED = 7
_NO_MARK_MOORINGS = frozenset({3, 4, 6})
"""Bollards, walls, chains."""

_MOORING_BUOY = 7
_PLACES_PER_DEG = 1e6


def charted_marks(objects: Objects, names: Sequence[str]) -> tuple[Mark, ...]:
    """Return the marks among the objects of cells, in the order in which these stand.

    Parameters
    ----------
    objects : Objects
        The objects that count: none that a larger scale charts better.
    names : sequence of str
        The names of their cells.

    Notes
    -----
    What is charted at one and the same place is one mark [S57A]_: height and range of a light
    stand with the light, its name often with what it stands on. Heights count from the cell's
    datum of heights, mostly a high water: over lower water the mark stands higher.
    """
    rows = objects.of_class(*_LOOKED_AT)
    rows = rows[shapely.get_dimensions(objects.geometries[rows]) != 1]
    rows = rows[[not _is_mooring_ashore(objects, row) for row in rows.tolist()]]
    if rows.size == 0:
        return ()
    centres = shapely.centroid(objects.geometries[rows])
    lat_deg, lon_deg = shapely.get_y(centres), shapely.get_x(centres)
    places = np.rint(np.stack([lat_deg, lon_deg]) * _PLACES_PER_DEG)
    _, first, of = np.unique(places, axis=1, return_index=True, return_inverse=True)
    order = np.argsort(of, kind="stable")
    groups = np.split(rows[order], np.cumsum(np.bincount(of))[:-1])
    made = [
        (int(number), _mark(objects, group, lat_deg[number], lon_deg[number], names))
        for number, group in zip(first.tolist(), groups, strict=True)
    ]
    return tuple(mark for _, mark in sorted(made, key=lambda one: one[0]) if mark is not None)


def _is_mooring_ashore(objects: Objects, row: int) -> bool:
    """Return whether an object is a bollard, a wall to tie up at or a chain."""
    if objects.classes[row] != "MORFAC":
        return False
    return bool(codes_of(objects.attributes[row], "CATMOR") & _NO_MARK_MOORINGS)


def _mark(
    objects: Objects, group: Ints, lat_deg: float, lon_deg: float, names: Sequence[str]
) -> Mark | None:
    """Return the mark that the objects at one place are, None where they are none."""
    rows = sorted(group.tolist(), key=lambda row: _RANK.get(objects.classes[row], len(_RANK)))
    parts = [(objects.classes[row], objects.attributes[row]) for row in rows]
    lights = _lights(one for name, one in parts if name == "LIGHTS")
    said = [one for _, one in parts]
    fitted = {name for name, _ in parts}
    name = next((text for one in said if (text := text_of(one, "OBJNAM"))), None)
    seen, radar = _conspicuous(said, "CONVIS"), _conspicuous(said, "CONRAD")
    racon = "RTPBCN" in fitted
    if _is_none(fitted, lights, told_apart=bool(name or seen or radar)):
        return None
    main = max(lights, key=lambda one: one.nominal_range_nm or 0.0, default=Light())
    what = _words(*parts[0])
    own_m = _height_m(*parts[0])
    return Mark(
        id=objects.ids[rows[0]],
        name=name or what,
        position=Position(lat_deg=float(lat_deg), lon_deg=float(lon_deg)),
        kind=_KINDS.get(parts[0][0], "other"),
        source=names[int(objects.cell[rows[0]])],
        floating=_floats(*parts[0]),
        lit=bool(lights),
        height_m=own_m if main.height_m is None else main.height_m,
        nominal_range_nm=main.nominal_range_nm,
        light_character=main.character,
        visually_conspicuous=seen,
        radar_conspicuous=True if racon or "RADRFL" in fitted else radar,
        position_uncertainty_m=_uncertainty_m(objects, rows[0], said),
        leading_deg=_leading_deg(said),
        what=what,
        lights=lights,
        racon=racon,
    )


def _is_none(fitted: set[str], lights: tuple[Light, ...], *, told_apart: bool) -> bool:
    """Return whether what stands at a place is no mark: one of many alike, or nothing to see."""
    if fitted <= _ONLY_IF_TOLD_APART:
        return not told_apart
    return fitted <= {"LIGHTS", "RADRFL"} and not lights


def _lights(given: Iterable[Attributes]) -> tuple[Light, ...]:
    """Return the lights that can be steered by and are not out."""
    return tuple(
        Light(
            nominal_range_nm=number_of(one, "VALNMR"),
            height_m=number_of(one, "HEIGHT"),
            character=character_of(one),
            sector_from_deg=_sector(one)[0],
            sector_to_deg=_sector(one)[1],
            only_at=_only_at(one),
        )
        for one in given
        if not codes_of(one, "CATLIT") & _NOT_STEERED_BY
        and not codes_of(one, "STATUS") & _OUT
        and _OBSCURED not in codes_of(one, "LITVIS")
    )


def _only_at(light: Attributes) -> Literal["day", "fog"] | None:
    """Return whether a light is shown by day or in fog alone."""
    code = codes_of(light, "EXCLIT")
    return "day" if code == {2} else "fog" if code == {3} else None


def _sector(light: Attributes) -> tuple[float | None, float | None]:
    """Return the limits of a light's sector; without both of them it has none."""
    low_deg, high_deg = number_of(light, "SECTR1"), number_of(light, "SECTR2")
    if low_deg is None or high_deg is None or abs(low_deg - high_deg) in (0.0, 360.0):
        return None, None
    return low_deg % 360.0, high_deg % 360.0


def _floats(name: str, attributes: Attributes) -> bool:
    """Return whether an object floats."""
    return name in _BUOYS or (name == "MORFAC" and _MOORING_BUOY in codes_of(attributes, "CATMOR"))


def _conspicuous(said: Sequence[Attributes], attribute: str) -> bool | None:
    """Return whether any part of a mark is said to be conspicuous, None where nothing is said."""
    codes = frozenset().union(*(codes_of(one, attribute) for one in said))
    return True if codes & {1, 3} else False if 2 in codes else None


def _height_m(name: str, attributes: Attributes) -> float | None:
    """Return how high above the water the top of an object is, None where that is not charted.

    Of what floats it is its own length; of other things that says nothing about the ground.
    """
    height_m, length_m = number_of(attributes, "HEIGHT"), number_of(attributes, "VERLEN")
    ground_m = number_of(attributes, "ELEVAT")
    if height_m is not None:
        return height_m
    if _floats(name, attributes):
        return length_m
    return None if ground_m is None or length_m is None else ground_m + length_m


def _uncertainty_m(objects: Objects, row: int, said: Sequence[Attributes]) -> float | None:
    """Return how unsure the place of a mark is; of an area also how far it reaches."""
    stated = [one for text in said if (one := number_of(text, "POSACC")) is not None]
    shape = objects.geometries[row]
    if shapely.get_dimensions(shape) < 2:
        return max(stated, default=None)
    centre = shapely.centroid(shape)
    rim = shapely.get_coordinates(shape)
    _, _, far_m = geodesic.inverse(centre.y, centre.x, rim[:, 1], rim[:, 0])
    return float(np.max(far_m)) + max(stated, default=0.0)


def _leading_deg(said: Sequence[Attributes]) -> float | None:
    """Return the bearing on which leading or directional lights at a place lead."""
    leading = [one for one in said if codes_of(one, "CATLIT") & {_DIRECTIONAL, _LEADING}]
    found = [one for text in leading if (one := number_of(text, "ORIENT")) is not None]
    return found[0] % 360.0 if found else None


def _words(name: str, attributes: Attributes) -> str:
    """Return what an object is, in words."""
    if name == "LNDMRK":
        code = min(codes_of(attributes, "CATLMK") & _LANDMARK_WORDS.keys(), default=0)
        return _LANDMARK_WORDS.get(code, CLASSES[name].words)
    return CLASSES[name].words
