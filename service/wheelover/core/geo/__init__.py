"""Geometry on the WGS84 ellipsoid: the only place that imports pyproj."""
