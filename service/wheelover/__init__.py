"""wheelover: passage planning for merchant ships.

Computes the planned track of a passage (legs and turns), the wheel-over point of every
alteration of course, and what the track clears, and says what was checked and what was not.
It is a planning aid: the ship's safety management system, official charts, local regulations
and the master decide.
"""

__version__ = "0.1.0"
