"""A route file of any kind that is read: which kind it is, and what it says."""

from wheelover.core.errors import Fault, UnknownFormat, UnreadableFile
from wheelover.formats.csv_route import read_csv
from wheelover.formats.exchange_route import read_exchange
from wheelover.formats.geojson_route import read_geojson
from wheelover.formats.gpx_route import read_gpx
from wheelover.formats.reading import RouteReading
from wheelover.formats.xml_tree import looks_like_xml, read_xml

_LONGEST_NAME = 200


def read_route(body: bytes, file_name: str) -> RouteReading:
    """Return a route file as it was read. The kind is told from its content, not from its name.

    Parameters
    ----------
    body : bytes
        The file.
    file_name : str
        What it was called; its stem names the route.

    Raises
    ------
    UnknownFormat
        For a kind that is not read here.
    UnreadableFile
        For a file that is empty or damaged as a whole.
    """
    name = _route_name(file_name)
    start = body.removeprefix(b"\xef\xbb\xbf").lstrip()[:1]
    if not start:
        raise UnreadableFile("The file is empty.")
    if start in (b"{", b"["):
        return read_geojson(body, name)
    if looks_like_xml(body):
        return _read_xml(body, name)
    return read_csv(body, name)


def _read_xml(body: bytes, name: str) -> RouteReading:
    """Return an XML route file as it was read; its root element tells the kind."""
    root = read_xml(body)
    if root.local == "gpx":
        return read_gpx(root, name)
    if root.local == "route":
        return read_exchange(root, name, len(body))
    message = f"line {root.line}: the root element is {root.local[:80]!r}"
    raise UnknownFormat(
        f"Not a route file that is read here, {message}. Read of XML are route exchange (root "
        "element route, IEC 61174 Annex S, versions 1.0 to 1.2) and GPX 1.1 (root element gpx).",
        (Fault(line=root.line, message=message),),
    )


def _route_name(file_name: str) -> str:
    """Return the name of a route from that of its file."""
    stem = file_name.replace("\\", "/").rsplit("/", 1)[-1].rsplit(".", 1)[0]
    kept = "".join(letter for letter in stem if letter.isprintable()).strip()
    return kept[:_LONGEST_NAME] or "Route"
