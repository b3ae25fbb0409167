"""Examples of requests for the description of the API; a test sends each of them.

Ship, marks and dangers are invented, in mid-ocean. Not for navigation.
"""

from typing import Any

from wheelover.api.example_things import (
    ACCOUNT,
    BY,
    CIRCLE,
    HAZARDS,
    HELM,
    MARK,
    NOTE_ID,
    PASSWORD,
    ROUTE,
    SHIP,
    SUPERINTENDENT,
)

EXAMPLES: dict[str, dict[str, Any]] = {
    "FitIn": {
        "ship": {"name": "Sample carrier 182", "loa_m": 182.5, "lpp_m": 176.0},
        "sets": [
            {
                "loading": "laden",
                "draught_fore_m": 11.0,
                "draught_aft_m": 11.4,
                "reference_from_bow_m": 155.0,
                "lengths_are": "between_perpendiculars",
                "circles": [CIRCLE, {**CIRCLE, "side": "port", "advance_m": 608.0}],
                "zig_zags": [
                    {
                        "side": "starboard",
                        "rudder_deg": 10.0,
                        "heading_change_deg": 10.0,
                        "speed_kn": 15.2,
                        "first_overshoot_deg": 7.0,
                        "second_overshoot_deg": 14.0,
                    }
                ],
                "initial_turnings": [
                    {
                        "side": "starboard",
                        "rudder_deg": 10.0,
                        "heading_change_deg": 10.0,
                        "speed_kn": 15.2,
                        "distance_lengths": 1.9,
                    }
                ],
                "stoppings": [{"order": "full astern", "speed_kn": 15.2, "track_reach_m": 2200.0}],
            }
        ],
        "engine_orders": [
            {"order": "full ahead", "propeller_rpm": 88.0, "laden_speed_kn": 12.1},
            {"order": "half ahead", "propeller_rpm": 65.0, "laden_speed_kn": 9.0},
        ],
        "wanted": {"speed_kn": 12.0, "draught_m": 11.2},
    },
    "PlanRequest": {
        "route": ROUTE,
        "ship": SHIP,
        "hazards": HAZARDS,
        "marks": [
            {
                "id": "stell-light",
                "name": "Stell light",
                "lat_deg": 47.24,
                "lon_deg": -29.98,
                "kind": "light",
                "height_m": 31.0,
                "nominal_range_nm": 12.0,
                "light_character": "Fl(2) W 10s",
                "radar_conspicuous": True,
            }
        ],
        "limits": {"min_clearance_m": 500.0, "min_ukc_draught_ratio": 0.1},
        "conditions": {
            "tides": [
                {
                    "station": "Gat bar, invented",
                    "heights": [
                        {"at_utc": "2026-11-25T12:10:00Z", "height_m": 0.6},
                        {"at_utc": "2026-11-25T18:25:00Z", "height_m": 3.1},
                    ],
                    "margin_s": 900.0,
                }
            ],
            "wave_height_m": 0.5,
        },
        "draughts": [
            {
                "from_id": "WP02",
                "reason": "Brackish water of the river",
                "water_density_kg_per_m3": 1012.0,
            }
        ],
        "daylight_needs": [{"waypoint_id": "WP02", "reason": "The mark is not lit"}],
        "departure_utc": "2026-11-25T14:02:00Z",
        "points": [
            {
                "id": "P1",
                "kind": "pilot",
                "leg_to_id": "WP02",
                "before_nm": 3.0,
                "notice_min": 60.0,
                "channel": "VHF 12",
            }
        ],
        "contingencies": [
            {
                "id": "C1",
                "kind": "anchorage",
                "from_id": "WP02",
                "route": {
                    "name": "Gat roads, invented",
                    "waypoints": [
                        {"id": "R1", "lat_deg": 47.05, "lon_deg": -30.0},
                        {"id": "R2", "lat_deg": 47.08, "lon_deg": -30.06},
                    ],
                },
            }
        ],
        "sources": [
            {
                "id": "S1",
                "kind": "chart",
                "title": "Gat and approaches, invented",
                "corrected_to_utc": "2026-11-20T00:00:00Z",
                "consulted": True,
            }
        ],
        "checklists": {"planning": {"turns": {"state": "done", "who": "A. Berg"}}},
    },
    "DraftDeparturesIn": {"shifts_s": [18_000.0], "departures_utc": ["2026-12-01T18:00:00Z"]},
    "MovedRequest": {
        "plan": {"route": ROUTE, "ship": SHIP},
        "waypoint_id": ROUTE["waypoints"][1]["id"],
        "position": {"lat_deg": 47.31, "lon_deg": -29.95},
    },
    "DeparturesRequest": {
        "plan": {
            "route": ROUTE,
            "ship": {
                **SHIP,
                "max_speed_kn": 14.0,
                "consumption": [
                    {"speed_kn": 10.0, "t_per_day": 8.0, "fuel": "MGO"},
                    {"speed_kn": 13.0, "t_per_day": 14.0, "fuel": "MGO"},
                ],
            },
            "conditions": {
                "tides": [
                    {
                        "station": "Gat bar",
                        "heights": [
                            {"at_utc": "2026-11-25T12:00:00Z", "height_m": 0.5},
                            {"at_utc": "2026-11-25T18:10:00Z", "height_m": 3.5},
                            {"at_utc": "2026-11-26T00:20:00Z", "height_m": 0.6},
                        ],
                    }
                ],
                "streams": [
                    {
                        "station": "Gat bank",
                        "source": "Own atlas",
                        "high_waters_utc": ["2026-11-25T18:10:00Z"],
                        "hours": [
                            {"hour": -1, "set_deg": 40.0, "drift_kn": 1.6, "neap_drift_kn": 0.8},
                            {"hour": 0, "set_deg": 60.0, "drift_kn": 0.6, "neap_drift_kn": 0.3},
                            {"hour": 1, "set_deg": 210.0, "drift_kn": 1.2, "neap_drift_kn": 0.6},
                        ],
                        "range_ratio": 0.7,
                    }
                ],
            },
            "zones": [{"from_id": "WP02", "zone_description_h": 2.5}],
            "departure_utc": "2026-11-25T14:02:00Z",
        },
        "shifts_s": [18000.0],
    },
    "TurnCardRequest": {
        "plan": {
            "route": ROUTE,
            "ship": {
                **SHIP,
                "response": HELM["response"],
                "block_coefficient": 0.75,
                "lateral_windage_m2": 2400.0,
            },
            "conditions": {"wind_from_deg": 310.0, "wind_kn": 14.0},
            "hazards": HAZARDS,
            "limits": {"min_clearance_m": 500.0, "max_off_track_m": 80.0},
        },
        "waypoint_id": "WP02",
        "tried": {"speed_kn": 10.0, "set_deg": 60.0, "drift_kn": 1.5},
    },
    "OfferIn": {"by": BY, "words": "For the noon tide."},
    "DecisionIn": {
        "kind": "return",
        "by": {"name": "R. Holm", "rank": "master"},
        "words": "Wider turn at WPT 02, please.",
    },
    "SignedIn": {"by": {"name": "L. Vik", "rank": "third officer"}, "words": "By hand: WPT 02."},
    "CourseIn": {"to_id": "WP02", "by": BY},
    "LogLineIn": {"waypoint_id": "WP02", "actual_utc": "2026-11-26T04:12:00Z", "by": BY},
    "ThreadIn": {
        "id": NOTE_ID,
        "anchor": {"kind": "turn", "id": "WP02"},
        "revision": 1,
        "side": "shore",
        "words": "10 s to close is short. Why R 0.50?",
        "by": SUPERINTENDENT,
    },
    "NoteIn": {
        "id": "5d0c5a6c-31c6-4a5b-9a3a-6f9d8b1c2e02",
        "revision": 1,
        "side": "ship",
        "words": "Helmsman stands by at 0.40 NM.",
        "by": BY,
    },
    "ResolveIn": {"side": "shore", "words": "Seen, thank you.", "by": SUPERINTENDENT},
    "ExplanationIn": {
        "finding_id": "leg_land/plan",
        "revision": 1,
        "words": "Held against the paper chart by hand.",
        "by": BY,
    },
    "ExplanationAnswerIn": {
        "answer": "not_accepted",
        "words": "Which chart, which edition?",
        "by": {"name": "R. Holm", "rank": "master"},
    },
    "ShoreDecisionIn": {"kind": "agree", "words": "No remarks.", "by": SUPERINTENDENT},
    "AmendmentStartIn": {
        "kind": "deviation",
        "reason": "Fishing fleet on the track",
        "lat_deg": 47.05,
        "lon_deg": -30.01,
        "next_waypoint_id": "WP02",
        "at_utc": "2026-11-25T12:00:00Z",
    },
    "SelfIn": {"name": "Sample coaster 84", "side": "ship"},
    "NewKeyIn": {"lost": False},
    "PeerIn": {
        # The public key of TEST 1 in RFC 8032, section 7.1: nobody's.
        "id": "wo-sample-office",
        "name": "Sample office",
        "side": "shore",
        "public_key": "d75a980182b10ab7d54bfed3c964073a0ee172f3daa62325af021a68f707511a",
        "fingerprint": "36345 36077 35551 77536 79420 96543 03117 42203",
        "by": {"name": "R. Holm", "rank": "master"},
    },
    "ParcelStartIn": {"plans": [], "since": "last", "by": BY},
    "UploadIn": {"size_count": 65537, "sha256": "0" * 63 + "1"},
    "SettlementIn": {
        "pick": "here",
        "words": "The backup was of the day before.",
        "by": {"name": "R. Holm", "rank": "master"},
    },
    "ShipIn": SHIP,
    "LimitSetIn": {
        "name": "Company limits, invented",
        "source": "invented",
        "open": {"min_clearance_m": 5556.0, "min_xtd_nm": 1.0, "helm_late_s": 60.0},
        "coastal": {
            "min_clearance_m": 1852.0,
            "min_clearance_by_class": {"wreck": 926.0, "aid": 370.0},
            "min_xtd_nm": 0.25,
            "max_off_track_m": 185.0,
            "min_to_close_s": 30.0,
            "min_ukc_m": 2.0,
            "min_ukc_draught_ratio": 0.2,
            "min_overhead_m": 2.0,
            "safety_contour_m": 20.0,
            "safety_depth_m": 15.0,
            "helm_late_s": 30.0,
        },
        "confined": {"min_clearance_m": 185.0, "min_ukc_m": 1.0, "min_ukc_draught_ratio": 0.1},
    },
    "HazardSetIn": {"name": "Gat, invented", "source": "invented", "hazards": HAZARDS},
    "PositionTextIn": {"text": "47-12.345N 030-00.500W"},
    "WarningTextIn": {
        "text": (
            "NAVAREA I 123/26\n250830 UTC NOV 26\nWRECK LOCATED 47-06.0N 030-01.0W.\n"
            "CANCEL THIS MSG 281200 UTC NOV 26."
        ),
        "chosen": [],
    },
    "OffsetIn": {
        "from": {"lat_deg": 47.0, "lon_deg": -30.0},
        "bearing_deg": 45.0,
        "distance_nm": 1.0,
    },
    "AboutMarkIn": {
        "mark": MARK,
        "radius_nm": 1.0,
        "course_in_deg": 40.0,
        "course_out_deg": 130.0,
    },
    "AboutMarkBetweenIn": {
        "mark": MARK,
        "radius_nm": 1.0,
        "before": {"lat_deg": 44.9, "lon_deg": -12.15},
        "after": {"lat_deg": 44.9, "lon_deg": -11.8},
    },
    "ManoeuvreIn": {
        **HELM,
        "heading_deg": 0.0,
        "orders": [
            {"rudder_deg": 10.0, "at_s": 0.0},
            {"rudder_deg": -10.0, "at_heading_change_deg": 10.0},
        ],
        "until_s": 120.0,
        "step_s": 10.0,
    },
    "HelmOrdersIn": {
        **HELM,
        "course_in_deg": 0.0,
        "course_out_deg": 75.0,
        "rudder_deg": 15.0,
        "counter_rudder_deg": 20.0,
    },
    "SignInIn": {"account": "a.berg", "password": PASSWORD},
    "EnrolmentIn": {"account": "a.berg", "code": "AAAAA-BBBBB-CCCCC-DDDDD", "password": PASSWORD},
    "UnlockIn": {"password": PASSWORD},
    "SessionsEndIn": {"session_id": "others", "password": PASSWORD},
    "NewPasswordIn": {"password": PASSWORD, "new_password": "seven anchors under a paper moon"},
    "AccountIn": {"account": "c.dahl", **ACCOUNT},
    "AccountChangeIn": ACCOUNT,
    "VesselIn": {"name": "Sample coaster 84", "fleet": "Coasters"},
    "KeyIn": {
        "name": "Office display",
        "scopes": ["read"],
        "reach": "vessel",
        "of": "own",
        "days": 90,
    },
    "PenIn": {"take": True},
}
"""A request for each kind of JSON body, by the name of its model."""

