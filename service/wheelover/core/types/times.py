"""When she is where on the planned track."""

from bisect import bisect_left
from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class PieceTime:
    """When she comes to a piece of the track and how fast she goes along it over the ground.

    ``from_m`` is where the piece begins on its leg. Without a time ``reason`` says why there is
    none; ``note`` says what is assumed of one. Where the speed is not the same all along, or she
    stops, ``knots`` are places along the piece with the time at each, in order; two of one place
    are arrival and departure. ``leaves_s`` is when she leaves it, where she stops at its end.
    """

    from_m: float
    start_s: float | None = None
    speed_m_per_s: float | None = None
    reason: str | None = None
    note: str | None = None
    knots: tuple[tuple[float, float], ...] = ()
    leaves_s: float | None = None

    def at_s(self, along_m: float) -> float | None:
        """Return when she is a distance along, counted as ``from_m`` is; None if not known.

        Beyond the ends of the piece she goes on at its mean speed.
        """
        if self.start_s is None or self.speed_m_per_s is None:
            return None
        if self.knots and self.knots[0][0] <= along_m <= self.knots[-1][0]:
            row = max(1, bisect_left(self.knots, along_m, key=lambda one: one[0]))
            (low_m, low_s), (high_m, high_s) = self.knots[row - 1], self.knots[row]
            if high_m == low_m:
                return low_s
            return low_s + (high_s - low_s) * (along_m - low_m) / (high_m - low_m)
        if self.knots and along_m > self.knots[-1][0]:
            return self.knots[-1][1] + (along_m - self.knots[-1][0]) / self.speed_m_per_s
        return self.start_s + (along_m - self.from_m) / self.speed_m_per_s
