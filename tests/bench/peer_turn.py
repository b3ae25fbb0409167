"""The orders of a turn by ``solve_ivp`` of scipy: the model's equations written out once more.

In still water and without a delay. Each integration is stopped by an event: the helm where she has
turned as far as wanted, the counter-helm where her rate comes to nothing. Both are kept with their
dense output, so that a look at another moment integrates only what follows it.
"""

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np
from scipy.integrate import solve_ivp
from scipy.optimize import brentq

from wheelover.core.manoeuvre.model import ShipModel

_LONG_S = 36_000.0


@dataclass(frozen=True, kw_only=True)
class PeerAnswer:
    """Times of counter-helm, midships and steady; where she is then; and the distance."""

    counter_s: float
    midships_s: float
    steady_s: float
    ahead_m: float
    starboard_m: float
    distance_to_new_course_m: float


@dataclass(frozen=True, kw_only=True)
class PeerTurn:
    """A turn to starboard; ``rate_rad_per_s`` is that of the rudder, infinite when at once."""

    model: ShipModel
    change_rad: float
    helm_rad: float
    back_rad: float
    rate_rad_per_s: float
    method: str
    tolerance: float

    def slopes(self, angle: float, rate: float, whole: bool) -> Callable[[float, Any], list[float]]:
        """Return the slopes of a phase that starts at no time with the rudder at an angle."""
        m = self.model

        def found(time_s: float, y: Any) -> list[float]:
            psi, r, u = y[0], y[1], y[2]
            turning = r * m.length_m / u
            helm = m.gain_ratio * (angle + rate * time_s)
            if m.race_exponent:
                helm *= (m.speed_m_per_s / u) ** m.race_exponent
            moved = [
                r,
                (u / m.length_m) ** 2 / m.lag_ratio * (helm - turning - m.cubic_ratio * turning**3),
                (m.speed_recovery * (m.speed_m_per_s**2 - u**2) - m.speed_loss * (u * turning) ** 2)
                / m.length_m,
            ]
            if whole:
                drift = y[3] if m.drift_lag else m.drift_lengths * turning
                slide = u / m.length_m / m.drift_lag if m.drift_lag else 0.0
                moved += [slide * (m.drift_lengths * turning - drift)]
                moved += [u * math.cos(psi - drift), u * math.sin(psi - drift)]
            return moved

        return found

    def run(self, state: Any, phase: tuple[float, float], span_s: float, **more: Any) -> Any:
        """Return the solution of a phase of rudder angle and rate."""
        return solve_ivp(
            self.slopes(*phase, whole=len(state) > 3),
            (0.0, span_s),
            state,
            method=self.method,
            rtol=self.tolerance,
            atol=self.tolerance,
            **more,
        )

    def sent(self, state: Any, angle: float, to: float, event: Any) -> list[tuple[float, Any]]:
        """Return starts and solutions of the rudder sent to an angle and held, up to an event."""
        event.terminal = True
        parts, start = [], 0.0
        if angle != to and math.isfinite(self.rate_rad_per_s):
            rate = math.copysign(self.rate_rad_per_s, to - angle)
            span = (to - angle) / rate
            part = self.run(state, (angle, rate), span, events=event, dense_output=True)
            parts.append((0.0, part))
            if part.status == 1:
                return parts
            state, start = part.y[:, -1], span
        part = self.run(state, (to, 0.0), _LONG_S, events=event, dense_output=True)
        return [*parts, (start, part)]

    def rudder_rad(self, angle: float, to: float, after_s: float) -> float:
        """Return where the rudder is so long after it was sent from one angle to another."""
        if math.isinf(self.rate_rad_per_s):
            return to
        turned = min(self.rate_rad_per_s * after_s, abs(to - angle))
        return angle + math.copysign(turned, to - angle)

    def amidships(self, state: Any, angle: float) -> tuple[Any, float]:
        """Return the state when the rudder is amidships, and how long it took."""
        span = abs(angle) / self.rate_rad_per_s
        if span == 0.0:
            return state, 0.0
        run = self.run(state, (angle, -math.copysign(self.rate_rad_per_s, angle)), span)
        return run.y[:, -1], span

    def solve(self) -> PeerAnswer:
        """Return the orders, by nested bracketed roots, and where she is once steady."""

        def turned(_: float, y: Any) -> float:
            return float(y[0] - self.change_rad)

        first = np.array([0.0, 0.0, self.model.speed_m_per_s])
        held = self.sent(first, 0.0, self.helm_rad, turned)
        latest = held[-1][0] + held[-1][1].t[-1]
        near = {"xtol": max(self.tolerance, 1e-11), "rtol": 1e-14}

        def steadied(counter_s: float) -> tuple[float, float, Any]:
            over = _at(held, counter_s)
            angle = self.rudder_rad(0.0, self.helm_rad, counter_s)
            back = self.sent(over, angle, -self.back_rad, lambda _, y: float(y[1]))

            def tail(while_s: float) -> tuple[Any, float]:
                state = _at(back, while_s)
                return self.amidships(state, self.rudder_rad(angle, -self.back_rad, while_s))

            most = back[-1][0] + back[-1][1].t[-1]
            while_s = most
            if math.isfinite(self.rate_rad_per_s):
                while_s = float(brentq(lambda one: tail(one)[0][1], 0.0, most, **near))
            state, span = tail(while_s)
            return while_s, span, state

        counter_s = float(
            brentq(lambda one: steadied(one)[2][0] - self.change_rad, 1e-3, latest, **near)
        )
        while_s, span_s, _ = steadied(counter_s)
        return self._answer(counter_s, while_s, span_s)

    def _answer(self, counter_s: float, while_s: float, span_s: float) -> PeerAnswer:
        """Run the orders once more with drift and place."""
        state = np.array([0.0, 0.0, self.model.speed_m_per_s, 0.0, 0.0, 0.0])
        angle = 0.0
        for to, for_s in ((self.helm_rad, counter_s), (-self.back_rad, while_s), (0.0, span_s)):
            ramp = min(abs(to - angle) / self.rate_rad_per_s, for_s)
            if ramp > 0.0:
                rate = math.copysign(self.rate_rad_per_s, to - angle)
                state = self.run(state, (angle, rate), ramp).y[:, -1]
            angle = self.rudder_rad(angle, to, for_s)
            if for_s > ramp:
                state = self.run(state, (angle, 0.0), for_s - ramp).y[:, -1]
        return PeerAnswer(
            counter_s=counter_s,
            midships_s=counter_s + while_s,
            steady_s=counter_s + while_s + span_s,
            ahead_m=float(state[4]),
            starboard_m=float(state[5]),
            distance_to_new_course_m=float(state[4] - state[5] / math.tan(self.change_rad)),
        )


def _at(parts: list[tuple[float, Any]], after_s: float) -> Any:
    """Return the state at a time in parts that follow each other."""
    start, part = [one for one in parts if one[0] <= after_s][-1]
    return part.sol(after_s - start)
