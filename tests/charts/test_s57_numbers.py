"""Numbers of classes and attributes, against the tables that GDAL carries (by pyogrio)."""

import csv
import importlib.resources

import pytest

from wheelover.charts.s57_numbers import attributes, classes
from wheelover.charts.s57_tables import KEPT


def table(name: str) -> list[dict[str, str]]:
    text = (importlib.resources.files("pyogrio") / "gdal_data" / name).read_text("utf-8")
    rows = [row for row in csv.DictReader(text.splitlines()) if row["Acronym"]]
    # Above are numbers of other catalogues, of inland waters among them.
    return [row for row in rows if 0 < int(row["Code"]) < 500]


def test_classes_have_their_numbers() -> None:
    assert classes() == {int(row["Code"]): row["Acronym"] for row in table("s57objectclasses.csv")}
    assert set(classes().values()) >= KEPT


def test_attributes_have_their_numbers_and_kinds() -> None:
    assert attributes() == {
        int(row["Code"]): (row["Acronym"], row["Attributetype"])
        for row in table("s57attributes.csv")
    }


@pytest.mark.parametrize(
    ("number", "acronym"),
    # IHO S-57 appendix A, from memory.
    [
        (42, "DEPARE"),
        (71, "LNDARE"),
        (86, "OBSTRN"),
        (129, "SOUNDG"),
        (153, "UWTROC"),
        (159, "WRECKS"),
    ],
)
def test_numbers_that_are_known_by_heart(number: int, acronym: str) -> None:
    assert classes()[number] == acronym
