"""Times and speeds of another system's schedule, taken as wishes and told.

Names of the elements as in tests/formats/route_exchange; xs:dateTime and xs:duration: W3C XML
Schema part 2 (from memory). Seconds since 1970 by Python's own calendar.
"""

import datetime

import pytest

from tests.formats.test_exchange_route import A, B, C, read, waypoint
from wheelover.formats.reading import RouteReading


def schedule(*rows: str, kind: str = "manual", name: str = "scheduleElement") -> str:
    inside = "".join(f"<{name} {one}/>" for one in rows)
    return f'<schedules><schedule id="1"><{kind}>{inside}</{kind}></schedule></schedules>'


def timed(*rows: str, **more: str) -> RouteReading:
    return read(A, B, C, after=schedule(*rows), **more)


def seconds(text: str) -> float:
    return datetime.datetime.fromisoformat(text).timestamp()


def noted(reading: RouteReading, words: str) -> str:
    (found,) = [note for note in reading.notes if note.startswith(words)]
    return found


@pytest.mark.parametrize(
    ("version", "name"),
    [("1.0", "sheduleElement"), ("1.1", "scheduleElement"), ("1.2", "scheduleElement")],
)
def test_what_was_given_is_taken_and_told(version: str, name: str) -> None:
    rows = (
        'waypointId="1" etd="2026-12-01T06:00:00Z"',
        'waypointId="2" eta="2026-12-01T07:10:00Z" stay="P1DT2H30M" speed="11.5"',
        'waypointId="3" eta="2026-12-03T09:00:00+02:00"',
    )
    reading = read(A, B, C, version=version, after=schedule(*rows, name=name))
    first, second, last = reading.waypoints
    assert (first.eta_s, first.leg) == (None, None)
    assert second.eta_s == seconds("2026-12-01T07:10:00+00:00")
    assert second.stay_min == (24 + 2.5) * 60.0
    assert second.leg is not None
    assert (second.leg.speed_over_ground_kn, second.leg.speed_kn) == (11.5, None)
    assert last.eta_s == seconds("2026-12-03T07:00:00+00:00")
    assert noted(reading, "taken from the manual schedule").endswith(
        "as wishes: ETA (2), speed over the ground (1), stay (1)"
    )
    assert "2026-12-01T06:00:00Z" in noted(reading, "departure in the file")
    # The schedule itself is kept as it is, for the system that it came from.
    assert [one.xml for one in reading.carried] == [schedule(*rows, name=name)]


@pytest.mark.parametrize(
    ("row", "words"),
    [
        ('eta="2026-12-01T07:10:00"', "no time with its zone"),
        ('eta="2026-02-30T07:10:00Z"', "not in the calendar"),
        ('eta="tomorrow"', "no time with its zone"),
        ('eta="2026-12-01T07:10:00+99:00"', "a zone that is none"),
        ('stay="90"', "no duration"),
        ('stay="P"', "no duration"),
        ('stay="PT"', "no duration"),
        ('stay="P4000D"', "not from 0 to"),
        ('speed="0"', "not from 0.001 to 100"),
        ('speed="fast"', "speed"),
    ],
)
def test_what_is_not_understood_is_told_and_not_taken(row: str, words: str) -> None:
    reading = timed(f'waypointId="2" {row}', 'waypointId="3" speed="9"')
    second, last = reading.waypoints[1:]
    assert (second.eta_s, second.stay_min, second.leg) == (None, None, None)
    assert last.leg is not None
    said = noted(reading, "not taken from the manual schedule of the file")
    assert " at 2: " in said
    assert words in said


def test_a_time_that_is_not_after_the_one_before_is_not_taken() -> None:
    """Not even one within the stay before it: two hours from seven are nine."""
    reading = timed(
        'waypointId="2" eta="2026-12-01T07:00:00Z" stay="PT2H"',
        'waypointId="3" eta="2026-12-01T08:30:00Z"',
    )
    assert reading.waypoints[2].eta_s is None
    assert "not after the time before it" in noted(reading, "not taken")


def test_what_another_system_computed_is_not_taken() -> None:
    row = 'waypointId="2" eta="2026-12-01T07:10:00Z" speed="11.2"'
    reading = read(A, B, C, after=schedule(row, kind="calculated"))
    assert (reading.waypoints[1].eta_s, reading.waypoints[1].leg) == (None, None)
    assert not any(note.startswith("taken from") for note in reading.notes)


