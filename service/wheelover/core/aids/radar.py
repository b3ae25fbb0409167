"""What a radar may be wrong by, and its range scales."""

RANGE_SCALES_NM = (0.25, 0.5, 0.75, 1.5, 3.0, 6.0, 12.0, 24.0)
"""Range scales that every radar has [MSC192]_."""

RADAR_RANGE_M = 30.0
RADAR_RANGE_RATIO = 0.01
RADAR_BEARING_DEG = 1.0
"""What a radar may be wrong by: 30 m or 1 % of the range scale, the larger, and 1 degree [MSC192]_.
"""
