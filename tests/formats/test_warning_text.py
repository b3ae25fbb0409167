"""Navigational warnings as text.

The forms are those of IHO/IMO S-53 (series and number, date and time group, positions, cancelling),
from memory; the messages are invented, in mid-ocean.
"""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from wheelover.formats.text_positions import find_positions
from wheelover.formats.warning_text import read_warnings

TEXT = """ZCZC GA12
250830 UTC NOV 26
NAVAREA I 123/26
1. WRECK LOCATED 47-06.0N 030-01.0W, LEAST DEPTH 7.5 METRES.
2. CANCEL NAVAREA I 118/26, 119/26 AND 120/26.
3. CANCEL THIS MSG 281200 UTC NOV 26.
NNNN
NAVAREA I 124/26
251000 UTC NOV
Gunnery in area bounded by
47-10.0N 030-10.0W
47-12.0N 030-10.0W
47-12.0N 030-05.0W
NAVAREA I 125/26
Drifting object within 2 miles of 47-00.0N 029-50.0W
Coastal warning no. 44/26: buoy missing 47-01.0N 029-51W
"""


@pytest.mark.parametrize(
    ("text", "lat_deg", "lon_deg"),
    [
        ("51-23.4N 001-12.3E", 51.39, 1.205),
        ("5123.4N 00112.3E", 51.39, 1.205),
        ("5123.4N00112.3E", 51.39, 1.205),
        ("N51-23.4 W001-12.3", 51.39, -1.205),
        ("51°23.4'N, 001°12.3'E", 51.39, 1.205),
        ("51 23.4N / 001 12.3E", 51.39, 1.205),
        ("51.39N 1.205E", 51.39, 1.205),
        ("51-23,4N 001-12,3E", 51.39, 1.205),
        ("51-24N\n001-12E", 51.4, 1.2),
        ("51º 23' 24\" S 001º 12' 18\" W", -51.39, -1.205),
        ("51-23-24.0N 001-12-18.0E", 51.39, 1.205),
        ("51-23-400N 001-12-300E", 51.39, 1.205),
    ],
)
def test_the_usual_spellings_are_found(text: str, lat_deg: float, lon_deg: float) -> None:
    (found,) = find_positions(f"WRECK IN {text}. MARINERS KEEP CLEAR")
    (reading,) = found.readings
    assert reading.lat_deg == pytest.approx(lat_deg, abs=1e-9)
    assert reading.lon_deg == pytest.approx(lon_deg, abs=1e-9)
    assert found.problem is None


@pytest.mark.parametrize(
    ("text", "count", "problem"),
    [
        ("51-23-27N 001-12-20E", 2, "may be seconds or a fraction of a minute"),
        ("51-61.0N 001-12.0E", 0, "latitude: minutes 61.0, must be under 60"),
        ("91-00.0N 001-12.0E", 0, "latitude 91 is over 90 degrees"),
        ("51-23.4N", 0, "a latitude without its longitude"),
        ("001-12.3E", 0, "a longitude without its latitude"),
        ("51-23.4 001-12.3", 0, "looks like a position without hemisphere letters"),
    ],
)
def test_what_is_in_question_is_told_and_not_guessed(text: str, count: int, problem: str) -> None:
    (found,) = find_positions(f"BUOY IN {text} UNLIT")
    assert (len(found.readings), found.problem) == (count, problem)
    assert found.raw == text


@pytest.mark.parametrize(
    "text",
    [
        "CANCEL 123/26 251200 UTC NOV 26",
        "SPEED 12-15 KN",
        "3 SE CARDINALS",
        "CALL CH 16",
        "20 NE OF",
    ],
)
def test_other_numbers_are_no_positions(text: str) -> None:
    assert find_positions(text) == ()


def test_the_messages_of_a_text_are_told_apart() -> None:
    first, second, third, fourth = read_warnings(TEXT)
    assert [first.number, second.number, third.number, fourth.number] == [
        "NAVAREA I 123/26",
        "NAVAREA I 124/26",
        "NAVAREA I 125/26",
        "COASTAL WARNING 44/26",
    ]
    assert first.issued is not None
    assert first.issued.utc == "2026-11-25T08:30:00Z"
    assert first.cancel is not None
    assert first.cancel.utc == "2026-11-28T12:00:00Z"
    assert first.cancels == ("NAVAREA I 118/26", "119/26", "120/26")
    assert (second.shape, len(second.positions)) == ("area", 3)
    assert second.issued is not None
    assert second.issued.utc is None, "no year is given, and none is invented"
    assert (third.shape, third.radius_m) == ("circle", 3704.0)
    assert "ZCZC" in TEXT[first.start : first.end]


@pytest.mark.parametrize("said", ["311000 UTC NOV 26", "252500 UTC NOV 26", "300000 UTC FEB 28"])
def test_a_time_that_does_not_exist_is_no_time(said: str) -> None:
    (message,) = read_warnings(f"NAVAREA I 1/26 {said} ROCK 47-00.0N 030-00.0W")
    assert message.issued is not None
    assert (message.issued.raw, message.issued.utc) == (said, None)


@given(
    st.integers(0, 89),
    st.integers(0, 599),
    st.sampled_from("NS"),
    st.integers(0, 179),
    st.integers(0, 599),
    st.sampled_from("EW"),
)
def test_every_position_written_in_the_usual_way_is_found_again(
    lat: int, lat_tenths: int, ns: str, lon: int, lon_tenths: int, ew: str
) -> None:
    text = f"{lat:02d}-{lat_tenths / 10:04.1f}{ns} {lon:03d}-{lon_tenths / 10:04.1f}{ew}"
    (found,) = find_positions(f"a {text} b")
    (reading,) = found.readings
    assert reading.lat_deg == pytest.approx((lat + lat_tenths / 600) * (1 if ns == "N" else -1))
    assert reading.lon_deg == pytest.approx((lon + lon_tenths / 600) * (1 if ew == "E" else -1))


@given(st.text(max_size=300))
def test_any_text_is_read_without_a_fault(text: str) -> None:
    for message in read_warnings(text):
        assert 0 <= message.start < message.end <= len(text)
        for found in message.positions:
            assert text[found.start : found.end] == found.raw
            assert found.readings or found.problem
