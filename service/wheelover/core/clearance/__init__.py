"""Clearance of the whole planned track, legs and arcs, from the loaded dangers."""
