"""The ship, the route and the rest that the examples of requests speak of.

Ship, marks and dangers are invented, in mid-ocean. Not for navigation.
"""

from typing import Any

SHIP: dict[str, Any] = {
    "name": "Sample coaster 84",
    "loa_m": 84.0,
    "beam_m": 13.0,
    "draught_fore_m": 4.8,
    "draught_aft_m": 5.2,
    "speed_kn": 12.0,
    "turn_radius_nm": 0.3,
    "reach_lengths": 1.0,
    "turn_speed_ratio": 0.9,
    "block_coefficient": 0.75,
    "min_turn_radius_nm": 0.12,
    "max_rate_of_turn_deg_per_min": 60.0,
}

HAZARDS: dict[str, Any] = {
    "type": "FeatureCollection",
    "features": [
        {
            "type": "Feature",
            "geometry": {"type": "Point", "coordinates": [-29.97, 47.19]},
            "properties": {
                "id": "gat-rock",
                "name": "Gat Rock",
                "kind": "rock",
                "position_uncertainty_m": 20.0,
                "min_clearance_m": 400.0,
            },
        },
        {
            "type": "Feature",
            "geometry": {"type": "LineString", "coordinates": [[-29.9, 47.15], [-29.7, 47.19]]},
            "properties": {"id": "mid-cable", "name": "Mid Cable", "kind": "cable"},
        },
    ],
}

BY = {"name": "A. Berg", "rank": "second officer"}
SUPERINTENDENT = {"name": "E. Lund", "rank": "superintendent"}
NOTE_ID = "0b9f3f0e-7f2a-4d53-8f0e-2f4f6f1d7a01"

ROUTE: dict[str, Any] = {
    "name": "Gat to Stell",
    "waypoints": [
        {"id": "WP01", "lat_deg": 47.0, "lon_deg": -30.0, "name": "Gat"},
        {
            "id": "WP02",
            "lat_deg": 47.2,
            "lon_deg": -30.0,
            "turn_radius_nm": 0.5,
            "leg": {
                "line": "rhumb",
                "speed_kn": 12.0,
                "xtd_port_nm": 0.2,
                "xtd_starboard_nm": 0.2,
                "set_deg": 60.0,
                "drift_kn": 0.8,
                "charted_depth_m": 9.4,
                "catzoc": "B",
                "channel_width_m": 180.0,
                "monitoring": {
                    "stage": "coastal",
                    "fixing": {
                        "primary": "radar_ranges",
                        "secondary": "gnss",
                        "interval_min": 6.0,
                    },
                    "call_master": "Visibility under 3 NM",
                },
            },
            "turn": {"steering": "rate", "rudder_deg": 15.0, "set_deg": 75.0, "drift_kn": 1.2},
        },
        {"id": "WP03", "lat_deg": 47.2, "lon_deg": -29.6, "name": "Stell"},
    ],
}

PASSWORD = "lantern gravel seven masts"  # noqa: S105  an example
ACCOUNT: dict[str, Any] = {
    "person": "C. Dahl",
    "rank": "Second officer",
    "ashore": False,
    "grants": [{"role": "navigator", "reach": "vessel", "of": "own"}],
}

MARK = {"lat_deg": 45.0, "lon_deg": -12.0}

RESPONSE = {
    "k_per_s": 0.05,
    "t_s": 30.0,
    "at_speed_kn": 15.0,
    "alpha_s2": 5000.0,
    "drift_lengths": 0.4,
    "race_exponent": 1.0,
    "speed_recovery": 0.075,
    "speed_loss": 0.7,
    "drift_lag": 0.6,
}

HELM: dict[str, Any] = {
    "response": RESPONSE,
    "loa_m": 200.0,
    "speed_kn": 12.0,
    "rudder_rate_deg_per_s": 2.33,
    "helm_delay_s": 3.0,
    "set_deg": 30.0,
    "drift_kn": 1.5,
}

CIRCLE: dict[str, Any] = {
    "side": "starboard",
    "rudder_deg": 35.0,
    "speed_kn": 15.2,
    "advance_m": 615.0,
    "transfer_m": 195.0,
    "tactical_diameter_m": 610.0,
    "points": [
        {"heading_change_deg": 90.0, "time_s": 96.0, "speed_kn": 10.5},
        {"heading_change_deg": 180.0, "time_s": 185.0, "speed_kn": 8.2},
        {"heading_change_deg": 360.0, "time_s": 385.0, "speed_kn": 6.4},
    ],
}
