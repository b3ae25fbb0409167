"""A plan as files for other systems and people: one function, one name for each format."""

from wheelover.render.exports.export import (
    EXCHANGE_VERSION,
    FORMATS,
    MEDIA_TYPES,
    ROUTE_FORMATS,
    export_file,
)
from wheelover.render.exports.stamp import ExportFile, Stamp

__all__ = [
    "EXCHANGE_VERSION",
    "FORMATS",
    "MEDIA_TYPES",
    "ROUTE_FORMATS",
    "ExportFile",
    "Stamp",
    "export_file",
]
