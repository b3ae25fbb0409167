"""``wheelover verify``: whether log, record and revisions of a store are what their hashes say."""

import argparse
import sys

from wheelover.core.errors import WheeloverError
from wheelover.settings import SETTINGS, setting

ALTERED = 1
WRONG_USE = 2
REFUSED = 3

_EPILOG = """\
A chain of hashes does not show that its end was cut off: give the heads that were noted elsewhere.
Every file of a revision carries one ("Audit log ends at VESSEL:NUMBER:HASH"), and so does every
parcel. Exit codes: 0 nothing was altered; 1 something was, and each is named; 2 wrong use; 3 the
database cannot be opened."""


def add_to(commands: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add the command and its options."""
    run = commands.add_parser(
        "verify",
        help="hold audit log, record and revisions against their hashes",
        epilog=_EPILOG,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    run.add_argument("--database", default=setting("database"), help=SETTINGS["database"].help)
    run.add_argument(
        "--head",
        action="append",
        default=[],
        metavar="VESSEL:NUMBER:HASH",
        help="an end of a chain noted elsewhere; may be given several times",
    )
    run.set_defaults(run=run_it)


def run_it(chosen: argparse.Namespace) -> int:
    """Run the command and return its exit code."""
    from wheelover.store import open_store  # noqa: PLC0415  --help need not wait for it
    from wheelover.store.audit import Head  # noqa: PLC0415
    from wheelover.usecases.audit import verify  # noqa: PLC0415

    heads = []
    for text in chosen.head:
        vessel_id, _, rest = text.partition(":")
        number, _, digest = rest.partition(":")
        if not (vessel_id and number.isdigit() and len(digest) == 64):
            sys.stderr.write(f"wheelover verify: --head {text!r} is not VESSEL:NUMBER:HASH\n")
            return WRONG_USE
        heads.append(Head(vessel_id=vessel_id, number=int(number), hash=digest))
    try:
        store = open_store(chosen.database)
    except WheeloverError as error:
        sys.stderr.write(f"wheelover verify: {error}\n")
        return REFUSED
    try:
        found = verify(store, tuple(heads))
    finally:
        store.close()
    for head in found.heads:
        sys.stdout.write(f"head {head.vessel_id}:{head.number}:{head.hash}\n")
    sys.stdout.write(
        f"{found.entry_count} entries, {found.event_count} events, {found.note_count} notes, "
        f"{found.revision_count} revisions: "
        f"{'nothing was altered' if not found.faults else f'{len(found.faults)} faults'}\n"
    )
    for fault in found.faults:
        sys.stdout.write(f"{fault}\n")
    return ALTERED if found.faults else 0
