"""Courses by compass: the card round the compass, exact backwards, and what is not known."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from wheelover.core.errors import InvalidShip
from wheelover.core.schedule.compass import courses_of, deviation_on_deg
from wheelover.core.types.compass import DeviationCard, DeviationRow
from wheelover.core.types.sky import Variation

CARD = (
    (0, -1.5),
    (45, 2.0),
    (90, 4.5),
    (135, 3.0),
    (180, 0.5),
    (225, -3.0),
    (270, -4.5),
    (315, -4),
)


def card(*rows: tuple[float, float], by: str | None = "compass") -> DeviationCard:
    """Return a card of headings and deviations."""
    made = tuple(DeviationRow(heading_deg=one, deviation_deg=other) for one, other in rows)
    return DeviationCard(rows=made, by=by)  # type: ignore[arg-type]


@given(st.floats(0.0, 360.0, exclude_max=True))
def test_the_compass_course_found_leads_back_to_the_magnetic_one(heading_deg: float) -> None:
    """By compass: course and its deviation, read from the card there, make the magnetic heading."""
    deviation = deviation_on_deg(card(*CARD), heading_deg)
    assert deviation is not None
    compass = (heading_deg - deviation) % 360.0
    rows = [*CARD, (360.0, CARD[0][1])]
    row = max(i for i in range(len(CARD)) if rows[i][0] <= compass)
    (low, first), (high, then) = rows[row], rows[row + 1]
    by_hand = first + (then - first) * (compass - low) / (high - low)
    assert deviation == pytest.approx(by_hand, abs=1e-9)


@given(st.floats(0.0, 360.0, exclude_max=True))
def test_a_card_by_magnetic_headings_is_read_as_it_stands(heading_deg: float) -> None:
    rows = [*CARD, (360.0, CARD[0][1])]
    row = max(i for i in range(len(CARD)) if rows[i][0] <= heading_deg)
    (low, first), (high, then) = rows[row], rows[row + 1]
    by_hand = first + (then - first) * (heading_deg - low) / (high - low)
    found = deviation_on_deg(card(*CARD, by="magnetic"), heading_deg)
    assert found == pytest.approx(by_hand, abs=1e-9)


def test_in_a_hole_of_the_card_nothing_is_read() -> None:
    holed = card((0, 1.0), (30, 2.0), (170, 4.0), (200, 3.0), (240, 2.0), (280, 1.0), (320, 0.5))
    assert deviation_on_deg(holed, 100.0) is None
    assert deviation_on_deg(holed, 20.0) == pytest.approx(1.613, abs=0.001)
    assert deviation_on_deg(holed, 340.0) is not None


@pytest.mark.parametrize(
    ("rows", "words"),
    [
        (((0, 1.0),), "at least 2"),
        (((10, 1.0), (10, 2.0)), "in order and once each"),
        (((350, 1.0), (10, 2.0)), "in order and once each"),
        (((0, 20.0), (15, 2.0), (180, 0.0)), "changes by more than the heading"),
        (((0, 0.0), (355, 20.0)), "changes by more than the heading"),
    ],
)
def test_a_card_without_one_course_for_each_heading_is_refused(
    rows: tuple[tuple[float, float], ...], words: str
) -> None:
    with pytest.raises(InvalidShip, match=words) as refused:
        card(*rows)
    assert refused.value.faults[0].pointer == "/ship/deviation_card"


def test_what_is_not_given_is_not_known_and_never_zero() -> None:
    found = courses_of(50.0, Variation(reason="no day"), None)
    assert (found.true_deg, found.magnetic_deg, found.gyro_deg) == (50.0, None, None)
    assert (found.deviation_deg, found.compass_deg) == (None, None)
    found = courses_of(50.0, Variation(value_deg=-2.0, zone=None), None)
    assert found.magnetic_deg == 52.0
    assert found.compass_deg is None
    found = courses_of(50.0, Variation(value_deg=20.0, zone="blackout"), None)
    assert found.magnetic_deg is None
