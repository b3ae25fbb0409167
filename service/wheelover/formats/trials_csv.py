"""Trial data in separated text: a number a line, as they are copied from pilot card and poster.

The header names the columns ``quantity``, ``value`` and ``unit``, and where they are needed
``set``, ``side``, ``rudder_deg``, ``speed_kn``, ``at_deg`` and ``depth_m``::

    set,side,rudder_deg,speed_kn,at_deg,quantity,value,unit
    ,,,,,loa,182.5,m
    laden,,,,,draught_fore,11.2,m
    laden,starboard,35,15.2,,advance,0.31,NM
    laden,starboard,35,15.2,90,time,1:25,min:s
    laden,starboard,10,15.2,10,first_overshoot,6,deg

What a line says is one of ``QUANTITIES``. A line without a set is about the ship; ``at_deg`` is the
change of heading (of a zig-zag and an initial turning that of the rudder where it is empty) or of
course. What could be read in two ways is refused, never guessed: a number has its unit.
"""

import math
import re
from dataclasses import dataclass, field
from typing import Any

from wheelover.core.errors import Fault, UnreadableFile
from wheelover.core.units import NM_M, kn_from_m_per_s
from wheelover.formats.csv_table import SEPARATORS, Row, separated_rows
from wheelover.formats.positions import NotUnderstood

COLUMNS = (
    "set",
    "side",
    "rudder_deg",
    "speed_kn",
    "at_deg",
    "depth_m",
    "quantity",
    "value",
    "unit",
)
_NEEDED = ("quantity", "value", "unit")
_NUMBER = re.compile(r"[0-9]{1,9}(\.[0-9]{1,12})?", re.ASCII)
_CLOCK = re.compile(r"([0-9]{1,3}):([0-5][0-9](?:\.[0-9]+)?)", re.ASCII)
_MOST_TEXT = 200

