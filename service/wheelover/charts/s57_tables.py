"""Names and numbers of the chart exchange standard: classes of objects, attributes, datums."""

_KEPT = (
    "LNDARE COALNE SLCONS CAUSWY DAMCON DYKCON DEPARE DRGARE SWPARE DEPCNT UNSARE SOUNDG UWTROC "
    "WRECKS OBSTRN PILPNT MORFAC OFSPLF FSHFAC MARCUL ICEARE PONTON HULKES FLODOC DRYDOC LOGPON "
    "OILBAR CRANES NEWOBJ WATTUR SNDWAV WEDKLP TIDEWY BERTHS DOCARE LOKBSN CANALS RIVERS LAKARE "
    "BOYCAR BOYINB BOYISD BOYLAT BOYSAW BOYSPP BCNCAR BCNISD BCNLAT BCNSAW BCNSPP LITFLT LITVES "
    "LIGHTS LNDMRK DAYMAR FOGSIG RTPBCN RADRFL RETRFL SILTNK BUISGL PYLONS DISMAR "
    "BRIDGE CBLOHD PIPOHD CONVYR GATCON CBLARE CBLSUB PIPSOL PIPARE "
    "TSEZNE TSELNE TSSBND TSSLPT TSSCRS TSSRON ISTZNE PRCARE DWRTPT DWRTCL TWRTPT RCRTCL RCTLPT "
    "RECTRC FAIRWY NAVLNE FERYRT RESARE CTNARE OSPARE MIPARE SPLARE SUBTLN ACHARE ACHBRT DMPGRD "
    "CTSARE PILBOP RDOCAL ICNARE PRDARE SEAARE "
    "M_COVR M_QUAL M_NSYS M_SDAT M_VDAT M_CSCL M_SREL M_ACCY "
)

KEPT: frozenset[str] = frozenset(_KEPT.split())
"""The classes that are kept of a cell: what a track is checked against, and how well that is known.
"""

DATUMS = {
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
"""What depths and heights count from, by the numbers of the attribute VERDAT [S57A]_."""