def test_our_own_extension_stands_before_a_schedule() -> None:
    own = (
        '<extensions><extension manufacturer="wheelover" name="waypoint" version="1" '
        'xmlns:w="urn:x-wheelover:plan:1"><w:waypoint eta_utc="2026-12-01T08:00:00Z"/></extension>'
        "</extensions>"
    )
    after = schedule('waypointId="2" eta="2026-12-01T07:10:00Z"')
    given = waypoint(2, 47.2, -30, own)
    reading = read(A, given, C, after=after)
    assert reading.waypoints[1].eta_s == seconds("2026-12-01T08:00:00+00:00")
    assert "the file asks its own there" in noted(reading, "not taken")


def test_a_schedule_of_waypoints_that_are_not_there_is_nothing() -> None:
    reading = timed('waypointId="77" eta="2026-12-01T07:10:00Z"', 'speed="11"')
    assert [one.eta_s for one in reading.waypoints] == [None, None, None]


def _planned(after: str) -> RouteReading:
    """Return what is read of a file that we wrote, as far as it is known to be ours."""
    own = (
        '<extensions><extension manufacturer="wheelover" name="plan" version="1" '
        'xmlns:w="urn:x-wheelover:plan:1"><w:plan/></extension></extensions>'
    )
    return read(A, B, C, after=f"{after}{own}")


def test_in_a_file_of_ours_a_carried_schedule_gives_nothing_back() -> None:
    rows = 'waypointId="2" eta="2026-12-01T07:10:00Z"'
    assert _planned(schedule(rows)).waypoints[1].eta_s is None
    mark = (
        '<extensions><extension manufacturer="wheelover" name="schedule" version="1" '
        'xmlns:w="urn:x-wheelover:plan:1"><w:schedule sum="00000000"/></extension></extensions>'
    )
    changed = schedule(rows).replace("</manual>", f"</manual>{mark}")
    assert _planned(changed).waypoints[1].eta_s == seconds("2026-12-01T07:10:00+00:00")


def test_a_departure_after_the_arrival_is_a_stay() -> None:
    """From ten to two are four hours, in whichever zone they are written."""
    reading = timed(
        'waypointId="2" eta="2026-12-01T10:00:00Z" etd="2026-12-01T16:00:00+02:00"',
        'waypointId="3" eta="2026-12-01T13:00:00Z"',
    )
    second, last = reading.waypoints[1:]
    assert second.stay_min == 240.0
    # She is still there at one.
    assert last.eta_s is None
    assert noted(reading, "taken from the manual schedule").endswith("ETA (1), stay (1)")


@pytest.mark.parametrize(
    ("row", "stay_min", "words"),
    [
        ('eta="2026-12-01T10:00:00Z" etd="2026-12-01T09:00:00Z"', None, "before the arrival"),
        ('etd="2026-12-01T14:00:00Z"', None, "no arrival is given beside it"),
        ('eta="tomorrow" etd="2026-12-01T14:00:00Z"', None, "no time with its zone"),
        ('eta="2026-12-01T10:00:00Z" etd="14:00"', None, "no time with its zone"),
        ('eta="2026-12-01T10:00:00Z" etd="2029-12-01T10:00:00Z"', None, "not from 0 to"),
        (
            'eta="2026-12-01T10:00:00Z" etd="2026-12-01T14:00:00Z" stay="PT2H"', 120.0,
            "a stay is given beside it",
        ),
    ],
)  # fmt: skip
def test_a_departure_that_makes_no_stay_is_told(
    row: str, stay_min: float | None, words: str
) -> None:
    reading = timed(f'waypointId="2" {row}')
    assert reading.waypoints[1].stay_min == stay_min
    said = noted(reading, "not taken from the manual schedule of the file")
    assert "departure '" in said
    assert " at 2: " in said
    assert words in said


@pytest.mark.parametrize("more", ["", ' stay="PT0S"'])
def test_a_departure_that_says_no_more_than_the_rest_is_not_told(more: str) -> None:
    times = 'eta="2026-12-01T10:00:00Z" etd="2026-12-01T10:00:00Z"'
    reading = timed(f'waypointId="2" {times}{more}')
    assert not any(note.startswith("not taken") for note in reading.notes)
    assert reading.waypoints[1].stay_s == 0.0


def test_windows_are_told_and_not_taken() -> None:
    """By the names that the schema of the format gives them."""
    reading = timed(
        'waypointId="1" etd="2026-12-01T06:00:00Z" etdWindowAfter="PT1H"',
        'waypointId="2" eta="2026-12-01T10:00:00Z" etaWindowBefore="PT30M" etaWindowAfter="PT1H"',
        'waypointId="3" speed="12" speedWindow="1"',
    )
    said = noted(reading, "not taken from the manual schedule of the file")
    assert "etdWindowAfter at 1: " in said
    assert "etaWindowBefore, etaWindowAfter at 2: " in said
    assert "speedWindow at 3: " in said
    assert (reading.waypoints[1].arrive_from_s, reading.waypoints[1].arrive_to_s) == (None, None)
