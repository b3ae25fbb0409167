"""A plan as one page that opens from a file: map, tables and words; nothing is fetched."""

from wheelover.render.standalone.page import standalone
from wheelover.render.standalone.parts import CoastDrawn, MapParts

__all__ = ["CoastDrawn", "MapParts", "standalone"]
