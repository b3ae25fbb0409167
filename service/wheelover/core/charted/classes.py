"""Classes of chart objects: what each is to a ship, and by which rule it is a danger [S57A]_.

A class that stands in no row has no rule; the plan counts such objects and says so.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Literal

from wheelover.core.types.dangers import DangerClass

Rule = Literal[
    "always",
    "depth_area",
    "contour",
    "sounding",
    "depth_or_unknown",
    "area",
    "restricted",
    "overhead",
    "cable",
    "standing",
    "equipment",
    "support",
]
"""How an object is judged.

``always`` is a danger wherever it lies, ``depth_area`` by the shallow end of its range,
``contour`` where no depth area says the same, ``sounding`` by its depth, ``depth_or_unknown`` by
its depth and where that is not known. ``area`` and ``restricted`` are areas to know of and not
dangers, ``overhead`` crosses above, ``cable`` lies on the bottom. ``standing`` is a danger where it
stands in the water, and ``equipment`` where it does and nothing is charted that carries it.
``support`` is no thing to be kept off: it says how well the rest is known.
"""


@dataclass(frozen=True, slots=True, kw_only=True)
class ObjectClass:
    """One class of chart objects. ``floats`` says that it swings about its mooring."""

    danger_class: DangerClass
    rule: Rule
    words: str
    floats: bool = False
    special: bool = False
    """Among the areas of MSC.232(82) Appendix 4 [MSC232]_."""


def _row(
    danger_class: DangerClass,
    rule: Rule,
    words: str,
    *,
    floats: bool = False,
    special: bool = False,
) -> ObjectClass:
    """Return one row of the table."""
    return ObjectClass(
        danger_class=danger_class, rule=rule, words=words, floats=floats, special=special
    )


_SUPPORT = {
    "M_COVR": "coverage",
    "M_QUAL": "quality of bathymetric data",
    "M_SREL": "survey reliability",
    "M_ACCY": "accuracy of data",
    "M_CSCL": "compilation scale",
    "M_SDAT": "sounding datum",
    "M_VDAT": "vertical datum",
    "M_NSYS": "system of marks",
    "M_NPUB": "nautical publication",
    "SWPARE": "swept area",
    "PILBOP": "pilot boarding place",
    "RDOCAL": "radio calling-in point",
    "LNDRGN": "land region",
    "SEAARE": "sea area",
    "TIDEWY": "tideway",
    "WEDKLP": "weed",
    "BERTHS": "berth",
    "DOCARE": "dock area",
    "LOKBSN": "lock basin",
    "CANALS": "canal",
    "RIVERS": "river",
    "LAKARE": "lake",
    "PRDARE": "production area",
}
"""What is charted of the land, of names, and of the data themselves."""

_STANDING = {
    "LNDMRK": "landmark",
    "SILTNK": "silo or tank",
    "BUISGL": "building",
    "CRANES": "crane",
}
_EQUIPMENT = {
    "LIGHTS": "light",
    "DAYMAR": "daymark",
    "FOGSIG": "fog signal",
    "RTPBCN": "radar transponder beacon",
    "RADRFL": "radar reflector",
    "RETRFL": "retro-reflector",
    "DISMAR": "distance mark",
}

CLASSES: Mapping[str, ObjectClass] = MappingProxyType(
    {
        "LNDARE": _row("land", "always", "land"),
        "COALNE": _row("coast", "always", "coastline"),
        "SLCONS": _row("coast", "always", "shoreline construction"),
        "DEPARE": _row("shoal", "depth_area", "depth area"),
        "DRGARE": _row("shoal", "depth_area", "dredged area"),
        "DEPCNT": _row("shoal", "contour", "depth contour"),
        "UNSARE": _row("unsurveyed", "always", "unsurveyed area"),
        "SOUNDG": _row("sounding", "sounding", "sounding"),
        "UWTROC": _row("rock", "depth_or_unknown", "rock"),
        "WRECKS": _row("wreck", "depth_or_unknown", "wreck"),
        "OBSTRN": _row("obstruction", "depth_or_unknown", "obstruction"),
        "PILPNT": _row("structure", "always", "pile"),
        "MORFAC": _row("structure", "always", "mooring facility"),
        "OFSPLF": _row("structure", "always", "offshore platform"),
        "PONTON": _row("structure", "always", "pontoon"),
        "HULKES": _row("structure", "always", "hulk"),
        "FLODOC": _row("structure", "always", "floating dock"),
        "PYLONS": _row("structure", "always", "pylon or bridge support"),
        "DAMCON": _row("structure", "always", "dam"),
        "OILBAR": _row("structure", "always", "oil barrier"),
        "CAUSWY": _row("structure", "always", "causeway"),
        "DRYDOC": _row("structure", "always", "dry dock"),
        "LOGPON": _row("structure", "always", "log pond"),
        "DYKCON": _row("coast", "always", "dyke"),
        "NEWOBJ": _row("other", "always", "new object"),
        "FSHFAC": _row("fishing", "always", "fishing facility"),
        "MARCUL": _row("fishing", "always", "marine farm", special=True),
        "ICEARE": _row("ice", "always", "ice area"),
        "BOYCAR": _row("aid", "always", "cardinal buoy", floats=True),
        "BOYINB": _row("aid", "always", "installation buoy", floats=True),
        "BOYISD": _row("aid", "always", "isolated danger buoy", floats=True),
        "BOYLAT": _row("aid", "always", "lateral buoy", floats=True),
        "BOYSAW": _row("aid", "always", "mid-channel buoy", floats=True),
        "BOYSPP": _row("aid", "always", "special purpose buoy", floats=True),
        "BCNCAR": _row("aid", "always", "cardinal beacon"),
        "BCNISD": _row("aid", "always", "isolated danger beacon"),
        "BCNLAT": _row("aid", "always", "lateral beacon"),
        "BCNSAW": _row("aid", "always", "mid-channel beacon"),
        "BCNSPP": _row("aid", "always", "special purpose beacon"),
        "LITFLT": _row("aid", "always", "light float", floats=True),
        "LITVES": _row("aid", "always", "light vessel", floats=True),
        "BRIDGE": _row("overhead", "overhead", "bridge"),
        "CBLOHD": _row("overhead", "overhead", "overhead cable"),
        "PIPOHD": _row("overhead", "overhead", "overhead pipeline"),
        "CONVYR": _row("overhead", "overhead", "conveyor"),
        "GATCON": _row("overhead", "overhead", "gate"),
        "CBLARE": _row("cable", "cable", "cable area"),
        "CBLSUB": _row("cable", "cable", "submarine cable"),
        "PIPARE": _row("cable", "cable", "pipeline area"),
        "PIPSOL": _row("cable", "cable", "submarine pipeline"),
        "RESARE": _row("restricted", "restricted", "restricted area", special=True),
        "MIPARE": _row("restricted", "area", "military practice area", special=True),
        "CTNARE": _row("special", "area", "caution area", special=True),
        "OSPARE": _row("special", "area", "offshore production area", special=True),
        "SPLARE": _row("special", "area", "seaplane landing area", special=True),
        "SUBTLN": _row("special", "area", "submarine transit lane", special=True),
        "ACHARE": _row("special", "area", "anchorage area", special=True),
        "ACHBRT": _row("special", "area", "anchor berth"),
        "CTSARE": _row("special", "area", "cargo transhipment area"),
        "ICNARE": _row("special", "area", "incineration area"),
        "WATTUR": _row("special", "area", "water turbulence"),
        "SNDWAV": _row("special", "area", "sand waves"),
        "DMPGRD": _row("special", "area", "dumping ground"),
        "TSEZNE": _row("routeing", "area", "traffic separation zone", special=True),
        "TSELNE": _row("routeing", "area", "traffic separation line", special=True),
        "TSSLPT": _row("routeing", "area", "traffic lane"),
        "TSSBND": _row("routeing", "area", "traffic separation scheme boundary"),
        "TSSCRS": _row("routeing", "area", "traffic separation scheme crossing"),
        "TSSRON": _row("routeing", "area", "traffic separation scheme roundabout"),
        "ISTZNE": _row("routeing", "area", "inshore traffic zone", special=True),
        "PRCARE": _row("routeing", "area", "precautionary area"),
        "DWRTPT": _row("routeing", "area", "deep water route"),
        "DWRTCL": _row("routeing", "area", "deep water route centreline"),
        "TWRTPT": _row("routeing", "area", "two-way route"),
        "RCTLPT": _row("routeing", "area", "recommended direction of traffic"),
        "RECTRC": _row("routeing", "area", "recommended track"),
        "RCRTCL": _row("routeing", "area", "recommended route centreline"),
        "FERYRT": _row("routeing", "area", "ferry route"),
        "FAIRWY": _row("routeing", "area", "fairway"),
        "NAVLNE": _row("routeing", "area", "navigation line"),
        **{name: _row("structure", "standing", words) for name, words in _STANDING.items()},
        **{name: _row("structure", "equipment", words) for name, words in _EQUIPMENT.items()},
        **{name: _row("other", "support", words) for name, words in _SUPPORT.items()},
    }
)