_LENGTHS = {"m": 1.0, "nm": NM_M, "cables": NM_M / 10.0, "ft": 0.3048}
_TIMES = {"s": 1.0, "min": 60.0}
_SPEEDS = {"kn": 1.0, "m/s": float(kn_from_m_per_s(1.0))}
_UNITS: dict[str, dict[str, float]] = {
    "m": _LENGTHS,
    "s": _TIMES,
    "kn": _SPEEDS,
    "deg": {"deg": 1.0},
    "deg_per_s": {"deg/s": 1.0},
    "m2": {"m2": 1.0},
}
_OF_SHIP = {
    "loa": ("loa_m", "m"),
    "lpp": ("lpp_m", "m"),
    "beam": ("beam_m", "m"),
    "draught_fore": ("draught_fore_m", "m"),
    "draught_aft": ("draught_aft_m", "m"),
    "speed": ("speed_kn", "kn"),
    "rudder_area": ("rudder_area_m2", "m2"),
    "max_rudder": ("max_rudder_deg", "deg"),
    "rudder_rate": ("rudder_rate_deg_per_s", "deg_per_s"),
    "helm_delay": ("helm_delay_s", "s"),
}
_OF_SHIP_PLAIN = ("block_coefficient", "propeller_count")
_OF_SET = {
    "draught_fore": ("draught_fore_m", "m"),
    "draught_aft": ("draught_aft_m", "m"),
    "depth": ("depth_m", "m"),
    "reference_from_bow": ("reference_from_bow_m", "m"),
}
_OF_CIRCLE = ("advance", "transfer", "tactical_diameter", "final_diameter")
_OF_ROUND = {"time": ("time_s", "s"), "speed": ("speed_kn", "kn")}
_OF_ZIG_ZAG = ("first_overshoot", "second_overshoot")
_OF_DISTANCE = {
    "initial_turning": ("initial_turnings", "heading_change_deg"),
    "course_change": ("course_changes", "change_deg"),
}
QUANTITIES = (
    *("name", *_OF_SHIP, *_OF_SHIP_PLAIN, "depth", "reference_from_bow", "lengths_are"),
    *(*_OF_CIRCLE, "time", *_OF_ZIG_ZAG, *_OF_DISTANCE, "stopping_full_astern"),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class TrialRow:
    """One line of the file. ``understood`` is None when it was not, and ``problem`` says why."""

    line: int
    raw: str
    understood: str | None = None
    problem: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class TrialsReading:
    """A file of trial data: the request for a fit that it makes, and every line beside it."""

    request: dict[str, Any]
    report: tuple[TrialRow, ...]
    notes: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Line:
    """The cells of a line by the names of their columns."""

    cells: dict[str, str]

    def __getitem__(self, name: str) -> str:
        """Return a cell, empty where there is none."""
        return self.cells.get(name, "")

    def number(self, name: str) -> float:
        """Return a plain number of a cell, which must be there."""
        if not self[name]:
            raise NotUnderstood(f"{name} is needed with {self['quantity']}")
        return _plain(self[name], name)

    @property
    def side(self) -> str:
        """Return the side, which must be there."""
        side = {"p": "port", "s": "starboard"}.get(self["side"].lower(), self["side"].lower())
        if side not in ("port", "starboard"):
            raise NotUnderstood(f"side {self['side'][:20]!r} is neither port nor starboard")
        return side

    def in_unit(self, wanted: str) -> float:
        """Return the value of the line in a unit."""
        unit, clock = self["unit"].lower(), _CLOCK.fullmatch(self["value"])
        if wanted == "s" and clock and unit in ("min:s", "min"):
            return 60.0 * float(clock.group(1)) + float(clock.group(2))
        factors = _UNITS[wanted]
        if unit not in factors:
            raise NotUnderstood(
                f"unit {self['unit'][:20]!r} of {self['quantity']} is none of {', '.join(factors)}"
            )
        return round(_plain(self["value"], "value") * factors[unit], 9)


@dataclass(slots=True)
class _Made:
    """The request as far as it is made; every trial is found again by what it is a trial of."""

    ship: dict[str, Any] = field(default_factory=dict)
    sets: dict[str, dict[str, Any]] = field(default_factory=dict)

    def set_of(self, line: _Line) -> dict[str, Any]:
        """Return the set that a line belongs to."""
        name = line["set"][:_MOST_TEXT]
        if not name:
            raise NotUnderstood(f"set is needed with {line['quantity']}")
        return self.sets.setdefault(name, {"loading": name})

    def trial(self, line: _Line, group: str, key: dict[str, Any]) -> dict[str, Any]:
        """Return the trial of a set with a key, a new one where there is none yet."""
        trials: list[dict[str, Any]] = self.set_of(line).setdefault(group, [])
        if line["depth_m"]:
            key = {**key, "depth_m": line.number("depth_m")}
        for one in trials:
            if {name: one.get(name) for name in (*key, "depth_m")} == {"depth_m": None, **key}:
                return one
        trials.append(dict(key))
        return trials[-1]


def read_trials_csv(body: bytes) -> TrialsReading:
    """Return a file of trial data as the request for a fit.

    Parameters
    ----------
    body : bytes
        UTF-8 text, separated by comma, semicolon or tab, as the head of this module says.

    Raises
    ------
    UnknownFormat
        When it is no table at all.
    UnreadableFile
        When the header lacks a column that is needed, or no line was understood.
    """
    _, separator, rows = separated_rows(
        body,
        "Not a file of trial data. It begins: {start}. Read is CSV with a header line: "
        f"{', '.join(COLUMNS)}.",
    )
    columns = tuple(cell.strip().lower() for cell in rows[0][2])
    _refuse_header(columns, rows[0][0])
    made = _Made()
    report = tuple(_read_row(made, columns, row) for row in rows[1:])
    if not any(row.understood for row in report):
        faults = tuple(
            Fault(line=row.line, message=f"{row.problem}: {row.raw[:80]!r}") for row in report
        )
        raise UnreadableFile("None of the lines was understood.", faults)
    return TrialsReading(
        request={"ship": made.ship, "sets": list(made.sets.values())},
        report=report,
        notes=_notes(made, columns, SEPARATORS[separator]),
    )


def _refuse_header(columns: tuple[str, ...], line: int) -> None:
    """Refuse a header that lacks a column or names one twice."""
    for name in COLUMNS:
        count = columns.count(name)
        if count > 1 or (count == 0 and name in _NEEDED):
            message = f"the header needs one column named {name}; it has {count}"
            raise UnreadableFile(f"{message}.", (Fault(line=line, message=message),))


def _read_row(made: _Made, columns: tuple[str, ...], row: Row) -> TrialRow:
    """Read one line into the request."""
    number, raw, cells = row
    line = _Line(cells={name: cell.strip() for name, cell in zip(columns, cells, strict=False)})
    try:
        if len(cells) > len(columns):
            raise NotUnderstood(f"it has {len(cells)} cells and the header {len(columns)}")
        understood = _read_line(made, line)
    except NotUnderstood as reason:
        return TrialRow(line=number, raw=raw, problem=str(reason))
    return TrialRow(line=number, raw=raw, understood=understood)


def _read_line(made: _Made, line: _Line) -> str:
    """Read what a line says into the request, and return it in words."""
    quantity = line["quantity"].lower()
    if quantity not in QUANTITIES:
        raise NotUnderstood(
            f"quantity {line['quantity'][:40]!r} is none of {', '.join(QUANTITIES)}"
        )
    if not line["value"]:
        raise NotUnderstood(f"{quantity} has no value")
    if quantity == "stopping_full_astern":
        return _stop(made, line)
    if quantity == "lengths_are":
        kind = _length_kind(line["value"])
        return _keep(made.set_of(line), quantity, kind, line["set"])
    if line["side"]:
        return _trial(made, line, quantity)
    return _about(made, line, quantity)


def _about(made: _Made, line: _Line, quantity: str) -> str:
    """Read a line about the ship or about a set."""
    where = line["set"]
    if where and quantity in _OF_SET:
        member, unit = _OF_SET[quantity]
        value = line.in_unit(unit)
        return _keep(made.set_of(line), member, value, where)
    if where:
        raise NotUnderstood(f"side is needed with {quantity} of a set")
    if quantity == "name":
        return _keep(made.ship, "name", line["value"][:_MOST_TEXT], "ship")
    if quantity in _OF_SHIP_PLAIN:
        plain = _plain(line["value"], quantity)
        whole = quantity == "propeller_count"
        if whole and plain != math.floor(plain):
            raise NotUnderstood(f"{quantity} {line['value'][:20]} is not a whole number")
        return _keep(made.ship, quantity, int(plain) if whole else plain, "ship")
    if quantity in _OF_SHIP:
        member, unit = _OF_SHIP[quantity]
        return _keep(made.ship, member, line.in_unit(unit), "ship")
    raise NotUnderstood(f"set and side are needed with {quantity}")


def _trial(made: _Made, line: _Line, quantity: str) -> str:
    """Read a line about a trial."""
    key = {
        "side": line.side,
        "rudder_deg": line.number("rudder_deg"),
        "speed_kn": line.number("speed_kn"),
    }
    what = f"{line['set']}, {key['side']}, rudder {key['rudder_deg']:g}"
    if quantity in _OF_CIRCLE:
        member, value = _distance(line, quantity)
        return _keep(made.trial(line, "circles", key), member, value, what)
    if quantity in _OF_ROUND:
        return _round(made, line, key, what)
    at_deg = line.number("at_deg") if line["at_deg"] else key["rudder_deg"]
    if quantity in _OF_ZIG_ZAG:
        value = line.in_unit("deg")
        trial = made.trial(line, "zig_zags", {**key, "heading_change_deg": at_deg})
        return _keep(trial, f"{quantity}_deg", value, what)
    if quantity in _OF_DISTANCE:
        group, name = _OF_DISTANCE[quantity]
        if quantity == "course_change":
            at_deg = line.number("at_deg")
        member, value = _distance(line, "distance")
        return _keep(made.trial(line, group, {**key, name: at_deg}), member, value, what)
    raise NotUnderstood(f"{quantity} belongs to the ship or to a set, not to a side")


def _round(made: _Made, line: _Line, key: dict[str, Any], what: str) -> str:
    """Read a time or a speed at a change of heading of a circle."""
    at_deg = line.number("at_deg")
    member, unit = _OF_ROUND[line["quantity"].lower()]
    value = line.in_unit(unit)
    points = made.trial(line, "circles", key).setdefault("points", [])
    for point in points:
        if point["heading_change_deg"] == at_deg:
            return _keep(point, member, value, f"{what}, at {at_deg:g}")
    points.append({"heading_change_deg": at_deg})
    return _keep(points[-1], member, value, f"{what}, at {at_deg:g}")


def _stop(made: _Made, line: _Line) -> str:
    """Read the track reach of a full-astern stop."""
    member, value = _distance(line, "track_reach")
    stop = {"order": "full astern", "speed_kn": line.number("speed_kn"), member: value}
    made.set_of(line).setdefault("stoppings", []).append(stop)
    return f"{line['set']}: full astern, {member} {value:g}"


def _distance(line: _Line, name: str) -> tuple[str, float]:
    """Return the member that a distance is, in metres or in ship lengths, and its value."""
    if line["unit"].lower() in ("l", "lengths"):
        return f"{name}_lengths", _plain(line["value"], "value")
    return f"{name}_m", line.in_unit("m")


def _keep(where: dict[str, Any], member: str, value: Any, what: str) -> str:
    """Keep a value that is not there yet, and return it in words."""
    twin = {"_m": "_lengths", "_lengths": "_m"}
    others = [member[: -len(end)] + twin[end] for end in twin if member.endswith(end)]
    for one in (member, *others):
        if one in where:
            raise NotUnderstood(f"{what}: {one} is already given as {where[one]}")
    where[member] = value
    shown = f"{value:g}" if isinstance(value, float) else value
    return f"{what}: {member} {shown}"


def _length_kind(text: str) -> str:
    """Return which length lengths are counted in."""
    kinds = {"overall": "overall", "loa": "overall", "lpp": "between_perpendiculars"}
    kinds["between_perpendiculars"] = "between_perpendiculars"
    if text.lower() not in kinds:
        raise NotUnderstood(f"lengths_are {text[:40]!r} is none of {', '.join(kinds)}")
    return kinds[text.lower()]


def _plain(text: str, name: str) -> float:
    """Return a plain decimal number."""
    if not _NUMBER.fullmatch(text):
        raise NotUnderstood(f"{name} {text[:40]!r} is not a plain number, like 12.5")
    return float(text)


def _notes(made: _Made, columns: tuple[str, ...], separator: str) -> tuple[str, ...]:
    """Return what is left to be said of the whole file."""
    notes = [f"{separator} separated, UTF-8, columns from the header line"]
    unread = [name for name in columns if name not in COLUMNS]
    if unread:
        notes.append(f"not read: {', '.join(name[:40] for name in unread)}")
    notes.extend(
        f"{name} of the ship is not in the file; a fit needs it"
        for name in ("name", "loa_m")
        if name not in made.ship
    )
    notes.extend(
        f"{name} of set {label!r} is not in the file; a fit needs it"
        for label, one in made.sets.items()
        for name in ("draught_fore_m", "draught_aft_m")
        if name not in one
    )
    return tuple(notes)
