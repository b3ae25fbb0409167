"""Attributes of another system that a plan speaks for now: kept aside in our own element.

A draught or a clearance of the file that a route came from may be of another voyage; the plan's own
stands in its place, and the other one is not lost.
"""

from wheelover.render.exports.pieces import Pieces

PREFIX = "displaced_"


class Displaced:
    """Collects what is displaced at one place of a file, and says it."""

    def __init__(self, pieces: Pieces, into: str, waypoint_id: str | None = None) -> None:
        self._pieces, self._into, self._waypoint_id = pieces, into, waypoint_id
        self.kept: dict[str, str | None] = {}
        self.warnings: list[str] = []

    def by(self, ours: dict[str, str | None]) -> dict[str, str]:
        """Return those attributes of ours that are to be written, and keep what they displace.

        Where the file said the same, its own stands: it is the other system's.
        """
        said = {name: text for name, text in ours.items() if text is not None}
        for name, text in list(said.items()):
            kept = self._pieces.attribute(self._into, name, self._waypoint_id)
            if kept is None:
                continue
            if kept == text:
                del said[name]
                continue
            self.kept[f"{PREFIX}{self._into.rpartition('/')[2]}_{name}"] = kept
            at = f" at {self._waypoint_id}" if self._waypoint_id is not None else ""
            self.warnings.append(
                f"the file this route was read from says {name} {kept[:80]!r}{at}; this plan's own "
                "is written, and that one kept in the wheelover extension"
            )
        return said
