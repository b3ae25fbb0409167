"""Every fault has its marker, its check and a twin that the check must find out."""

import re
from pathlib import Path

import pytest

import tests.faults
from tests.faults.conftest import marker_of

FILES = sorted((Path(__file__).parents[1] / "faults").glob("test_*.py"))
_TWIN = re.compile(r"found_out|must_not_be_opened")


def test_each_fault_is_listed_with_its_marker(request: pytest.FixtureRequest) -> None:
    listed = re.findall(r"``(fault_f\d\d)``", tests.faults.__doc__ or "")
    assert listed == [marker_of(file) for file in FILES]
    known = {line.partition(":")[0] for line in request.config.getini("markers")}
    assert set(listed) <= known


def test_each_fault_has_a_check_and_a_twin() -> None:
    for file in FILES:
        text = file.read_text()
        names = re.findall(r"^def (test_\w+)", text, re.MULTILINE)
        assert any(map(_TWIN.search, names)), file.name
        assert re.search(r"report\(\s*\"F\d+\"", text), file.name
