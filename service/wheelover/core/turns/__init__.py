"""Turns: the arc, and the methods that say where the helm goes over."""
