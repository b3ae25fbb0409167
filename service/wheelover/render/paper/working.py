"""The lines of the working sheet: formula, numbers put in as printed, result.

Every line is computed from the numbers that it prints, so that whoever puts them into a pocket
calculator gets what stands there. What carries on carries two digits more than the answer; the
answer is rounded once. Beside it stands what the plan says, which was computed with whole numbers
on the ellipsoid.
"""

import math
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

from wheelover.render.exports.stamp import Document
from wheelover.render.paper.words import METHODS

CARRIED = 4
"""Decimals of miles that are carried on; the answer has two."""

ANSWER = 2


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """One line. ``answer`` is the result rounded to what is set, ``plan`` what the plan says.

    ``put_in`` is arithmetic with + - x / ( ) tan sin, angles in degrees.
    """

    name: str
    formula: str
    put_in: str
    result: str
    unit: str
    answer: str | None = None
    plan: str | None = None

    @property
    def text(self) -> str:
        """Return the line as it is printed."""
        end = "" if self.answer is None else f" -> {self.answer} {self.unit}"
        return f"{self.name} = {self.formula} = {self.put_in} = {self.result} {self.unit}{end}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Working:
    """The working of one method: lines to be done by hand, and what is told beside them."""

    method: str
    lines: tuple[Line, ...]
    told: tuple[str, ...] = ()


def half_up(value: float, decimals: int) -> str:
    """Return a number rounded as by hand: a half goes up.

    Examples
    --------
    >>> half_up(0.29365, 4), half_up(0.305, 2), half_up(-0.29365, 4)
    ('0.2937', '0.31', '-0.2937')
    """
    scale = 10**decimals
    steps = math.floor(abs(value) * scale + 0.5 + 1e-9)
    return f"{math.copysign(steps / scale, value) + 0.0:.{decimals}f}"


def at_least(value: float, least: int, most: int = 4) -> str:
    """Return a number as given, with at least and at most so many decimals.

    Examples
    --------
    >>> at_least(0.5, 2), at_least(0.625, 2), at_least(12.0, 1)
    ('0.50', '0.625', '12.0')
    """
    text = half_up(value, most)
    while text.endswith("0") and len(text) - text.index(".") - 1 > least:
        text = text[:-1]
    return text


def workings(turn: Document, ship: Document) -> tuple[Working, ...]:
    """Return the working of every method of a turn, and of the line across its wheel-over.

    Parameters
    ----------
    turn : dict
        The turn, of the plan.
    ship : dict
        The ship of the request; her tables are looked up there.
    """
    rows = {row["method"]: row for row in turn["wheel_overs"]}
    made = [
        _one(rows["geometric"], geometric(turn, rows["geometric"])),
        _one(rows["rule_of_thumb"], thumb(turn, rows["rule_of_thumb"])),
        _one(rows["advance_transfer"], table_lines(turn, rows["advance_transfer"], ship)),
        _simulated(rows["simulated"]),
    ]
    return (*made, *across(turn))


def _one(row: Document, lines: Iterator[Line]) -> Working:
    """Return the working of a method, or why there is none."""
    method = METHODS[row["method"]]
    if row["status"] != "computed":
        return Working(method=method, lines=(), told=(f"not computed: {row['reason']}",))
    return Working(
        method=method, lines=tuple(lines), told=("; ".join(row["notes"]),) if row["notes"] else ()
    )


def _simulated(row: Document) -> Working:
    """Return what is told of the simulation, which nobody can do by hand."""
    if row["status"] != "computed":
        return Working(method="SIM", lines=(), told=(f"not computed: {row['reason']}",))
    told = ("; ".join(("not to be checked by hand", *row["working"], *row["notes"])),)
    return Working(method="SIM", lines=(), told=told)


def _change(turn: Document) -> str:
    """Return the change of course as it is put in."""
    return half_up(abs(turn["course_change_deg"]), 2)


def _plan(row: Document) -> str:
    """Return the plan's own distance beside that of the hand."""
    return f"{half_up(row['distance_nm'], CARRIED)} NM"


def _reach(row: Document) -> Line:
    """Return the reach in miles."""
    reach = half_up(row["reach_m"], 1)
    result = half_up(float(reach) / 1852.0, CARRIED)
    return Line(name="reach", formula="m / 1852", put_in=f"{reach} / 1852", result=result,
                unit="NM")  # fmt: skip


def geometric(turn: Document, row: Document) -> Iterator[Line]:
    """Yield the lines of the arc's tangent and the reach, and of the rate of turn."""
    radius, change = at_least(turn["radius_nm"], 2), _change(turn)
    tangent = half_up(float(radius) * math.tan(math.radians(float(change) / 2.0)), CARRIED)
    yield Line(name="tangent", formula="R tan(D / 2)", put_in=f"{radius} x tan({change} / 2)",
               result=tangent, unit="NM")  # fmt: skip
    reach = _reach(row)
    yield reach
    total = float(tangent) + float(reach.result)
    yield Line(name="WO", formula="tangent + reach", put_in=f"{tangent} + {reach.result}",
               result=half_up(total, CARRIED), unit="NM", answer=half_up(total, ANSWER),
               plan=_plan(row))  # fmt: skip
    if turn["speed_kn"] is not None:
        speed = at_least(turn["speed_kn"], 1)
        rate = half_up(57.296 * float(speed) / (60.0 * float(radius)), 1)
        yield Line(name="rate", formula="57.296 V / (60 R)",
                   put_in=f"57.296 x {speed} / (60 x {radius})", result=rate,
                   unit="deg/min")  # fmt: skip