ROUTE_FILE = """\
id,name,latitude,longitude,turn_radius_nm
WP01,Gat,47-00.000N,030-00.000W,
WP02,,47-12.000N,030-00.000W,0.5
WP03,Stell,47-12.000N,029-36.000W,
"""
"""A route file for the place that reads one."""

TRIALS_FILE = """\
set,side,rudder_deg,speed_kn,at_deg,quantity,value,unit
,,,,,name,Sample carrier 182,
,,,,,loa,182.5,m
laden,,,,,draught_fore,11.0,m
laden,,,,,draught_aft,11.4,m
laden,starboard,35,15.2,,advance,0.305,NM
laden,starboard,35,15.2,,tactical_diameter,610,m
laden,starboard,35,15.2,90,time,1:36,min:s
laden,starboard,10,15.2,10,first_overshoot,7,deg
"""
"""A file of trial data for the place that reads one."""

PARAMETERS: dict[str, Any] = {
    "plan_id": "demonstration",
    "number": 1,
    "was": 1,
    "thread_id": f"thread-{NOTE_ID}",
    "explanation_id": "explanation-0b9f3f0e7f2a4d538f0e",
    "now": "draft",
    "format_name": "geojson",
    "sequence": 1,
    "zoom": 3,
    "watch": "waits-for-a-file-0",
    "column": 3,
    "row": 2,
}
"""Values of parameters that name something where the demonstration is kept."""
