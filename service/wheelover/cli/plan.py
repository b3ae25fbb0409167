"""``wheelover plan``: route file and ship in, ledger on the screen, the plan in a file."""

import argparse
import os
import sys
import tempfile
from pathlib import Path
from typing import TYPE_CHECKING, Any

from wheelover.core.errors import InvalidInput, WheeloverError
from wheelover.formats.strict_json import read_json
from wheelover.render.exports import FORMATS, ExportFile, Stamp, export_file
from wheelover.render.ledger_text import ledger_text
from wheelover.usecases.canonical import json_bytes
from wheelover.usecases.clock import now_utc
from wheelover.usecases.read_route import read_route_file

if TYPE_CHECKING:
    from wheelover.render.paper import Printing
    from wheelover.usecases.plan_route import PlanInputs

WRONG_USE = 2
UNUSABLE = 4
NOT_WRITTEN = 5

_MOST_BYTES = 64 * 1024 * 1024
_SUFFIXES = (".json", *(f".{name}" for name in FORMATS))
_MOST_FAULTS = 20

_EPILOG = """\
Exit codes: 0 the plan was computed, whatever its findings; 2 wrong use; 4 an input file cannot be
used; 5 the plan could not be written. Findings are no error here: read them in the ledger.
A planning aid only: the ship's safety management system, official charts and the master decide."""


class _Unusable(Exception):
    """An input file that cannot be used: which, and why, one line for each fault."""

    def __init__(self, path: Path, lines: list[str]) -> None:
        super().__init__(path)
        self.text = "".join(f"{path}: {line}\n" for line in lines)


