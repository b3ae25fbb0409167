"""What stages and methods are called in a sentence."""

from wheelover.core.types.contingency import ContingencyKind
from wheelover.core.types.watch import FixMethod, Stage

STAGE_WORDS: dict[Stage, str] = {
    "berth": "at the berth",
    "pilotage": "pilotage",
    "confined": "confined waters",
    "coastal": "coastal waters",
    "open": "open sea",
}

METHOD_WORDS: dict[FixMethod, str] = {
    "gnss": "GNSS",
    "radar_ranges": "radar ranges",
    "radar_bearings": "radar bearings",
    "radar_range_and_bearing": "radar range and bearing",
    "parallel_index": "parallel index",
    "visual_bearings": "visual bearings",
    "visual_transits": "visual transits",
    "horizontal_angles": "horizontal angles",
    "visual_bearing_and_radar_range": "visual bearing and radar range",
    "soundings": "a line of soundings",
    "celestial": "celestial sights",
    "terrestrial_radio": "terrestrial radio positioning",
}

CONTINGENCY_WORDS: dict[ContingencyKind, str] = {
    "anchorage": "contingency anchorage",
    "alternative": "alternative track",
    "refuge": "place of refuge",
    "berth": "other berth",
}
