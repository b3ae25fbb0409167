"""What wheelover writes into XML route files beside what their standards have room for.

The names are ours. Inputs of a plan that a standard cannot hold are read back from here; results
are written for whoever opens the file, and never read: the plan is computed again.
"""

import re
import zlib
from dataclasses import dataclass

from wheelover.core.errors import UnreadableFile
from wheelover.core.types.route import LegWishes, LineKind, TurnWishes, WheelOverChoice
from wheelover.formats.more_wishes import asked
from wheelover.formats.positions import NotUnderstood
from wheelover.formats.reading import (
    CLASS_COLUMN,
    LINES,
    WATER_COLUMN,
    current,
    in_range,
    leg_limits,
    turn_wishes,
    wheel_over_choice,
    zone,
)
from wheelover.formats.strict_json import read_json
from wheelover.formats.xml_tree import SPACE, Element, Name

NAMESPACE = "urn:x-wheelover:plan:1"
PREFIX = "wo"
MANUFACTURER = "wheelover"
PLAN: Name = (NAMESPACE, "plan")
WAYPOINT: Name = (NAMESPACE, "waypoint")
WHEEL_OVER: Name = (NAMESPACE, "wheel_over")
SCHEDULE: Name = (NAMESPACE, "schedule")

_NUMBER = re.compile(r"[+-]?(\d{1,9}(\.\d{0,40})?|\.\d{1,40})", re.ASCII)


def words_mark(name: str, text: str) -> str:
    """Return the mark of words of ours: their place, and a check sum of them.

    Examples
    --------
    The digits of the published check value of CRC-32:

    >>> words_mark("legInfo", "123456789")
    'legInfo:cbf43926'
    """
    return f"{name}:{zlib.crc32(text.encode('utf-8')):08x}"


def decimal(text: str, what: str) -> float:
    """Return a decimal number of an XML file.

    Digits, a sign and a decimal point only, as XML Schema has it for decimals: no exponent, and
    nothing that says it is not a number.

    Raises
    ------
    NotUnderstood
        For any other text.

    Examples
    --------
    >>> decimal(" -12.50 ", "lat")
    -12.5
    """
    kept = text.strip(SPACE)
    if not _NUMBER.fullmatch(kept):
        raise NotUnderstood(f"{what} {kept[:40]!r} is not a decimal number")
    return float(kept) + 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Own:
    """Our own element at a waypoint or route, or none, asked for its attributes."""

    element: Element | None

    @property
    def is_there(self) -> bool:
        """Return whether the file carries one."""
        return self.element is not None

    def text(self, name: str) -> str | None:
        """Return a text; one that XML cannot hold is kept as JSON beside it."""
        if self.element is None:
            return None
        as_json = self.element.attribute(f"{name}_json")
        if as_json is None:
            return self.element.attribute(name)
        try:
            value = read_json(as_json.encode("utf-8"))
        except UnreadableFile as error:
            raise NotUnderstood(f"{MANUFACTURER} extension: {name}_json is not JSON") from error
        if not isinstance(value, str):
            raise NotUnderstood(f"{MANUFACTURER} extension: {name}_json is not a text")
        return value

    def number(self, name: str, member: str | None = None) -> float | None:
        """Return a number in the range of its kind, None when there is none."""
        text = None if self.element is None else self.element.attribute(name)
        if text is None:
            return None
        value = decimal(text, f"{MANUFACTURER} extension: {name}")
        return value if member is None else in_range(member, value)

    def exact(self, name: str, native: float, digits: int) -> float:
        """Return our value where the file's own is that one rounded, else the file's own.

        Another system may have changed the file since; then what its standard says stands.
        """
        ours = self.number(name)
        return ours if ours is not None and round(ours, digits) == native else native

    def wrote(self, name: str, text: str) -> bool:
        """Return whether an attribute or element beside it holds words of ours, unchanged.

        What another system has written there since is theirs.
        """
        marks = None if self.element is None else self.element.attribute("words")
        return words_mark(name, text) in (marks or "").split()

    def displaced(self, into: str) -> tuple[tuple[Name, str], ...]:
        """Return attributes of other systems that ours stand in the place of, by that place."""
        start = f"displaced_{into}_"
        pairs = () if self.element is None else self.element.attributes
        return tuple(
            (("", name[1].removeprefix(start)), text)
            for name, text in pairs
            if name[1].startswith(start)
        )

    def wheel_over(self) -> WheelOverChoice | None:
        """Return the planned wheel-over the file gives, None when it gives none."""
        return wheel_over_choice(
            self.text("wheel_over_method") or "",
            self.number("wheel_over_distance_nm", "wheel_over_distance_nm"),
        )

    def turn(self) -> TurnWishes | None:
        """Return what the file asks of the turn at a waypoint, None when it asks nothing."""
        return turn_wishes(self.text("turn_steering") or "", self._member, self.text)

    def _member(self, name: str) -> float | None:
        """Return a number whose range goes by the name it has in the file."""
        return self.number(name, name)

    def leg(self, line: LineKind | None, port: float | None, starboard: float | None) -> LegWishes:
        """Return the wishes for the leg, with what the file's standard says of it."""
        given = self.text("line")
        if given is not None and given not in LINES:
            raise NotUnderstood(f"{MANUFACTURER} extension: line {given[:40]!r} is not known")
        # A standard's default is always written; whether the navigator gave it, only we know.
        if self.is_there and given is None and line == "rhumb":
            line = None
        set_deg, drift_kn = current("leg", self._member)
        water, by_class = leg_limits(self.text(WATER_COLUMN) or "", self.text(CLASS_COLUMN) or "")
        return LegWishes(
            line=line,
            speed_kn=self.number("speed_kn", "speed_kn"),
            xtd_port_nm=port,
            xtd_starboard_nm=starboard,
            min_clearance_m=self.number("min_clearance_m", "min_clearance_m"),
            set_deg=set_deg,
            drift_kn=drift_kn,
            charted_depth_m=self._member("charted_depth_m"),
            catzoc=zone(self.text("catzoc") or ""),
            channel_width_m=self._member("channel_width_m"),
            water=water,
            min_clearance_by_class=by_class,
            **asked("leg", self.text),
        )


def asks_nothing(leg: LegWishes) -> bool:
    """Return whether wishes for a leg ask for nothing."""
    return leg == LegWishes()