def add_to(commands: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add the command and its options."""
    run = commands.add_parser(
        "plan",
        help="compute the plan of a route file and print its ledger",
        epilog=_EPILOG,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    run.add_argument(
        "route", type=Path, help="route file: CSV, GeoJSON, GPX 1.1 or route exchange XML"
    )
    run.add_argument("--ship", type=Path, required=True, help="ship, JSON as the API takes it")
    run.add_argument("--hazards", type=Path, help="dangers, a GeoJSON FeatureCollection")
    run.add_argument(
        "--out", type=Path, help=f"write the plan here, as its suffix says: {', '.join(_SUFFIXES)}"
    )
    run.add_argument("--min-clearance-m", type=float, help="least clearance of the plan, metres")
    run.add_argument("--set-deg", type=float, help="where the current sets, degrees true")
    run.add_argument("--drift-kn", type=float, help="drift of the current, knots")
    run.set_defaults(run=run_it)


def run_it(chosen: argparse.Namespace) -> int:
    """Run the command and return its exit code."""
    wrong = _wrong_use(chosen)
    if wrong is not None:
        sys.stderr.write(f"wheelover plan: {wrong}\n")
        return WRONG_USE
    try:
        reading = _read_route(chosen.route)
        inputs = _inputs(chosen, reading["route"])
        document = _computed(chosen, inputs)
    except _Unusable as error:
        sys.stderr.write(error.text)
        return UNUSABLE
    if chosen.out is not None:
        try:
            warnings = _write(chosen.out, inputs, document)
        except (OSError, WheeloverError) as error:
            sys.stderr.write(f"{chosen.out}: not written: {_said(error)}\n")
            return NOT_WRITTEN
        sys.stderr.write("".join(f"{chosen.out}: {warning}\n" for warning in warnings))
    return _print(ledger_text(document, reading))


def _wrong_use(chosen: argparse.Namespace) -> str | None:
    """Return what is wrong with the options, if anything is."""
    if (chosen.set_deg is None) != (chosen.drift_kn is None):
        return "--set-deg and --drift-kn belong together"
    out = chosen.out
    if out is None:
        return None
    if out.suffix.lower() not in _SUFFIXES:
        return f"--out {out}: the suffix must be one of {', '.join(_SUFFIXES)}"
    given = [one for one in (chosen.route, chosen.ship, chosen.hazards) if one is not None]
    if any(one.resolve() == out.resolve() for one in given):
        return f"--out {out} is one of the files the plan is made from; it is not written over"
    return None


def _bytes_of(path: Path) -> bytes:
    """Return a file's bytes."""
    try:
        if path.stat().st_size > _MOST_BYTES:
            raise _Unusable(path, [f"the file is larger than {_MOST_BYTES // 1024**2} MB"])
        return path.read_bytes()
    except OSError as error:
        raise _Unusable(path, [_said(error)]) from error


def _read_route(path: Path) -> dict[str, Any]:
    """Return the reading of the route file."""
    body = _bytes_of(path)
    try:
        return read_route_file(body, path.name)
    except WheeloverError as error:
        raise _Unusable(path, _lines(error, "")) from error


def _json_of(path: Path) -> Any:
    """Return the JSON value of a file."""
    body = _bytes_of(path)
    try:
        return read_json(body)
    except WheeloverError as error:
        raise _Unusable(path, _lines(error, "")) from error


def _inputs(chosen: argparse.Namespace, route: dict[str, Any]) -> dict[str, Any]:
    """Return the plan request that the files and options make."""
    conditions = {"set_deg": chosen.set_deg, "drift_kn": chosen.drift_kn}
    members = {
        "route": route,
        "ship": _json_of(chosen.ship),
        "hazards": None if chosen.hazards is None else _json_of(chosen.hazards),
        "limits": {"min_clearance_m": chosen.min_clearance_m},
        "conditions": conditions,
    }
    for name in ("limits", "conditions"):
        members[name] = {key: value for key, value in members[name].items() if value is not None}
    return {name: value for name, value in members.items() if value not in (None, {})}


def _computed(chosen: argparse.Namespace, inputs: dict[str, Any]) -> dict[str, Any]:
    """Return the plan of a request; what is wrong with it is said of the file it came from."""
    from wheelover.usecases.plan_route import plan_route  # noqa: PLC0415

    try:
        return plan_route(_made(inputs))
    except InvalidInput as error:
        places = {"ship": chosen.ship, "hazards": chosen.hazards, "route": chosen.route}
        pointers = [fault.pointer or "" for fault in error.faults]
        first = pointers[0].split("/")[1] if pointers and "/" in pointers[0] else "route"
        path = places.get(first) or Path("options")
        raise _Unusable(path, _lines(error, f"/{first}")) from error


def _made(inputs: dict[str, Any]) -> "PlanInputs":
    """Return the inputs of a plan from a request."""
    # The models take half a second to load; --help and wrong use need not wait for them.
    from wheelover.api.body import as_model  # noqa: PLC0415
    from wheelover.api.schemas.plan_request import PlanRequest  # noqa: PLC0415
    from wheelover.usecases.gather import Gathered  # noqa: PLC0415

    return as_model(inputs, PlanRequest).to_core(Gathered(inputs=inputs))


def _lines(error: WheeloverError, prefix: str) -> list[str]:
    """Return what is wrong with a file, one line for each fault, its place first."""
    if not error.faults:
        return [str(error)]
    lines = []
    for fault in error.faults[:_MOST_FAULTS]:
        own = fault.within(prefix)
        place = f"line {own.line}: " if own.line is not None else ""
        place += f"{own.pointer}: " if own.pointer else ""
        lines.append(f"{place}{own.message}")
    more = len(error.faults) - _MOST_FAULTS
    return [*lines, *([f"and {more} more faults"] if more > 0 else [])]


def _said(error: Exception) -> str:
    """Return what an error says, without the path that is said beside it."""
    return (error.strerror or str(error)) if isinstance(error, OSError) else str(error)


def _write(path: Path, inputs: dict[str, Any], document: dict[str, Any]) -> tuple[str, ...]:
    """Write the plan whole or not at all, and return what could not be put into it.

    Raises
    ------
    OSError
        When the file cannot be written; what stood there before still does.
    Conflict
        For a route that cannot stand in that format.
    """
    kind = path.suffix.lower().removeprefix(".")
    if kind == "json":
        made = ExportFile(name=path.name, media_type="application/json", body=json_bytes(document))
    else:
        # The coastline takes as long to load as all else of the command.
        from wheelover.usecases.map_parts import parts_for  # noqa: PLC0415

        made = export_file(
            kind,
            inputs,
            document,
            Stamp(),
            parts=parts_for(kind, inputs),
            printing=_printing(kind, inputs, document),
        )
    handle, name = tempfile.mkstemp(prefix=f".{path.name}.", dir=path.parent)
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(made.body)
        os.chmod(name, 0o666 & ~_umask())
        os.replace(name, path)
    except BaseException:
        Path(name).unlink(missing_ok=True)
        raise
    return made.warnings


def _printing(kind: str, inputs: dict[str, Any], document: dict[str, Any]) -> "Printing | None":
    """Return what paper is printed with; other formats need none of it."""
    if kind != "pdf":
        return None
    from wheelover.usecases.printing import printing_of  # noqa: PLC0415

    return printing_of(_made, inputs, document, now_utc())


def _umask() -> int:
    """Return which permissions new files of this user do without."""
    mask = os.umask(0o077)
    os.umask(mask)
    return mask


def _print(text: str) -> int:
    """Print the ledger; a reader that has seen enough and closed the pipe is no error."""
    try:
        sys.stdout.write(text)
        sys.stdout.flush()
    except BrokenPipeError:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
    return 0
