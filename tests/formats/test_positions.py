"""Spellings of positions. The forms are common practice of the trade; the values are arithmetic."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from wheelover.formats.positions import Axis, NotUnderstood, coordinate_deg, shown


@pytest.mark.parametrize(
    ("text", "axis", "value_deg"),
    [
        ("51 23.456 N", "latitude", 51.39093333333333),
        ("51-23.456N", "latitude", 51.39093333333333),
        ("51°23.456'N", "latitude", 51.39093333333333),
        ("51°23'27.36\"N", "latitude", 51.39093333333333),
        ("51 23 27.36 S", "latitude", -51.39093333333333),
        ("+51.39093333333333", "latitude", 51.39093333333333),
        ("N51-23.456", "latitude", 51.39093333333333),
        ("n 51 23.456", "latitude", 51.39093333333333),
        ("51°23.456′S", "latitude", -51.39093333333333),
        ("-0 30.0", "latitude", -0.5),
        ("001-12.345E", "longitude", 1.20575),
        ("179 59.999 W", "longitude", -179.99998333333333),
        ("W 12.5", "longitude", -12.5),
        ("180 00 E", "longitude", 180.0),
        ("51-23-27.36N", "latitude", 51.39093333333333),
        ("51 5.5 N", "latitude", 51.09166666666667),
    ],
)
def test_spellings_that_are_read(text: str, axis: Axis, value_deg: float) -> None:
    assert coordinate_deg(text, axis) == pytest.approx(value_deg, abs=1e-12)


@pytest.mark.parametrize(
    ("text", "axis", "reason"),
    [
        ("51 61.20 N", "latitude", "minutes 61.20, must be under 60"),
        ("51 23 60.0 N", "latitude", "seconds 60.0, must be under 60"),
        ("91 00.0 N", "latitude", "over 90"),
        ("90 00.1 N", "latitude", "over 90"),
        ("181 E", "longitude", "over 180"),
        ("51 23.456", "latitude", "no hemisphere"),
        ("51.39", "latitude", "no hemisphere"),
        ("51 23.456 E", "latitude", "E is not N or S"),
        ("12 00.0 N", "longitude", "N is not E or W"),
        ("-51 23.456 N", "latitude", "given twice"),
        ("N 51 23.456 S", "latitude", "given twice"),
        ("51,390 N", "latitude", "decimal comma"),
        ("5 1 2 3 N", "latitude", "not a spelling"),
        ("51-23-45N", "latitude", "thousandths"),
        ("51-23-456N", "latitude", "thousandths"),
        ("51 023 N", "latitude", "not a spelling"),
        ("51 -23.4 N", "latitude", "not a spelling"),
        ("+0 -0.5", "latitude", "not a spelling"),
        ("51 23 4 N", "latitude", "not a spelling"),
        ("5123.456N", "latitude", "not a spelling"),
        ("", "latitude", "empty"),
        ("+", "latitude", "not a spelling"),
        ("N", "latitude", "not a spelling"),
        ("nan", "latitude", "is not N or S|not a spelling|given twice"),
        ("inf", "longitude", "I is not E or W"),
        ("1_0", "latitude", "not a spelling"),
        ("1e1", "latitude", "not a spelling"),
        ("٥١.٣", "latitude", "not a spelling"),
        ("５１", "latitude", "not a spelling"),
    ],
)
def test_spellings_that_are_refused(text: str, axis: Axis, reason: str) -> None:
    with pytest.raises(NotUnderstood, match=reason):
        coordinate_deg(text, axis, plain_is_signed=text not in ("51.39", "51 23.456"))


def test_only_a_missing_hemisphere_is_in_question() -> None:
    with pytest.raises(NotUnderstood) as missing:
        coordinate_deg("51 25.00", "latitude")
    with pytest.raises(NotUnderstood) as wrong:
        coordinate_deg("51 61.00", "latitude")
    assert missing.value.in_question
    assert not wrong.value.in_question


@given(st.floats(-89.999, 89.999), st.floats(-179.999, 179.999))
def test_what_is_shown_reads_back(lat_deg: float, lon_deg: float) -> None:
    north, east = shown(lat_deg, lon_deg).split()
    assert coordinate_deg(north, "latitude") == pytest.approx(lat_deg, abs=0.51 / 60_000)
    assert coordinate_deg(east, "longitude") == pytest.approx(lon_deg, abs=0.51 / 60_000)
    assert "60.000" not in north + east
