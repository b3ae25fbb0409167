"""The checks that are due on every plan, written down before anything is computed.

A check that this version does not make stands here all the same: its rows read not checked.
"""

from dataclasses import dataclass
from typing import Literal


@dataclass(frozen=True, slots=True, kw_only=True)
class DueCheck:
    """One check and what it is made on. ``absent`` says why this version does not make it.

    A check of the ``passage`` is due on the plan as a whole, and not on that of a contingency.
    """

    code: str
    title: str
    per: Literal["plan", "leg", "turn"]
    absent: str | None = None
    passage: bool = False


CATALOGUE: tuple[DueCheck, ...] = (
    DueCheck(code="route_whole", title="Holes in the route", per="plan"),
    DueCheck(code="berth_to_berth", title="From berth to berth", per="plan", passage=True),
    DueCheck(
        code="contingencies", title="Contingencies and their own tracks", per="plan", passage=True
    ),
    DueCheck(code="action_points", title="Action points along the track", per="plan", passage=True),
    DueCheck(code="sources", title="Charts and publications", per="plan", passage=True),
    DueCheck(code="pilot_card", title="The pilot card", per="plan", passage=True),
    DueCheck(code="checklists", title="Checklists", per="plan", passage=True),
    DueCheck(code="positions", title="Doubled and unlikely positions", per="plan"),
    DueCheck(code="dangers_loaded", title="Loaded dangers and the water they cover", per="plan"),
    DueCheck(code="safety_contour", title="The safety contour", per="plan"),
    DueCheck(code="ship_data", title="The ship's reach and speed in the turn", per="plan"),
    DueCheck(code="daylight", title="Daylight where it is needed", per="plan"),
    DueCheck(code="leg_line", title="Course and length of the leg", per="leg"),
    DueCheck(code="leg_room", title="Room between the turns at its ends", per="leg"),
    DueCheck(code="leg_charts", title="Charts that cover the leg", per="leg"),
    DueCheck(code="leg_clearance", title="Clearance of the leg from dangers", per="leg"),
    DueCheck(code="leg_swept", title="The hull's swept path along the leg", per="leg"),
    DueCheck(code="leg_cross_track", title="Cross-track limits against the dangers", per="leg"),
    DueCheck(code="leg_land", title="Land", per="leg"),
    DueCheck(code="leg_depth", title="Under-keel clearance", per="leg"),
    DueCheck(code="leg_overhead", title="Overhead clearance", per="leg"),
    DueCheck(
        code="leg_routeing", title="Routeing measures, restricted and special areas", per="leg"
    ),
    DueCheck(code="leg_index", title="Parallel index lines and their limits", per="leg"),
    DueCheck(code="leg_clearing", title="Clearing lines past the dangers near the leg", per="leg"),
    DueCheck(
        code="leg_monitoring", title="Stage, watch and what the team does on the leg", per="leg"
    ),
    DueCheck(code="leg_fixing", title="Fixing methods and interval", per="leg"),
    DueCheck(code="leg_abort", title="Abort point and point of no return", per="leg"),
    DueCheck(code="leg_schedule", title="Times, speeds and streams", per="leg"),
    DueCheck(
        code="leg_compass", title="Magnetic variation, and courses by each compass", per="leg"
    ),
    DueCheck(code="turn_arc", title="Change of course", per="turn"),
    DueCheck(code="turn_room", title="Room for the turn on the legs around it", per="turn"),
    DueCheck(code="turn_radius", title="Radius against the ship's least", per="turn"),
    DueCheck(code="turn_rate", title="Rate of turn against the ship's largest", per="turn"),
    DueCheck(code="turn_wheel_over", title="Planned wheel-over", per="turn"),
    DueCheck(code="turn_methods", title="How far the methods are apart", per="turn"),
    DueCheck(code="turn_table", title="The ship's turning table", per="turn"),
    DueCheck(code="turn_charts", title="Charts that cover the turn", per="turn"),
    DueCheck(code="turn_clearance", title="Clearance of the turn from dangers", per="turn"),
    DueCheck(code="turn_routeing", title="Restricted and special areas in the turn", per="turn"),
    DueCheck(code="turn_land", title="Land in the turn", per="turn"),
    DueCheck(code="turn_current", title="Current in the turn", per="turn"),
    DueCheck(code="turn_swept", title="The hull's swept path in the turn", per="turn"),
    DueCheck(code="turn_window", title="The window of the wheel-over", per="turn"),
    DueCheck(code="turn_depth", title="Under-keel clearance in the turn", per="turn"),
    DueCheck(code="turn_overhead", title="Overhead clearance in the turn", per="turn"),
    DueCheck(code="turn_response", title="The ship's own response in the turn", per="turn"),
    DueCheck(code="turn_cue", title="A mark for the wheel-over, and a second cue", per="turn"),
    DueCheck(code="turn_late_helm", title="What lies ahead if the helm is late", per="turn"),
)

TITLES = {due.code: due.title for due in CATALOGUE}
