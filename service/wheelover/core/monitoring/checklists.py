"""The checklists, in words of our own, each item beside the checks that are computed.

What an appraisal, a plan and an exchange with the pilot must hold is drawn from [A893]_.
"""

from wheelover.core.types.checklists import ChecklistItem, ListName

_APPRAISAL = (
    ChecklistItem(
        id="charts",
        text="Charts of the largest scale cover the whole track and are corrected",
        checks=("leg_charts", "turn_charts", "sources"),
    ),
    ChecklistItem(
        id="publications", text="Publications are at hand and corrected", checks=("sources",)
    ),
    ChecklistItem(
        id="warnings",
        text="Notices and radio warnings in force are taken into the plan",
        checks=("dangers_loaded",),
    ),
    ChecklistItem(
        id="ship", text="Draughts, trim, stability and defects are those of this passage"
    ),
    ChecklistItem(
        id="manoeuvring",
        text="Turning and stopping data are her own, of this loading and depth",
        checks=("ship_data", "turn_response", "leg_abort"),
    ),
    ChecklistItem(id="people", text="There are enough rested, certificated people for each watch"),
    ChecklistItem(id="cargo", text="What the cargo asks of the passage is known"),
    ChecklistItem(
        id="tides",
        text="Tides and streams are worked for the times of this passage",
        checks=("leg_depth", "turn_current"),
    ),
    ChecklistItem(id="weather", text="The weather of the passage is known, and what it allows"),
    ChecklistItem(
        id="water",
        text="Water that she may not enter is marked, and the depths wanted are set",
        checks=("safety_contour", "dangers_loaded"),
    ),
    ChecklistItem(
        id="rules",
        text="Routeing, reporting, and areas with rules of their own are known along the track",
        checks=("leg_routeing", "turn_routeing"),
    ),
    ChecklistItem(id="environment", text="What protects the sea along the track is known"),
    ChecklistItem(id="ports", text="Pilotage, ports and help ashore are known"),
)

_PLANNING = (
    ChecklistItem(
        id="berth_to_berth",
        text="The plan runs from berth to berth, without a hole",
        checks=("berth_to_berth", "route_whole", "positions"),
    ),
    ChecklistItem(
        id="legs",
        text="Every leg keeps what is asked from dangers and land",
        checks=("leg_clearance", "leg_swept", "leg_land"),
    ),
    ChecklistItem(
        id="turns",
        text="Every turn keeps what is asked from dangers and land, the hull too",
        checks=("turn_room", "turn_clearance", "turn_swept", "turn_land"),
    ),
    ChecklistItem(
        id="wheel_overs", text="Every turn has a wheel-over", checks=("turn_wheel_over",)
    ),
    ChecklistItem(
        id="windows",
        text="Every wheel-over leaves time, and it is known what lies ahead if the helm is late",
        checks=("turn_window", "turn_late_helm"),
    ),
    ChecklistItem(
        id="cues", text="Every wheel-over has a mark and a second cue", checks=("turn_cue",)
    ),
    ChecklistItem(
        id="under_keel",
        text="There is water under the keel on every leg and in every turn",
        checks=("leg_depth", "turn_depth"),
    ),
    ChecklistItem(
        id="overhead",
        text="There is room over the mast",
        checks=("leg_overhead", "turn_overhead"),
    ),
    ChecklistItem(
        id="cross_track",
        text="Cross-track limits lie inside what was checked",
        checks=("leg_cross_track",),
    ),
    ChecklistItem(
        id="fixing",
        text="Every leg has two independent ways of fixing, often enough",
        checks=("leg_fixing",),
    ),
    ChecklistItem(
        id="team", text="Every leg says who is where and what they do", checks=("leg_monitoring",)
    ),
    ChecklistItem(
        id="schedule", text="Times, tides and daylight fit together", checks=("leg_schedule",)
    ),
    ChecklistItem(
        id="points",
        text="Calls, reports, notices and pilot stand in the plan",
        checks=("action_points",),
    ),
    ChecklistItem(
        id="aborts",
        text="Abort points and points of no return are marked",
        checks=("leg_abort",),
    ),
    ChecklistItem(
        id="contingencies",
        text="There are contingencies, and their tracks are checked",
        checks=("contingencies",),
    ),
    ChecklistItem(id="second_person", text="Somebody else has gone through the plan"),
)

_PILOTAGE = (
    ChecklistItem(
        id="card",
        text="The pilot has the pilot card, and it is as she is now",
        checks=("pilot_card",),
    ),
    ChecklistItem(
        id="track",
        text="The pilot's track, wheel-overs and speeds are held beside the plan",
        checks=("turn_wheel_over",),
    ),
    ChecklistItem(id="differences", text="Where they differ is settled, and the plan is amended"),
    ChecklistItem(
        id="depth", text="Water under the keel is agreed", checks=("leg_depth", "turn_depth")
    ),
    ChecklistItem(
        id="aborts",
        text="Abort points, and what is done then, are agreed",
        checks=("leg_abort", "contingencies"),
    ),
    ChecklistItem(id="tugs", text="Tugs, lines and where they are made fast are agreed"),
    ChecklistItem(id="berth", text="Berth, side, swinging and mooring are agreed"),
    ChecklistItem(id="traffic", text="Traffic, reports and channels are known"),
    ChecklistItem(id="weather", text="Wind, stream, tide and visibility now and to come are known"),
    ChecklistItem(id="gear", text="Steering, engine, thrusters, anchors and defects are told"),
    ChecklistItem(id="orders", text="Language, and how orders are given and answered, is agreed"),
)

CHECKLISTS: dict[ListName, tuple[ChecklistItem, ...]] = {
    "appraisal": _APPRAISAL,
    "planning": _PLANNING,
    "pilotage": _PILOTAGE,
}
"""Every list with its items, in the order in which they are gone through."""
