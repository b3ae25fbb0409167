"""Sun, variation, compass, zone and tide against published values (rows S of SOURCES.md)."""

import pytest

from wheelover.core.schedule.compass import courses_of, deviation_on_deg
from wheelover.core.schedule.harmonic import turns_of_tide
from wheelover.core.schedule.sun import declination_deg, equation_of_time_s, sun_on
from wheelover.core.schedule.variation import _field, variation_at
from wheelover.core.schedule.zone import zone_description_h
from wheelover.core.types.compass import DeviationCard, DeviationRow
from wheelover.core.types.route import Position
from wheelover.core.types.ship import ShipProfile
from wheelover.core.types.sky import Variation
from wheelover.core.types.tide import Constituent, Harmonics
from wheelover.core.utc import seconds_from_utc

MINUTE_S, HOUR_S, M_PER_FT = 60.0, 3600.0, 0.3048


def at(text: str) -> float:
    """Return a UTC time of a minute in seconds."""
    return seconds_from_utc(f"{text.replace(' ', 'T')}:00Z")


def test_sunrise_of_a_worked_example() -> None:
    """S1: 16 January 2019, 22 25.3 N 075 15.3 E, civil twilight 01:17, sunrise 01:41 UTC."""
    position = Position(lat_deg=22.0 + 25.3 / 60.0, lon_deg=75.0 + 15.3 / 60.0)
    sun = sun_on(position, at("2019-01-16 00:00"))
    assert sun.civil.from_s == pytest.approx(at("2019-01-16 01:17"), abs=MINUTE_S)
    assert sun.up.from_s == pytest.approx(at("2019-01-16 01:41"), abs=MINUTE_S)


@pytest.mark.parametrize(("lat_deg", "sunset"), [(30.0, "18:42"), (27.0, "18:37"), (20.0, "18:26")])
def test_sunset_of_a_page_of_an_almanac(lat_deg: float, sunset: str) -> None:
    """S2: 8 May 2006 at Greenwich; the middle one is interpolated there."""
    sun = sun_on(Position(lat_deg=lat_deg, lon_deg=0.0), at("2006-05-08 00:00"))
    assert sun.up.to_s == pytest.approx(at(f"2006-05-08 {sunset}"), abs=MINUTE_S)


def test_midsummer_at_greenwich_and_the_equinox_on_the_line() -> None:
    """S4, S6: computed with other code; day and night are not equal at the equinox."""
    greenwich = sun_on(Position(lat_deg=51.0 + 28.6 / 60.0, lon_deg=0.0), at("2026-06-21 00:00"))
    line = sun_on(Position(lat_deg=0.0, lon_deg=0.0), at("2026-03-20 00:00"))
    for found, expected, day in (
        (greenwich.up.from_s, 3 * 60 + 42.8, "2026-06-21"),
        (greenwich.up.to_s, 20 * 60 + 20.8, "2026-06-21"),
        (greenwich.civil.from_s, 2 * 60 + 55.1, "2026-06-21"),
        (greenwich.civil.to_s, 21 * 60 + 8.6, "2026-06-21"),
        (line.up.from_s, 6 * 60 + 4.2, "2026-03-20"),
        (line.up.to_s, 18 * 60 + 10.7, "2026-03-20"),
    ):
        assert found == pytest.approx(at(f"{day} 00:00") + expected * MINUTE_S, abs=0.5 * MINUTE_S)


def test_always_up_and_never_up_are_answers() -> None:
    """S8: 69 N 19 E at midsummer and midwinter."""
    position = Position(lat_deg=69.0, lon_deg=19.0)
    summer, winter = (sun_on(position, at(f"2026-{day} 00:00")) for day in ("06-21", "12-21"))
    assert (summer.up.lasting, summer.up.from_s, summer.up.to_s) == ("always", None, None)
    assert (winter.up.lasting, winter.up.from_s, winter.up.to_s) == ("never", None, None)
    assert winter.civil.lasting is None


