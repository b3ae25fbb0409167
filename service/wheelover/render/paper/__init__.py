"""The paper: a plan as an A4 document, made from its JSON values alone.

``paper`` is the table of contents. Pages are laid out first (``sheet``: texts and lines with their
places) and drawn after (``draw``), so that every page can say how many there are.
"""

from wheelover.render.paper.matter import Printing
from wheelover.render.paper.paper import paper

__all__ = ["Printing", "paper"]
