"""Which function writes which format, and what the file is called."""

import re
from dataclasses import replace
from typing import TYPE_CHECKING

from wheelover.core.errors import NotFound
from wheelover.formats.xml_tree import MOST_BYTES
from wheelover.render.exports.exchange import exchange
from wheelover.render.exports.geojson import geojson
from wheelover.render.exports.gpx import gpx
from wheelover.render.exports.rows import MOST_READ
from wheelover.render.exports.stamp import Document, ExportFile, Stamp
from wheelover.render.exports.table import table
from wheelover.render.standalone import MapParts, standalone

if TYPE_CHECKING:
    from wheelover.render.paper import Printing

ROUTE_FORMATS = ("geojson", "rtz", "gpx", "csv")
"""The formats that are read back as a route."""

FORMATS = (*ROUTE_FORMATS, "html", "pdf", "xlsx")
"""The formats of export, by the names they have in the API."""

EXCHANGE_VERSION = "1.2"

MEDIA_TYPES = {
    "geojson": "application/geo+json",
    "rtz": "application/xml",
    "gpx": "application/gpx+xml",
    "csv": "text/csv; charset=utf-8",
    "html": "text/html; charset=utf-8",
    "pdf": "application/pdf",
    "xlsx": "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
}


def export_file(
    format_name: str,
    inputs: Document,
    result: Document,
    stamp: Stamp,
    *,
    version: str = EXCHANGE_VERSION,
    parts: MapParts | None = None,
    printing: "Printing | None" = None,
) -> ExportFile:
    """Return a plan as a file of one format.

    Parameters
    ----------
    format_name : str
        One of FORMATS.
    inputs : dict
        The plan request as JSON values, its ship resolved.
    result : dict
        The plan made from it, as JSON values.
    stamp : Stamp
        Which plan and revision it is.
    version : {"1.0", "1.1", "1.2"}
        Version of the route exchange format.
    parts : MapParts or None
        What the map that stands alone needs; other formats need none.
    printing : Printing or None
        When it is printed, and her runs through the turns; paper alone says so.

    Returns
    -------
    ExportFile
        The same bytes for the same arguments. What could not be put into the file as it is, is in
        its warnings.

    Raises
    ------
    NotFound
        For a format or version that is not written here.
    Conflict
        For a route with a hole, in a format whose reader would draw a leg across it.
    """
    invented = inputs.get("demonstration") or result.get("demonstration")
    if invented and not stamp.demonstration:
        stamp = replace(stamp, demonstration=True)
    if format_name == "geojson":
        body, warnings = geojson(inputs, result, stamp)
    elif format_name == "rtz":
        body, warnings = exchange(inputs, result, stamp, version)
    elif format_name == "gpx":
        body, warnings = gpx(inputs, result, stamp)
    elif format_name == "csv":
        body, warnings = table(inputs, result, stamp)
    elif format_name == "html" and parts is not None:
        body, warnings = standalone(inputs, result, stamp, parts)
    elif format_name in ("pdf", "xlsx"):
        body, warnings = _printed(format_name, inputs, result, stamp, printing)
    else:
        raise NotFound(
            f"there is no export format {format_name[:40]!r}; there are {', '.join(FORMATS)}"
        )
    return ExportFile(
        name=_file_name(inputs, stamp, format_name),
        media_type=MEDIA_TYPES[format_name],
        body=body,
        warnings=(*warnings, *_common_warnings(inputs, format_name, len(body))),
    )


def _printed(
    format_name: str,
    inputs: Document,
    result: Document,
    stamp: Stamp,
    printing: "Printing | None",
) -> tuple[bytes, tuple[str, ...]]:
    """Return a plan as paper or workbook; who first asks loads the library that writes it."""
    from wheelover.render.paper import Printing  # noqa: PLC0415
    from wheelover.render.paper.paper import paper  # noqa: PLC0415
    from wheelover.render.workbook import workbook  # noqa: PLC0415

    if format_name == "xlsx":
        return workbook(inputs, result, stamp)
    return paper(inputs, result, stamp, printing or Printing())


def _file_name(inputs: Document, stamp: Stamp, format_name: str) -> str:
    """Return a file name of plain letters, with the state of the plan in it."""
    plain = re.sub(r"[^A-Za-z0-9]+", "-", inputs["route"]["name"]).strip("-").lower()[:60]
    state = "draft" if stamp.revision is None else f"revision-{stamp.revision}"
    start = "demonstration-" if stamp.demonstration and "demonstration" not in plain else ""
    return f"{start}{plain.strip('-') or 'route'}-{state}.{format_name}"


def _common_warnings(inputs: Document, format_name: str, byte_count: int) -> tuple[str, ...]:
    """Return what is said of pieces of other formats, and of routes too long to be read."""
    said = []
    carried = inputs["route"].get("carried") or []
    others = [one for one in carried if one["format"] != format_name]
    if others and format_name in ROUTE_FORMATS:
        said.append(
            f"{len(others)} pieces kept from the {others[0]['format']} file this route was read "
            f"from cannot stand in {format_name}"
        )
    count = len(inputs["route"]["waypoints"])
    if count > MOST_READ and format_name in ROUTE_FORMATS:
        said.append(f"{count} waypoints: over {MOST_READ} are not read back here")
    if format_name in ("rtz", "gpx") and byte_count > MOST_BYTES:
        said.append(f"{byte_count} bytes of XML: over {MOST_BYTES} are not read back here")
    return tuple(said)
