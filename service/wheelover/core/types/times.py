"""When she is where on the planned track."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class PieceTime:
    """When she comes to a piece of the track and how fast she goes along it over the ground.

    ``from_m`` is where the piece begins on its leg. Without a time ``reason`` says why there is
    none; ``note`` says what is assumed of one.
    """

    from_m: float
    start_s: float | None = None
    speed_m_per_s: float | None = None
    reason: str | None = None
    note: str | None = None

    def at_s(self, along_m: float) -> float | None:
        """Return when she is a distance along, counted as ``from_m`` is; None if not known."""
        if self.start_s is None or self.speed_m_per_s is None:
            return None
        return self.start_s + (along_m - self.from_m) / self.speed_m_per_s
