"""What is done, and where, if the plan has to be given up."""

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal, get_args

from wheelover.core.types.monitoring import OnTrack
from wheelover.core.types.route import Route

if TYPE_CHECKING:
    from wheelover.core.types.plan import Plan

ContingencyKind = Literal["anchorage", "alternative", "refuge", "berth"]
"""Where she goes instead."""

CONTINGENCY_KINDS: tuple[ContingencyKind, ...] = get_args(ContingencyKind)


@dataclass(frozen=True, slots=True, kw_only=True)
class Contingency:
    """A route of its own for when the plan is given up.

    ``from_id`` names the leg from which she leaves, by the waypoint that the leg leads to.
    """

    id: str
    kind: ContingencyKind
    from_id: str
    route: Route
    remark: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Leaving:
    """The turn from the leg of the planned track onto the first leg of a contingency.

    ``plan`` is that of the leg she leaves, from ``begins`` on, the turn at the place of leaving,
    which is its first, and what follows; None where there is none, and then ``reason`` says why.
    ``wheel_over_m`` is how far the wheel-over lies before the place of leaving, and ``decide`` the
    place of the track by which she must have decided. ``late_m`` is how far the wheel-over lies
    before ``begins``: it is past before she steadies on the leg; None where it is not.
    ``on_from_m`` is from where on, along the first leg of ``plan``, she runs on past where the
    planned track turns away; None where that track covers all of it.
    """

    begins: OnTrack | None = None
    plan: "Plan | None" = None
    reason: str | None = None
    wheel_over_m: float | None = None
    decide: OnTrack | None = None
    late_m: float | None = None
    on_from_m: float | None = None
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class CheckedContingency:
    """A contingency with the plan of its route, checked as the main one is.

    ``leaves`` is the place of the main track nearest to where its route begins, on the leg that it
    leaves from, and ``off_m`` how far that is; None where no such leg is there. ``past_eta_ids``
    are waypoints whose ETA is not later than she leaves: its plan is made without those. ``notes``
    say what of the main plan counts for it and what does not. ``leaving`` is the turn there.
    """

    contingency: Contingency
    plan: "Plan"
    leaving: Leaving
    leaves: OnTrack | None = None
    off_m: float | None = None
    past_eta_ids: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()
