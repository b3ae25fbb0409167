"""How near the track comes to dangers, and what lies inside its cross-track limits."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Literal, overload

import numpy as np

from wheelover.core.arrays import Floats, Ints
from wheelover.core.types.limits import Rule
from wheelover.core.types.route import Position
from wheelover.core.types.track import Side
from wheelover.core.types.when_asked import Places

Whereabouts = Literal["port", "starboard", "ahead", "astern", "crossed"]
LimitSource = Literal["hazard", "leg", "plan", "set"]

SIDES: tuple[Whereabouts, ...] = ("starboard", "port", "ahead", "astern", "crossed")
LIMIT_SOURCES: tuple[LimitSource, ...] = ("hazard", "leg", "plan", "set")


@dataclass(frozen=True, slots=True, kw_only=True)
class Piece:
    """The piece of the planned track that is nearest: a leg or a turn."""

    kind: Literal["leg", "turn"]
    index: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Clearance:
    """How near the planned track comes to one danger.

    ``distance_m`` is the raw geodesic distance; ``clearance_m`` is what is left of it after the
    uncertainty of the danger's position. ``limit_m`` is what is asked for on ``limit_piece``: the
    nearest piece, or, where the danger is inside a limit on any piece, the one where it is worst.
    ``met`` is None where no limit is given.
    """

    hazard_index: int
    hazard_id: str
    distance_m: float
    clearance_m: float
    nearest: Position
    hazard_point: Position
    piece: Piece
    side: Whereabouts
    limit_m: float | None
    limit_source: LimitSource | None
    limit_piece: Piece | None
    met: bool | None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ClearanceRows(Sequence[Clearance]):
    """Rows of clearances in columns of shape (n,), each given out as one ``Clearance``.

    ``side`` and ``limit_source`` number the words of ``SIDES`` and ``LIMIT_SOURCES``; ``piece`` and
    ``limit_piece`` number those of ``pieces``. Where there is no limit ``limit_m`` is nan and the
    numbers are -1. ``met`` is 1, 0, or -1 where nothing is judged. ``nearest`` are the places on
    the track.
    """

    ids: tuple[str, ...]
    pieces: tuple[Piece, ...]
    hazard: Ints
    distance_m: Floats
    clearance_m: Floats
    nearest: Places
    danger_lat_deg: Floats
    danger_lon_deg: Floats
    piece: Ints
    side: Ints
    limit_m: Floats
    limit_source: Ints
    limit_piece: Ints
    met: Ints

    def __len__(self) -> int:
        """Return how many rows there are."""
        return len(self.hazard)

    @overload
    def __getitem__(self, index: int) -> Clearance: ...
    @overload
    def __getitem__(self, index: slice) -> Sequence[Clearance]: ...
    def __getitem__(self, index: int | slice) -> Clearance | Sequence[Clearance]:
        """Return one row, or several."""
        if isinstance(index, slice):
            return [self[row] for row in range(*index.indices(len(self)))]
        hazard = int(self.hazard[index])
        limited = int(self.limit_source[index]) >= 0
        met = int(self.met[index])
        return Clearance(
            hazard_index=hazard,
            hazard_id=self.ids[hazard],
            distance_m=float(self.distance_m[index]),
            clearance_m=float(self.clearance_m[index]),
            nearest=Position(
                lat_deg=float(self.nearest.lat_deg[index]),
                lon_deg=float(self.nearest.lon_deg[index]),
            ),
            hazard_point=Position(
                lat_deg=float(self.danger_lat_deg[index]),
                lon_deg=float(self.danger_lon_deg[index]),
            ),
            piece=self.pieces[self.piece[index]],
            side=SIDES[self.side[index]],
            limit_m=float(self.limit_m[index]) if limited else None,
            limit_source=LIMIT_SOURCES[self.limit_source[index]] if limited else None,
            limit_piece=self.pieces[self.limit_piece[index]] if limited else None,
            met=None if met < 0 else bool(met),
        )


_NO_FLOATS, _NO_INTS = np.empty(0), np.empty(0, dtype=np.int64)

NO_ROWS = ClearanceRows(
    ids=(),
    pieces=(),
    hazard=_NO_INTS,
    distance_m=_NO_FLOATS,
    clearance_m=_NO_FLOATS,
    nearest=Places(lambda: (_NO_FLOATS, _NO_FLOATS)),
    danger_lat_deg=_NO_FLOATS,
    danger_lon_deg=_NO_FLOATS,
    piece=_NO_INTS,
    side=_NO_INTS,
    limit_m=_NO_FLOATS,
    limit_source=_NO_INTS,
    limit_piece=_NO_INTS,
    met=_NO_INTS,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Infringement:
    """A piece of the track on which a danger is not outside its limit.

    ``crossed`` says that the piece lies on the danger. ``limit_source`` is None where no limit is
    given: then the danger lies on the track as far as its position is known. ``rule`` is the rule
    of the limit set that is missed there. Where the danger or the leg asks for less than the set,
    the limit that counts may be kept though that rule is not.
    """

    hazard_index: int
    piece: Piece
    clearance_m: float
    crossed: bool
    limit_m: float
    limit_source: LimitSource | None
    limit_kept: bool = False
    rule: Rule | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class PieceLeast:
    """The danger that matters most to one piece of the track: that with the least margin.

    ``infringed_count`` says how many dangers are inside their limit, or without one on the track.
    """

    piece: Piece
    hazard_index: int
    distance_m: float
    clearance_m: float
    limit_m: float | None
    limit_source: LimitSource | None
    met: bool | None
    infringed_count: int


@dataclass(frozen=True, slots=True, kw_only=True)
class PieceNear:
    """One of the dangers that matter to a piece of the track, at the place nearest to it.

    ``rule`` is the rule of the limit set that counts there, whether or not it is that which limits.
    ``along_m`` is where ``nearest`` lies: on a leg from its first waypoint, on an arc from its
    start. Where it is ``abeam`` the danger is square to the track; else the piece ends before.
    """

    piece: Piece
    hazard_index: int
    distance_m: float
    clearance_m: float
    limit_m: float | None
    limit_source: LimitSource | None
    met: bool | None
    rule: Rule | None
    rule_missed: bool
    side: Whereabouts
    nearest: Position
    hazard_point: Position
    along_m: float
    abeam: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class SideNearest:
    """The nearest danger of those measured to one side of a piece of the track, whatever is asked
    of it.
    """

    piece: Piece
    side: Whereabouts
    hazard_index: int
    clearance_m: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Clearances:
    """How near the track comes to the dangers.

    ``rows`` holds one row for each danger within its limit and uncertainty, or 2 NM, whichever
    is larger: its nearest piece, nearest dangers first. ``infringements`` holds one for each
    danger and piece where the limit that counts there is not kept, also where another piece is
    nearer but has a smaller limit. ``least`` holds the nearest danger of each piece, of the
    dangers within 2 NM or their limit, and ``near`` the few that matter most to each piece with
    every one inside its limit there, but for ``near_left_out`` of them. ``unmeasured`` names the
    pieces whose nearest points could not be found. ``sides`` holds the nearest danger to each side
    of each piece.
    """

    rows: ClearanceRows = NO_ROWS
    infringements: Sequence[Infringement] = ()
    least: Sequence[PieceLeast] = ()
    unmeasured: tuple[Piece, ...] = ()
    near: Sequence[PieceNear] = ()
    near_left_out: Mapping[Piece, int] = field(default_factory=dict)
    sides: Sequence[SideNearest] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Intrusion:
    """A danger inside the cross-track limit of one side of a leg: the nearest, and how many.

    With a ``margin_m`` it lies outside the limit, and nearer to it than what is asked of its class.
    """

    leg_index: int
    side: Side
    hazard_index: int
    clearance_m: float
    limit_m: float
    count: int
    margin_m: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Corridors:
    """The dangers inside the cross-track limits, and the legs whose corridor was not measured."""

    intrusions: tuple[Intrusion, ...] = ()
    unmeasured: tuple[int, ...] = ()


NO_CORRIDORS = Corridors()
