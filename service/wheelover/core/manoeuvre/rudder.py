"""The rudder: it starts to move a delay after an order, and runs at its rate from where it is."""

import math
from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Rudder:
    """Where the rudder is at a time, where it is going, and how fast it runs.

    ``rate_rad_per_s`` is infinite for a rudder that is where it is ordered at once.
    """

    angle_rad: float
    target_rad: float
    rate_rad_per_s: float

    @property
    def run_rad_per_s(self) -> float:
        """Return the signed rate at which it moves now."""
        if self.angle_rad == self.target_rad:
            return 0.0
        return math.copysign(self.rate_rad_per_s, self.target_rad - self.angle_rad)

    @property
    def left_s(self) -> float:
        """Return the time until it is where it was ordered; infinite when it is there."""
        if self.angle_rad == self.target_rad:
            return math.inf
        return abs(self.target_rad - self.angle_rad) / self.rate_rad_per_s

    def to(self, target_rad: float) -> "Rudder":
        """Return it on its way to another angle, or there at once where it needs no time."""
        at_once = math.isinf(self.rate_rad_per_s)
        return Rudder(
            angle_rad=target_rad if at_once else self.angle_rad,
            target_rad=target_rad,
            rate_rad_per_s=self.rate_rad_per_s,
        )

    def after(self, while_s: float) -> "Rudder":
        """Return it after a while, in which it does not go beyond where it was ordered."""
        if while_s >= self.left_s:
            angle = self.target_rad
        else:
            angle = self.angle_rad + self.run_rad_per_s * while_s
        return Rudder(
            angle_rad=angle, target_rad=self.target_rad, rate_rad_per_s=self.rate_rad_per_s
        )


def amidships(rate_deg_per_s: float | None) -> Rudder:
    """Return a rudder amidships; without a rate it needs no time to move."""
    rate = math.inf if rate_deg_per_s is None else math.radians(rate_deg_per_s)
    return Rudder(angle_rad=0.0, target_rad=0.0, rate_rad_per_s=rate)