def thumb(turn: Document, row: Document) -> Iterator[Line]:
    """Yield the lines of the rule of thumb: speed over radius, half the run laid back."""
    speed, radius = at_least(turn["speed_kn"], 1), at_least(turn["radius_nm"], 2)
    change = _change(turn)
    rate = half_up(float(speed) / float(radius), 3)
    yield Line(name="rate", formula="V / R", put_in=f"{speed} / {radius}", result=rate,
               unit="deg/min")  # fmt: skip
    time = half_up(float(change) / float(rate), CARRIED)
    yield Line(name="time", formula="D / rate", put_in=f"{change} / {rate}", result=time,
               unit="min")  # fmt: skip
    run = half_up(float(speed) * float(time) / 60.0, CARRIED)
    yield Line(name="run", formula="V x time / 60", put_in=f"{speed} x {time} / 60", result=run,
               unit="NM")  # fmt: skip
    reach = _reach(row)
    yield reach
    total = float(run) / 2.0 + float(reach.result)
    yield Line(name="WO", formula="run / 2 + reach", put_in=f"{run} / 2 + {reach.result}",
               result=half_up(total, CARRIED), unit="NM", answer=half_up(total, ANSWER),
               plan=_plan(row))  # fmt: skip


def table_lines(turn: Document, row: Document, ship: Document) -> Iterator[Line]:
    """Yield the lines of advance and transfer out of the ship's table."""
    used, change = row["table"], _change(turn)
    found = table_of(used, ship)
    advance, transfer = half_up(used["advance_m"], 2), half_up(used["transfer_m"], 2)
    lines = () if found is None else tuple(_between(found, float(change), used))
    yield from lines
    if lines:
        advance, transfer = (one.result for one in lines)
    back = float(advance) - float(transfer) / math.tan(math.radians(float(change)))
    metres = half_up(back, 1)
    yield Line(name="WO", formula="advance - transfer / tan D",
               put_in=f"{advance} - {transfer} / tan({change})", result=metres,
               unit="m")  # fmt: skip
    measured_m = None if found is None else found.get("reference_from_bow_m")
    if measured_m is not None and ship.get("loa_m") is not None:
        loa, measured = at_least(ship["loa_m"], 1), at_least(measured_m, 1)
        shifted = half_up(float(metres) + float(loa) / 2.0 - float(measured), 1)
        yield Line(name="WO of midships", formula="WO + LOA / 2 - measured point from bow",
                   put_in=f"{metres} + {loa} / 2 - {measured}", result=shifted,
                   unit="m")  # fmt: skip
        metres = shifted
    miles = float(metres) / 1852.0
    yield Line(name="WO", formula="m / 1852", put_in=f"{metres} / 1852",
               result=half_up(miles, CARRIED), unit="NM", answer=half_up(miles, ANSWER),
               plan=_plan(row))  # fmt: skip


def table_of(used: Document, ship: Document) -> Document | None:
    """Return the ship's table that a wheel-over was read out of, None where it cannot be told."""
    same = ("rudder_deg", "speed_kn", "loading", "side", "source")
    found: list[Document] = [
        one
        for one in ship.get("turn_tables") or []
        if all(one.get(member) == used[member] for member in same)
    ]
    return found[0] if len(found) == 1 else None


def _between(table: Document, change_deg: float, used: Document) -> Iterator[Line]:
    """Yield advance and transfer between the two rows of the table about the change of course."""
    ordered = sorted(table["rows"], key=lambda one: float(one["heading_change_deg"]))
    pairs = pairwise(ordered)
    pair = next(
        (two for two in pairs if two[0]["heading_change_deg"] <= change_deg
         <= two[1]["heading_change_deg"]), None)  # fmt: skip
    if pair is None:
        return
    low, high = (at_least(one["heading_change_deg"], 1, 2) for one in pair)
    for name in ("advance", "transfer"):
        first, last = (at_least(one[f"{name}_m"], 1, 2) for one in pair)
        change = half_up(change_deg, 2)
        share = (change_deg - float(low)) / (float(high) - float(low))
        value = float(first) + (float(last) - float(first)) * share
        yield Line(
            name=name, formula="between the rows",
            put_in=f"{first} + ({last} - {first}) x ({change} - {low}) / ({high} - {low})",
            result=half_up(value, 2), unit="m", plan=f"{half_up(used[f'{name}_m'], 2)} m",
        )  # fmt: skip


def across(turn: Document) -> tuple[Working, ...]:
    """Return how far the line through the planned wheel-over lies from the new course."""
    line, distance = turn["wheel_over_line"], turn["planned"]["distance_nm"]
    if line is None or distance is None:
        return ()
    change, carried = _change(turn), half_up(distance, CARRIED)
    offset = float(carried) * math.sin(math.radians(float(change)))
    made = Line(
        name="offset", formula="WO sin D", put_in=f"{carried} x sin({change})",
        result=half_up(offset, CARRIED), unit="NM", answer=half_up(offset, ANSWER),
        plan=f"{half_up(abs(line['offset_nm']), CARRIED)} NM to {line['offset_side']}",
    )  # fmt: skip
    return (Working(method="line", lines=(made,),
                    told=("The wheel-over line is parallel to the new course.",)),)  # fmt: skip
