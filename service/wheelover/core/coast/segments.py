"""The track, or a run of the ship, in short chords: for a rough look at what is near."""

from dataclasses import dataclass

import numpy as np

from wheelover.core.arrays import Floats, Ints, numbered
from wheelover.core.clearance.of_arcs import places_on_arcs
from wheelover.core.clearance.of_points import TrackLines
from wheelover.core.geo.ellipsoid import earth_centred_m
from wheelover.core.geo.nearest import dot

_SAGITTA_M = 10.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Segments:
    """Short stretches of the pieces of a track as chords, in columns of shape (s,).

    Positions of both ends have shape (s, 2); ``bow_m`` bounds how far the track leaves the chord.
    """

    piece: Ints
    lat_deg: Floats
    lon_deg: Floats
    bow_m: Floats

    def rows(self, which: Ints) -> "Segments":
        """Return the segments of the given numbers."""
        return Segments(
            piece=self.piece[which],
            lat_deg=self.lat_deg[which],
            lon_deg=self.lon_deg[which],
            bow_m=self.bow_m[which],
        )


def segments_of(track: TrackLines) -> Segments:
    """Return the pieces of a track in short chords: stretches of legs, and parts of arcs.

    Parameters
    ----------
    track : TrackLines
        The pieces.
    """
    legs, arcs = track.stretches, track.arcs
    step_deg = np.degrees(2.0 * np.arccos(1.0 - np.minimum(_SAGITTA_M / arcs.radius_m, 0.1)))
    parts = np.maximum(np.ceil(np.abs(arcs.sweep_deg) / step_deg), 1.0).astype(np.int64)
    arc, place = numbered(parts + 1)
    whole_m = np.radians(np.abs(arcs.sweep_deg)) * arcs.radius_m
    lat, lon = places_on_arcs(arcs.rows(arc), whole_m[arc] * (place / parts[arc]))
    first = np.flatnonzero(arc[:-1] == arc[1:])
    half_rad = np.radians(np.abs(arcs.sweep_deg) / parts) / 2.0
    sagitta_m = arcs.radius_m * (1.0 - np.cos(half_rad)) * 1.01 + 1.0
    return Segments(
        piece=np.concatenate([legs.piece, track.arc_piece[arc[first]]]),
        lat_deg=np.concatenate([legs.lat_deg, np.stack([lat[first], lat[first + 1]], axis=1)]),
        lon_deg=np.concatenate([legs.lon_deg, np.stack([lon[first], lon[first + 1]], axis=1)]),
        bow_m=np.concatenate([legs.curves.bow_m, sagitta_m[arc[first]]]),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Chords:
    """Segments as chords in space: start, unit vectors along and to starboard, length and bow."""

    start_m: Floats
    along_ratio: Floats
    right_ratio: Floats
    length_m: Floats
    bow_m: Floats

    def look(self, segment: Ints, place_m: Floats) -> tuple[Floats, Floats, Floats]:
        """Return how far places are from chords, along them, and to starboard of them.

        Parameters
        ----------
        segment : ndarray, shape (n,)
            Numbers of the chords.
        place_m : ndarray, shape (n, 3)
            A place for each, earth-centred.
        """
        off_m = place_m - self.start_m[segment]
        along_m = dot(off_m, self.along_ratio[segment])
        right_m = dot(off_m, self.right_ratio[segment])
        beyond_m = along_m - np.clip(along_m, 0.0, self.length_m[segment])
        across_m2 = np.maximum(dot(off_m, off_m) - along_m**2, 0.0)
        return np.sqrt(across_m2 + beyond_m**2), along_m, right_m


def chords_of(segments: Segments) -> Chords:
    """Return segments as chords.

    Parameters
    ----------
    segments : Segments
        The segments.
    """
    start_m = earth_centred_m(segments.lat_deg[:, 0], segments.lon_deg[:, 0])
    end_m = earth_centred_m(segments.lat_deg[:, 1], segments.lon_deg[:, 1])
    length_m = np.linalg.norm(end_m - start_m, axis=1)
    along = (end_m - start_m) / np.maximum(length_m, 1e-9)[:, None]
    right = np.cross(along, start_m)
    right /= np.maximum(np.linalg.norm(right, axis=1), 1e-9)[:, None]
    return Chords(
        start_m=start_m,
        along_ratio=along,
        right_ratio=right,
        length_m=length_m,
        bow_m=segments.bow_m,
    )
