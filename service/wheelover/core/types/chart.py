"""What the track is checked against: the loaded dangers."""

from dataclasses import dataclass

from wheelover.core.arrays import Bools, Floats


@dataclass(frozen=True, slots=True, kw_only=True)
class PointHazards:
    """Point dangers in columns, all of one length n.

    ``min_clearance_m`` is nan where the danger has no limit of its own and ``depth_m`` is nan
    where its depth is not known; nowhere else may a nan stand. Where ``uncertainty_given`` is
    false nobody stated the uncertainty of the position: zero stands there, which is an assumption.
    """

    ids: tuple[str, ...]
    names: tuple[str | None, ...]
    kinds: tuple[str | None, ...]
    lat_deg: Floats
    lon_deg: Floats
    depth_m: Floats
    position_uncertainty_m: Floats
    uncertainty_given: Bools
    min_clearance_m: Floats

    @property
    def count(self) -> int:
        """Return how many point dangers there are."""
        return len(self.ids)


@dataclass(frozen=True, slots=True, kw_only=True)
class NotMeasured:
    """A danger in a shape whose clearance is not computed."""

    id: str
    name: str | None
    geometry: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Chart:
    """The dangers of one plan.

    ``loaded`` is false when nobody gave any dangers: then nothing was checked, and an empty
    answer must not read as open water. ``not_computed`` names the dangers that were given in a
    shape whose clearance is not computed. ``sources`` says where they came from.
    """

    loaded: bool
    points: PointHazards
    not_computed: tuple[NotMeasured, ...] = ()
    sources: tuple[str, ...] = ()
