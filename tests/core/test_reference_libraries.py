"""Legs against reference libraries: geographiclib, and pygeodesy in its exact modes.

pygeodesy's other modes are off by metres near east-west, so they are no reference. Its two exact
ones each fail on some lines (from a latitude of zero, or next to it): only where both agree they
are one.
"""

import math

import pytest
from geographiclib.geodesic import Geodesic
from hypothesis import assume, example, given
from hypothesis import strategies as st
from pygeodesy.elliptic import EllipticError
from pygeodesy.rhumb.aux_ import RhumbAux
from pygeodesy.rhumb.ekx import Rhumb

from wheelover.core.geo import geodesic, rhumb
from wheelover.core.geo.angles import signed_change_deg

LENGTH_M = 1e-6
COURSE_DEG = 1e-9
EXACT = (RhumbAux(exact=True), Rhumb(exact=True))

lats = st.floats(-84.0, 84.0)
lons = st.floats(-180.0, 180.0)


def _agreed(*ends: float) -> tuple[float, float] | None:
    """Return length and course of a rhumb line where both exact modes agree, else None."""
    try:
        one, other = (solver.Inverse(*ends) for solver in EXACT)
    except (EllipticError, ZeroDivisionError):
        return None
    agree = abs(one.s12 - other.s12) < LENGTH_M and math.isfinite(one.s12)
    return (one.s12, one.azi12) if agree else None


@given(lat1=lats, lon1=lons, lat2=lats, lon2=lons)
@example(lat1=60.0, lon1=179.9, lat2=60.0, lon2=-179.9)
@example(lat1=60.0, lon1=10.0, lat2=60.0000001, lon2=12.0)
@example(lat1=-0.5, lon1=20.0, lat2=0.5, lon2=20.0)
@example(lat1=0.0, lon1=-1.0, lat2=0.0, lon2=1.0)
@example(lat1=83.9, lon1=0.0, lat2=84.0, lon2=170.0)
def test_rhumb_lines(lat1: float, lon1: float, lat2: float, lon2: float) -> None:
    span = abs(float(signed_change_deg(lon1, lon2)))
    assume(span < 179.0)
    wanted = _agreed(lat1, lon1, lat2, lon2)
    assume(wanted is not None and wanted[0] > 10.0)
    assert wanted is not None
    course, length = rhumb.inverse(lat1, lon1, lat2, lon2)
    assert float(length[0]) == pytest.approx(wanted[0], abs=2.0 * LENGTH_M)
    # A hundred-millionth of a metre across a short leg is more than the tolerance in degrees.
    slack_deg = math.degrees(1e-8 / wanted[0])
    assert abs(float(signed_change_deg(course[0], wanted[1]))) < COURSE_DEG + slack_deg


@given(lat1=lats, lon1=lons, lat2=lats, lon2=lons)
@example(lat1=60.0, lon1=179.9, lat2=61.0, lon2=-179.9)
@example(lat1=-84.0, lon1=0.0, lat2=84.0, lon2=0.0)
def test_geodesics(lat1: float, lon1: float, lat2: float, lon2: float) -> None:
    wanted = Geodesic.WGS84.Inverse(lat1, lon1, lat2, lon2, Geodesic.ALL)
    assume(10.0 < wanted["s12"] < 1.9e7)
    course, arrival, length = geodesic.inverse(lat1, lon1, lat2, lon2)
    assert float(length[0]) == pytest.approx(wanted["s12"], abs=LENGTH_M)
    slack_deg = math.degrees(1e-8 / min(wanted["s12"], wanted["m12"]))
    for found, name in ((course, "azi1"), (arrival, "azi2")):
        off_deg = abs(float(signed_change_deg(found[0], wanted[name])))
        assert off_deg < COURSE_DEG + slack_deg