def test_declination_and_equation_of_time_of_a_textbook() -> None:
    """S9: Meeus, examples 25.a and 28.b, 13 October 1992 0 h dynamical time (59 s after UT)."""
    at_s = at("1992-10-13 00:00") - 59.0
    assert declination_deg(at_s) == pytest.approx(-7.785, abs=0.01)
    assert equation_of_time_s(at_s) == pytest.approx(13 * 60 + 42.7, abs=1.0)


@pytest.mark.parametrize(
    ("lon_deg", "description_h"),
    [(105.38, -7), (-75.26, 5), (-141.0, 9), (176.0, -12), (7.4, 0), (-7.6, 1), (-172.4, 11),
     (172.6, -12)],
)  # fmt: skip
def test_zone_description(lon_deg: float, description_h: int) -> None:
    """S10: the longitude over 15, to the nearest hour; UTC is zone time and zone description."""
    assert zone_description_h(lon_deg) == description_h


@pytest.mark.parametrize(
    ("year", "expected_deg"), [(2025.0, (1.28, -0.16, 68.78)), (2027.5, (2.59, -0.24, 68.49))]
)
def test_test_values_of_the_world_magnetic_model(
    year: float, expected_deg: tuple[float, float, float]
) -> None:
    """S11, S13: rows of the model's test values at height 0."""
    places = ((80.0, 0.0), (0.0, 120.0), (-80.0, -120.0))
    for (lat_deg, lon_deg), expected in zip(places, expected_deg, strict=True):
        assert _field(lat_deg, lon_deg, year)[0] == pytest.approx(expected, abs=0.01)
    horizontal_nt = _field(80.0, 0.0, 2025.0)[1]
    assert horizontal_nt == pytest.approx((6521.6**2 + 145.9**2) ** 0.5, abs=0.2)


def test_error_and_validity_of_the_model() -> None:
    """S16: sqrt(0.26^2 + (5417 / H)^2) degrees, 2025.0 to 2030.0."""
    position = Position(lat_deg=80.0, lon_deg=0.0)
    found = variation_at(position, at("2025-01-01 12:00"))
    assert found.horizontal_nt is not None
    expected = (0.26**2 + (5417.0 / found.horizontal_nt) ** 2) ** 0.5
    assert found.uncertainty_deg == pytest.approx(expected, abs=1e-9)
    assert variation_at(position, at("2024-12-31 23:59")).value_deg is None
    assert variation_at(position, at("2030-01-01 00:01")).value_deg is None


@pytest.mark.parametrize(
    ("true_deg", "variation_deg", "magnetic_deg", "deviation_deg", "compass_deg"),
    [
        (152, -5, 157, -7, 164), (190, -4, 194, 5, 189), (162, 1, 161, -6, 167),
        (98, -10, 108, 4, 104), (265, 8, 257, -19, 276), (138, 3, 135, -12, 147),
        (196, -3, 199, 13, 186), (355, -2, 357, -2, 359), (222, 4, 218, -16, 234),
        (345, -4, 349, 4, 345),
    ],
)  # fmt: skip
def test_answers_of_a_practice_lesson(
    true_deg: float,
    variation_deg: float,
    magnetic_deg: float,
    deviation_deg: float,
    compass_deg: float,
) -> None:
    """S31: true, variation, magnetic, deviation, compass, as the lesson answers them."""
    rows = tuple(
        DeviationRow(heading_deg=heading, deviation_deg=deviation_deg)
        for heading in range(0, 360, 45)
    )
    ship = _ship(DeviationCard(rows=rows, by="magnetic"))
    found = courses_of(true_deg, Variation(value_deg=variation_deg), ship)
    assert found.magnetic_deg == pytest.approx(magnetic_deg)
    assert found.compass_deg == pytest.approx(compass_deg)
    assert found.gyro_deg == pytest.approx(true_deg - 1.5)


