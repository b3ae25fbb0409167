"""Heights from harmonic constants, held against a second library and against a fine scan."""

import warnings
from datetime import datetime

import numpy as np
import pytest

from wheelover.core.errors import InvalidConditions
from wheelover.core.schedule.harmonic import heights_m, require_known, turns_of_tide
from wheelover.core.schedule.tide import extremes, times_of_at_least
from wheelover.core.types.tide import Constituent, Harmonics, Tide, TideHeight
from wheelover.core.utc import seconds_from_utc

with warnings.catch_warnings():
    # It looks for a netCDF reader where scipy no longer keeps it.
    warnings.simplefilter("ignore", DeprecationWarning)
    import uptide

DAY_S = 86_400.0
START_S = seconds_from_utc("2026-11-26T00:00:00Z")
CONSTITUENTS = tuple(
    Constituent(name=name, amplitude_m=amplitude, phase_deg=phase)
    for name, amplitude, phase in (
        ("M2", 2.1, 141.0), ("S2", 0.7, 189.0), ("N2", 0.4, 120.0), ("K2", 0.2, 187.0),
        ("K1", 0.12, 102.0), ("O1", 0.09, 349.0), ("P1", 0.04, 95.0), ("M4", 0.18, 77.0),
        ("MS4", 0.11, 130.0), ("SA", 0.08, 210.0),
    )
)  # fmt: skip
"""A station of our own, strong in shallow-water tides."""
ROADS = Harmonics(mean_level_m=2.9, lat_deg=50.5, constituents=CONSTITUENTS)
TIDE = Tide(station="Zoo roads", harmonics=ROADS)


@pytest.mark.parametrize("start", ["2025-03-01", "2026-11-26", "2029-08-01"])
@pytest.mark.parametrize("one", CONSTITUENTS, ids=lambda one: one.name)
def test_each_constituent_as_the_other_library_has_it(one: Constituent, start: str) -> None:
    """Nodal corrections differ: satellites one by one here, first terms of a series there.

    Those of K1, O1, P1 and K2 then differ by up to 3 % of the amplitude, of the others by 1 %.
    """
    other = uptide.Tides([one.name])
    other.set_initial_time(datetime.fromisoformat(start))
    after_s = np.arange(0.0, 5.0 * DAY_S, 1800.0)
    expected = other.from_amplitude_phase([1.0], [np.radians(one.phase_deg)], after_s)
    alone = Constituent(name=one.name, amplitude_m=1.0, phase_deg=one.phase_deg)
    harmonics = Harmonics(mean_level_m=0.0, lat_deg=50.5, constituents=(alone,))
    start_s = seconds_from_utc(f"{start}T00:00:00Z")
    within = 0.03 if one.name in ("K1", "O1", "P1", "K2") else 0.01
    assert heights_m(harmonics, start_s + after_s) == pytest.approx(expected, abs=within)


def test_the_whole_sum_within_a_hundredth_of_its_range() -> None:
    other = uptide.Tides([one.name for one in CONSTITUENTS])
    other.set_initial_time(datetime.fromisoformat("2026-11-26"))
    after_s = np.arange(0.0, 14.0 * DAY_S, 900.0)
    expected = 2.9 + other.from_amplitude_phase(
        [one.amplitude_m for one in CONSTITUENTS],
        [np.radians(one.phase_deg) for one in CONSTITUENTS],
        after_s,
    )
    spread_m = expected.max() - expected.min()
    assert heights_m(ROADS, START_S + after_s) == pytest.approx(expected, abs=0.01 * spread_m)


def test_from_week_to_week_no_step_is_seen() -> None:
    edges_s = 7.0 * DAY_S * np.arange(2900, 3150)
    step_m = heights_m(ROADS, edges_s) - heights_m(ROADS, edges_s - 1e-3)
    assert np.abs(step_m).max() < 0.002


def test_high_and_low_waters_are_those_of_a_fine_scan() -> None:
    times, heights = turns_of_tide(ROADS, START_S, START_S + 10.0 * DAY_S)
    scan = heights_m(ROADS, START_S + np.arange(0.0, 10.0 * DAY_S, 20.0))
    peaks = scan[1:-1][(scan[1:-1] - scan[:-2]) * (scan[2:] - scan[1:-1]) <= 0.0]
    assert heights == pytest.approx(peaks, abs=0.0005)
    assert len(times) == len(peaks)


@pytest.mark.parametrize("needed_m", [0.1, 1.7, 2.9, 4.4, 5.6, 9.0, -9.0])
def test_windows_and_extremes_are_those_of_a_fine_scan(needed_m: float) -> None:
    passing = (START_S + 5.0 * 3600.0, START_S + 7.0 * 3600.0)
    spans = times_of_at_least(TIDE, needed_m, passing)
    assert spans is not None
    scan_s = np.arange(passing[0] - 90_000.0, passing[1] + 90_000.0, 30.0)
    high = heights_m(ROADS, scan_s) >= needed_m
    inside = np.zeros_like(high)
    for from_s, to_s in spans:
        inside |= (scan_s >= from_s) & (scan_s <= to_s)
    assert (inside == high).mean() > 0.9985
    found = extremes(TIDE, *passing)
    assert found is not None
    part = heights_m(ROADS, np.arange(passing[0], passing[1] + 1.0, 10.0))
    assert found.least_m == pytest.approx(part.min(), abs=1e-5)
    assert found.greatest_m == pytest.approx(part.max(), abs=1e-5)


def test_windows_without_a_time_are_not_known() -> None:
    assert times_of_at_least(TIDE, 2.0, None) is None


def test_names_are_known_as_publishers_write_them() -> None:
    """The 37 of the American tables, lower case too."""
    line = (
        "M2 S2 N2 K1 M4 O1 M6 MK3 S4 MN4 NU2 S6 MU2 2N2 OO1 LAM2 S1 M1 J1 MM SSA SA MSF MF RHO Q1 "
        "T2 R2 2Q1 P1 2SM2 M3 L2 2MK3 K2 M8 MS4"
    )
    names = line.split()
    assert len(names) == 37
    require_known([Constituent(name=one, amplitude_m=1.0, phase_deg=0.0) for one in names])
    require_known([Constituent(name="m2", amplitude_m=1.0, phase_deg=0.0)])


def test_an_unknown_or_doubled_constituent_is_refused_by_its_place() -> None:
    rows = [Constituent(name=one, amplitude_m=1.0, phase_deg=0.0) for one in ("M2", "MQ9", "m2")]
    with pytest.raises(InvalidConditions) as refused:
        require_known(rows)
    assert [one.pointer for one in refused.value.faults] == [
        "/constituents/1/name",
        "/constituents/2/name",
    ]


def test_a_tide_is_given_in_one_way() -> None:
    rows = tuple(TideHeight(at_s=at_s, height_m=1.0) for at_s in (0.0, 1.0))
    with pytest.raises(InvalidConditions, match="not both"):
        Tide(station="x", heights=rows, harmonics=ROADS)
    empty = Harmonics(mean_level_m=0.0, lat_deg=0.0, constituents=())
    with pytest.raises(InvalidConditions, match="need a constituent"):
        Tide(station="x", harmonics=empty)


def test_near_the_equator_too() -> None:
    for lat_deg in (0.0, -0.1, 4.0):
        there = Harmonics(mean_level_m=1.0, lat_deg=lat_deg, constituents=CONSTITUENTS)
        assert np.isfinite(heights_m(there, START_S + np.arange(0.0, DAY_S, 3600.0))).all()
