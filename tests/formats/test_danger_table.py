"""Dangers in separated text."""

import pytest

from wheelover.core.errors import UnreadableFile
from wheelover.formats.danger_table import read_dangers


def test_rows_become_dangers_and_bad_rows_are_told() -> None:
    reading = read_dangers(
        b"id,name,latitude,longitude,kind,depth_m,position_uncertainty_m,remark\n"
        b"a,Gat Rock,47 06.0 N,030 01.0 W,rock,-1.5,20,x\n"
        b"b,,47 61.0 N,030 01.0 W,wreck,,,\n"
        b",,47 07.0 N,030 02.0 W,,12.3,,\n"
        b"a,,47 08.0 N,030 02.0 W,,12.3,,\n"
        b"c,,47 08.0 N,030 02.0 W,,deep,,\n"
    )
    good = [row.feature for row in reading.rows if row.feature]
    assert [one["properties"] for one in good] == [
        {
            "id": "a",
            "name": "Gat Rock",
            "kind": "rock",
            "depth_m": -1.5,
            "position_uncertainty_m": 20.0,
        },
        {"id": "line 4", "depth_m": 12.3},
    ]
    assert good[0]["geometry"]["coordinates"] == pytest.approx([-30.016666667, 47.1])
    assert [(row.line, row.problem) for row in reading.rows if row.problem] == [
        (3, "latitude: minutes 61.0, must be under 60"),
        (5, "id 'a' is already that of line 2"),
        (6, "depth_m 'deep' is not a plain number with a decimal point"),
    ]
    assert "columns not used: remark" in reading.notes


def test_a_file_without_a_good_row_is_refused_with_its_lines() -> None:
    with pytest.raises(UnreadableFile) as caught:
        read_dangers(b"latitude,longitude\nx,y\n91 N,0 E\n")
    assert [fault.line for fault in caught.value.faults] == [2, 3]