@pytest.mark.parametrize(
    ("heading_deg", "deviation_deg"), [(190.0, 0.44), (200.0, 0.88), (335.0, 0.11)]
)
def test_deviation_between_two_headings_of_a_card(heading_deg: float, deviation_deg: float) -> None:
    """S32: 0 on 180 and 2 E on 225; 1 E on 315 and 1 W on 000."""
    rows = ((0.0, -1.0), (45.0, 0.0), (90.0, 0.0), (135.0, 0.0), (180.0, 0.0), (225.0, 2.0),
            (270.0, 1.0), (315.0, 1.0))  # fmt: skip
    made = tuple(DeviationRow(heading_deg=one, deviation_deg=other) for one, other in rows)
    found = deviation_on_deg(DeviationCard(rows=made, by="magnetic"), heading_deg)
    assert found == pytest.approx(deviation_deg, abs=0.01)


SAN_FRANCISCO = (
    "M2 1.89 336.3 28.984104 S2 0.45 336.2 30.0 N2 0.40 315.6 28.43973 "
    "K1 1.21 105.0 15.041069 M4 0.07 33.0 57.96821 O1 0.75 96.8 13.943035 "
    "M6 0.01 31.6 86.95232 MK3 0.06 131.9 44.025173 MN4 0.03 12.6 57.423832 "
    "NU2 0.09 321.8 28.512583 MU2 0.02 236.4 27.968208 2N2 0.04 290.0 27.895355 "
    "OO1 0.04 130.8 16.139101 LAM2 0.02 338.6 29.455626 S1 0.02 162.5 15.0 "
    "M1 0.04 121.5 14.496694 J1 0.06 119.5 15.5854435 SSA 0.10 271.6 0.0821373 "
    "SA 0.14 199.8 0.0410686 MF 0.05 144.3 1.0980331 RHO 0.03 92.2 13.471515 "
    "Q1 0.13 95.1 13.398661 T2 0.03 324.9 29.958933 2Q1 0.02 105.7 12.854286 "
    "P1 0.37 102.4 14.958931 2SM2 0.01 149.1 31.015896 M3 0.01 49.8 43.47616 "
    "L2 0.06 353.4 29.528479 2MK3 0.05 108.7 42.92714 K2 0.13 325.3 30.082138 "
    "MS4 0.03 37.0 58.984104"
)
"""Amplitude in feet, phase in the local time of UTC - 8 h, speed in degrees an hour."""


@pytest.mark.parametrize(
    ("high_water", "feet"),
    [("2024-01-09 08:55", 6.6), ("2024-01-10 09:42", 6.8), ("2024-01-11 10:30", 6.9),
     ("2024-01-12 11:19", 6.9), ("2024-01-13 12:10", 6.6)],
)  # fmt: skip
def test_high_waters_published_for_san_francisco(high_water: str, feet: float) -> None:
    """S33: predictions in local time above mean lower low water, 3.12 ft below mean sea level.

    The constants are of an earlier epoch than those predictions: 3 minutes and 0.1 ft.
    """
    words = SAN_FRANCISCO.split()
    cells = [words[index : index + 4] for index in range(0, len(words), 4)]
    rows = tuple(
        Constituent(
            name=name,
            amplitude_m=float(amplitude) * M_PER_FT,
            phase_deg=(float(phase) + 8.0 * float(speed)) % 360.0,
        )
        for name, amplitude, phase, speed in cells
    )
    gauge = Harmonics(mean_level_m=3.12 * M_PER_FT, lat_deg=37.807, constituents=rows)
    expected_s = at(high_water) + 8.0 * HOUR_S
    times, heights = turns_of_tide(gauge, expected_s - 3.0 * HOUR_S, expected_s + 3.0 * HOUR_S)
    index = int(heights.argmax())
    assert times[index] == pytest.approx(expected_s, abs=3.0 * MINUTE_S)
    assert heights[index] / M_PER_FT == pytest.approx(feet, abs=0.1)


def _ship(card: DeviationCard) -> ShipProfile:
    """Return a ship with a deviation card, whose gyro reads 1.5 low."""
    return ShipProfile(
        name="Zoo", loa_m=100.0, beam_m=16.0, draught_fore_m=5.0, draught_aft_m=5.0,
        deviation_card=card, gyro_error_deg=1.5,
    )  # fmt: skip
