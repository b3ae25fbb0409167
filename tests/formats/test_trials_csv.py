"""Trial data in CSV: every line is understood or refused with its reason."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from wheelover.core.errors import UnknownFormat, UnreadableFile
from wheelover.formats.trials_csv import COLUMNS, read_trials_csv

HEADER = "set,side,rudder_deg,speed_kn,at_deg,depth_m,quantity,value,unit\n"


def _read(*lines: str, header: str = HEADER) -> object:
    return read_trials_csv((header + "\n".join(lines) + "\n").encode())


def _request(*lines: str) -> dict[str, object]:
    reading = read_trials_csv((HEADER + "\n".join(lines) + "\n").encode())
    assert [row.problem for row in reading.report] == [None] * len(lines)
    return reading.request


def test_numbers_come_in_the_units_of_the_papers() -> None:
    request = _request(
        ",,,,,,loa,600,ft",
        ",,,,,,propeller_count,2,",
        ",,,,,,block_coefficient,0.8,",
        "laden,,,,,,reference_from_bow,150,m",
        "laden,,,,,,lengths_are,lpp,",
        "laden,S,35,15,,,advance,3,cables",
        "laden,S,35,15,,,transfer,1.4,L",
        "laden,S,35,15,90,,time,1:35.5,min:s",
        "laden,S,35,15,180,,time,3,min",
        "laden,S,35,15,90,,speed,5,m/s",
        "laden,S,35,15,,20,advance,0.4,NM",
        "laden,P,10,15,,,first_overshoot,6,deg",
        "laden,P,10,15,,,initial_turning,1.9,L",
        "laden,P,20,15,60,,course_change,600,m",
        "laden,,,15,,,stopping_full_astern,12,L",
    )
    assert request["ship"] == {"loa_m": 182.88, "propeller_count": 2, "block_coefficient": 0.8}
    (one,) = request["sets"]  # type: ignore[misc]
    key = {"side": "starboard", "rudder_deg": 35.0, "speed_kn": 15.0}
    deep, shallow = one["circles"]
    assert deep == {
        **key,
        "advance_m": pytest.approx(555.6),
        "transfer_lengths": 1.4,
        "points": [
            {"heading_change_deg": 90.0, "time_s": 95.5, "speed_kn": pytest.approx(9.719222)},
            {"heading_change_deg": 180.0, "time_s": 180.0},
        ],
    }
    assert shallow == {**key, "depth_m": 20.0, "advance_m": 740.8}
    port = {"side": "port", "speed_kn": 15.0}
    assert one["zig_zags"] == [
        {**port, "rudder_deg": 10.0, "heading_change_deg": 10.0, "first_overshoot_deg": 6.0}
    ]
    assert one["initial_turnings"][0]["distance_lengths"] == 1.9
    assert one["course_changes"][0]["change_deg"] == 60.0
    assert one["stoppings"] == [
        {"order": "full astern", "speed_kn": 15.0, "track_reach_lengths": 12.0}
    ]
    assert one["lengths_are"] == "between_perpendiculars"


@pytest.mark.parametrize(
    ("line", "says"),
    [
        ("laden,S,35,15,,,advance,500,", "unit"),
        ("laden,S,35,15,,,advance,500,kn", "none of m, nm"),
        ("laden,S,35,15,,,advance,5e2,m", "plain number"),
        ("laden,S,35,15,,,advance,-5,m", "plain number"),
        ("laden,S,35,15,,,advance,,m", "no value"),
        ("laden,S,,15,,,advance,500,m", "rudder_deg is needed"),
        ("laden,left,35,15,,,advance,500,m", "neither port nor starboard"),
        ("laden,,35,15,,,advance,500,m", "side is needed"),
        (",S,35,15,,,advance,500,m", "set is needed"),
        (",,,,,,advance,500,m", "set and side are needed"),
        ("laden,S,35,15,,,time,90,s", "at_deg is needed"),
        ("laden,S,35,15,,,course_change,600,m", "at_deg is needed"),
        ("laden,S,35,15,,,loa,182,m", "belongs to the ship"),
        ("laden,,,,,,colour,1,m", "is none of"),
        ("laden,,,,,,lengths_are,mine,", "is none of"),
        (",,,,,,propeller_count,1.5,", "whole number"),
        ("laden,S,35,15,,,advance,500,m,9", "cells"),
    ],
)
def test_a_line_that_could_mean_anything_is_refused(line: str, says: str) -> None:
    reading = read_trials_csv((HEADER + ",,,,,,loa,182,m\n" + line + "\n").encode())
    assert reading.report[1].understood is None
    assert says in (reading.report[1].problem or "")
    assert reading.report[1].line == 3
    # A refused line leaves nothing behind.
    assert reading.request["ship"] == {"loa_m": 182.0}
    assert all(set(one) <= {"loading", "circles"} for one in reading.request["sets"])


def test_a_number_given_twice_is_refused_the_second_time() -> None:
    reading = read_trials_csv(
        (HEADER + "a,S,35,15,,,advance,500,m\na,S,35,15,,,advance,3,L\n").encode()
    )
    assert "already given" in (reading.report[1].problem or "")


def test_a_header_without_what_is_needed_is_refused() -> None:
    with pytest.raises(UnreadableFile, match="column named unit"):
        _read("loa,182", header="quantity,value\n")
    with pytest.raises(UnreadableFile, match="has 2"):
        _read("loa,182,m,m", header="quantity,value,unit,unit\n")
    with pytest.raises(UnknownFormat, match="Not a file of trial data"):
        read_trials_csv(b"hello\n")
    with pytest.raises(UnreadableFile, match="None of the lines"):
        _read(",,,,,,loa,?,m")


def test_what_is_not_read_and_what_is_missing_is_said() -> None:
    reading = read_trials_csv(b"set;quantity;value;unit;remark\nladen;depth;20;m;x\n")
    assert reading.notes[0].startswith("semicolon separated")
    assert "not read: remark" in reading.notes
    assert any("loa_m of the ship is not in the file" in note for note in reading.notes)
    assert any("draught_aft_m of set 'laden'" in note for note in reading.notes)


@given(st.lists(st.text(max_size=12), min_size=1, max_size=12))
def test_any_line_is_understood_or_refused(cells: list[str]) -> None:
    """No line breaks the reader; each is reported once, with its reason or what it says."""
    text = ",".join(cell.replace('"', "").replace("\x00", "") for cell in cells)
    body = f"{HEADER},,,,,,loa,182,m\n{text}\n".encode("utf-8", "replace")
    for row in read_trials_csv(body).report:
        assert (row.understood is None) != (row.problem is None)
    assert len(COLUMNS) == 9
