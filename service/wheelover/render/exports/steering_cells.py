"""When, by what mark and how watched: the cells of a table that say how a plan is steered."""

from typing import Any

from wheelover.formats.csv_table import guarded
from wheelover.render.exports.rows import Row, plain
from wheelover.render.exports.stamp import Document
from wheelover.render.exports.steering import cues_of
from wheelover.render.exports.steering_words import (
    cue_of,
    index_words,
    report_words,
    watch_words,
)


def steering_cells(row: Row, result: Document) -> dict[str, Any]:
    """Return the cells of one waypoint, the leg that leads there and the turn made there.

    Parameters
    ----------
    row : Row
        The waypoint.
    result : dict
        The plan.
    """
    identity = row.waypoint["id"]
    times = _of(result, "rows", "waypoint_id", identity)
    run = _of(result, "legs", "to_id", identity)
    helm = _of(result, "wheel_overs", "waypoint_id", identity)
    turn, leg = row.turn or {}, row.leg or {}
    to_set = (turn.get("cues") or {}).get("wheel_over_set") or {}
    cues = cues_of(turn)
    fixing = (leg.get("monitoring") or {}).get("fixing") or {}
    return {
        "plan_eta_utc": times.get("eta_utc"),
        "plan_etd_utc": times.get("etd_utc"),
        "plan_run_nm": plain(times.get("distance_nm")),
        "plan_to_go_nm": plain(times.get("to_go_nm")),
        "plan_leg_steer_deg": plain(run.get("steer_deg")),
        "plan_leg_speed_over_ground_kn": plain(run.get("speed_over_ground_kn")),
        "plan_wheel_over_utc": helm.get("at_utc"),
        "plan_distance_to_go_set_nm": plain(to_set.get("distance_to_go_nm")),
        "plan_cue": guarded(cue_of(cues["first"])) if "first" in cues else None,
        "plan_second_cue": guarded(cue_of(cues["second"])) if "second" in cues else None,
        "plan_leg_index": guarded(index_words(row)),
        "plan_leg_watch": guarded(watch_words(row)),
        "plan_leg_reports": guarded(report_words(row, result)),
        "plan_leg_longest_fix_interval_s": plain(fixing.get("longest_interval_s")),
    }


def _of(result: Document, member: str, key: str, identity: str) -> Document:
    """Return the row of the schedule that is about a waypoint, empty where there is none."""
    rows: list[Document] = (result.get("schedule") or {}).get(member) or []
    return next((one for one in rows if one[key] == identity), {})
