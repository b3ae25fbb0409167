"""A route file of any kind that is read: which kind it is, and what it says."""

from wheelover.core.errors import UnknownFormat, UnreadableFile
from wheelover.formats.csv_route import read_csv
from wheelover.formats.geojson_route import read_geojson
from wheelover.formats.reading import RouteReading

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
    if start == b"<":
        raise UnknownFormat(
            "XML route files (route exchange, GPX) are not read by this version. Read are CSV with "
            "a header line, and GeoJSON."
        )
    return read_csv(body, name)


def _route_name(file_name: str) -> str:
    """Return the name of a route from that of its file."""
    stem = file_name.replace("\\", "/").rsplit("/", 1)[-1].rsplit(".", 1)[0]
    kept = "".join(letter for letter in stem if letter.isprintable()).strip()
    return kept[:_LONGEST_NAME] or "Route"
