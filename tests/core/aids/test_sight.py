"""What can be made out by day, by night and by radar: what is not known is never seen."""

from dataclasses import replace

import pytest

from wheelover.core.aids.sight import (
    Lookout,
    by_day,
    by_night,
    by_radar,
    in_sector,
    light_towards,
    luminous_range_nm,
    ranges_of,
)
from wheelover.core.types.cues import Sight
from wheelover.core.types.marks import Light, Mark
from wheelover.core.types.route import Position

MILE_M = 1852.0
FULL = Lookout(eye_height_m=25.0, radar_height_m=36.0)
RED = Light(nominal_range_nm=9.0, height_m=30.0, sector_from_deg=350.0, sector_to_deg=20.0)
WHITE = Light(nominal_range_nm=14.0, height_m=30.0, sector_from_deg=20.0, sector_to_deg=60.0)
LIGHTHOUSE = Mark(
    id="L",
    name="Light",
    position=Position(lat_deg=0.0, lon_deg=0.0),
    kind="light",
    source="you",
    lit=True,
    height_m=30.0,
    nominal_range_nm=14.0,
    radar_conspicuous=True,
    lights=(RED, WHITE),
)


def seen(
    mark: Mark, off_nm: float, bearing_deg: float = 40.0, lookout: Lookout = FULL
) -> tuple[Sight, Sight, Sight]:
    """By day, by night and by radar."""
    ranges = ranges_of(mark, bearing_deg, off_nm * MILE_M, lookout)
    return tuple(
        look(mark, ranges, off_nm * MILE_M, lookout) for look in (by_day, by_night, by_radar)
    )


def test_a_light_shows_only_in_its_sectors():
    assert [one.seen for one in seen(LIGHTHOUSE, 5.0)] == ["yes", "yes", "yes"]
    outside = seen(LIGHTHOUSE, 5.0, bearing_deg=200.0)
    assert [one.seen for one in outside] == ["yes", "no", "yes"]
    assert outside[1].why == "none of its lights shows towards the ship"
    assert light_towards(LIGHTHOUSE, 40.0) is WHITE
    assert light_towards(LIGHTHOUSE, 10.0) is RED
    ranges = ranges_of(LIGHTHOUSE, 10.0, MILE_M, FULL)
    assert (ranges.nominal_range_nm, ranges.in_sector) == (9.0, True)


@pytest.mark.parametrize(
    ("bearing_deg", "inside"),
    [(350.0, True), (0.0, True), (20.0, True), (20.1, False), (349.9, False)],
)
def test_a_sector_over_north(bearing_deg, inside):
    assert in_sector(RED, bearing_deg) is inside


def test_lights_shown_by_day_or_in_fog_alone_are_no_lights_of_the_night():
    fog = replace(LIGHTHOUSE, lights=(replace(WHITE, only_at="fog"),))
    assert seen(fog, 3.0)[1].seen == "no"


def test_what_is_not_known_is_never_seen():
    no_height = replace(LIGHTHOUSE, height_m=None)
    assert [one.seen for one in seen(no_height, 1.0)] == ["not_known"] * 3
    blind = Lookout()
    assert [one.seen for one in seen(LIGHTHOUSE, 1.0, lookout=blind)] == ["not_known"] * 3
    no_range = replace(LIGHTHOUSE, lights=(Light(height_m=30.0),), nominal_range_nm=None)
    assert seen(no_range, 1.0)[1].seen == "not_known"
    plain = replace(LIGHTHOUSE, radar_conspicuous=None, visually_conspicuous=False)
    assert [one.seen for one in seen(plain, 1.0)] == ["not_known", "yes", "not_known"]


@pytest.mark.parametrize(
    ("kind", "conspicuous", "by_day"),
    [
        ("landmark", None, "not_known"),
        ("structure", None, "not_known"),
        ("point_of_land", None, "not_known"),
        ("other", None, "not_known"),
        ("landmark", True, "yes"),
        ("landmark", False, "not_known"),
        ("light", None, "yes"),
        ("beacon", None, "yes"),
        ("buoy", None, "yes"),
        ("beacon", False, "not_known"),
    ],
)
def test_by_day_only_what_is_said_to_be_conspicuous_or_made_to_be_seen_is_seen(
    kind, conspicuous, by_day
):
    """Its height above the water is that of its hill too: high is not conspicuous."""
    mark = replace(LIGHTHOUSE, kind=kind, visually_conspicuous=conspicuous)
    found = seen(mark, 1.0)[0]
    assert found.seen == by_day
    if conspicuous is None and by_day == "not_known":
        assert found.why == "nothing says that it is conspicuous to the eye"


def test_what_is_known_not_to_be_seen_is_said_whatever_else_is_not_known():
    unlit = replace(LIGHTHOUSE, lit=False, lights=(), height_m=None)
    assert seen(unlit, 1.0, lookout=Lookout())[1].why == "unlit"
    far = seen(LIGHTHOUSE, 11.0)
    assert far[0].seen == "no", "beyond the visibility that is taken"
    assert far[1].seen == "yes", "a light of 14 NM"
    below = seen(replace(LIGHTHOUSE, height_m=4.0), 20.0)
    assert below[1].seen == "no"
    assert seen(LIGHTHOUSE, 26.0)[2].why.startswith("below the radar horizon")
    low = seen(replace(LIGHTHOUSE, height_m=3.0), 4.0)
    assert low[0].why == "its top is 1.4' above the water, too low to be known again"


def test_fog_takes_lights_away_and_the_range_scale_echoes():
    thick = replace(FULL, visibility_nm=0.5)
    assert [one.seen for one in seen(LIGHTHOUSE, 2.0, lookout=thick)] == ["no", "no", "yes"]
    fine = replace(FULL, range_scale_nm=1.5)
    assert seen(LIGHTHOUSE, 2.0, lookout=fine)[2].why == "beyond the range scale of 1.5 NM"


def test_a_racon_answers():
    assert "answers the radar" in seen(replace(LIGHTHOUSE, racon=True), 2.0)[2].why


def test_luminous_ranges_of_many_lights_and_of_none():
    assert luminous_range_nm([5.0, 10.0], 10.0) == pytest.approx([5.0, 10.0])
    assert luminous_range_nm([], 10.0).size == 0
    assert float(luminous_range_nm(60.0, 0.05)[0]) < 1.0
