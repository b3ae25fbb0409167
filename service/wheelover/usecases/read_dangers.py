"""Read a file of dangers and say of every row what was understood; nothing is stored."""

from typing import Any

from wheelover.formats.danger_table import read_dangers


def read_danger_file(body: bytes) -> dict[str, Any]:
    """Return the reading of a table of dangers, its dangers as a hazard set or a plan takes them.

    Raises
    ------
    UnknownFormat
        When it is no table.
    UnreadableFile
        When no row of it was understood, naming the lines.
    """
    reading = read_dangers(body)
    features = [row.feature for row in reading.rows if row.feature is not None]
    return {
        "format": "csv",
        "hazards": {"type": "FeatureCollection", "features": features},
        "report": [
            {
                "line": row.line,
                "raw": row.raw,
                "understood": row.understood,
                "problem": row.problem,
            }
            for row in reading.rows
        ],
        "accepted_count": len(features),
        "rejected_count": len(reading.rows) - len(features),
        "read_as": reading.read_as,
        "notes": list(reading.notes),
    }
