"""The paper: a plan as an A4 document, made from its JSON values alone.

``paper.paper`` is the table of contents; it and what it draws with load when it is asked for. Pages
are laid out first (``sheet``: texts and lines with their places) and drawn after (``draw``), so
that every page can say how many there are.
"""

from wheelover.render.paper.matter import Printing

__all__ = ["Printing"]
