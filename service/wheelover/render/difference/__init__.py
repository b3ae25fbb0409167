"""The difference of two revisions, as sentences with both values, in figures, and on the Plot."""

from wheelover.render.difference.compare import differences

__all__ = ["differences"]
