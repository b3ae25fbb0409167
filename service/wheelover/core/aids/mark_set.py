"""Marks with what finds those near a place, and what is known of them in columns."""

import math
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import scipy

from wheelover.core.aids.sight import MADE_TO_BE_SEEN
from wheelover.core.arrays import Bools, Floats, Ints
from wheelover.core.geo.ellipsoid import earth_centred_m
from wheelover.core.types.marks import Mark


@dataclass(frozen=True, eq=False)
class MarkSet:
    """Marks, with what finds those near a place."""

    marks: tuple[Mark, ...]

    @cached_property
    def lat_deg(self) -> Floats:
        """Return their latitudes, shape (n,)."""
        return np.array([one.position.lat_deg for one in self.marks], np.float64)

    @cached_property
    def lon_deg(self) -> Floats:
        """Return their longitudes, shape (n,)."""
        return np.array([one.position.lon_deg for one in self.marks], np.float64)

    @cached_property
    def places_m(self) -> Floats:
        """Return them as earth-centred vectors, shape (n, 3)."""
        return earth_centred_m(self.lat_deg, self.lon_deg)

    @cached_property
    def _tree(self) -> "scipy.spatial.cKDTree":
        """Return them in a tree of straight distances through the earth."""
        return scipy.spatial.cKDTree(self.places_m)

    @cached_property
    def by_id(self) -> Mapping[str, int]:
        """Return the number of each mark by its id."""
        return {one.id: number for number, one in enumerate(self.marks)}

    @cached_property
    def height_m(self) -> Floats:
        """Return their heights, nan where not known, shape (n,)."""
        return np.array([_number(one.height_m) for one in self.marks], np.float64)

    @cached_property
    def nominal_range_nm(self) -> Floats:
        """Return the nominal ranges of their lights, nan where not known, shape (n,)."""
        return np.array([_number(one.nominal_range_nm) for one in self.marks], np.float64)

    @cached_property
    def unsure_m(self) -> Floats:
        """Return what their places may be out by, zero where nobody says, shape (n,)."""
        return np.array([one.position_uncertainty_m or 0.0 for one in self.marks], np.float64)

    @cached_property
    def lit(self) -> Bools:
        """Return which are lit, shape (n,)."""
        return np.array([one.lit for one in self.marks], np.bool_)

    @cached_property
    def floating(self) -> Bools:
        """Return which float, shape (n,)."""
        return np.array([one.floating for one in self.marks], np.bool_)

    @cached_property
    def conspicuous(self) -> tuple[Floats, Floats]:
        """Return whether they are conspicuous to the eye and to radar: 1, 0, nan for not known."""
        eye = [_number(one.visually_conspicuous) for one in self.marks]
        radar = [_number(one.radar_conspicuous) for one in self.marks]
        return np.array(eye, np.float64), np.array(radar, np.float64)

    @cached_property
    def seen_by_day(self) -> Bools:
        """Return which are known to be conspicuous by day, or made to be seen, shape (n,)."""
        found = [
            one.kind in MADE_TO_BE_SEEN
            if one.visually_conspicuous is None
            else one.visually_conspicuous
            for one in self.marks
        ]
        return np.array(found, np.bool_)

    def nearest(self, lat_deg: Floats, lon_deg: Floats, most: int, within_m: float) -> Ints:
        """Return the numbers of the marks nearest to each place, shape (m, k), nearest first.

        Where there are fewer, the rest of a row holds the number of marks.

        Parameters
        ----------
        lat_deg, lon_deg : ndarray, shape (m,)
            The places.
        most : int
            How many marks at most, k.
        within_m : float
            How far off they may lie, straight through the earth.
        """
        most = min(most, len(self.marks))
        places = earth_centred_m(lat_deg, lon_deg)
        _, found = self._tree.query(places, k=np.arange(1, most + 1), distance_upper_bound=within_m)
        return np.asarray(found, np.int64)

    def near(self, lat_deg: Floats, lon_deg: Floats, within_m: float) -> list[Ints]:
        """Return for each place the numbers of the marks near it, in their order.

        Parameters
        ----------
        lat_deg, lon_deg : ndarray, shape (m,)
            The places.
        within_m : float
            How far off they may lie, straight through the earth.
        """
        if not self.marks or not lat_deg.size:
            return [np.empty(0, np.int64) for _ in range(lat_deg.size)]
        places = earth_centred_m(lat_deg, lon_deg)
        found = self._tree.query_ball_point(places, within_m, return_sorted=True)
        return [np.array(one, np.int64) for one in found]


NO_MARKS = MarkSet(())


def _number(value: float | None) -> float:
    """Return a number, nan where there is none."""
    return math.nan if value is None else float(value)
