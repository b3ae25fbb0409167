"""``wheelover parcel``: parcels as files, for machines without a browser."""

import argparse
import json
import sys
from pathlib import Path
from typing import Any

from wheelover.core.errors import WheeloverError
from wheelover.settings import setting

WRONG_USE = 2
REFUSED = 4
NOT_WRITTEN = 5

_MOST_BYTES = 51 * 1024 * 1024
_EPILOG = """\
Exit codes: 0 done; 2 wrong use; 3 the database must not be opened; 4 refused, with the reason;
5 a file could not be read or written. The service may run meanwhile: both use one database."""


def add_to(commands: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add the command and what it does."""
    parcel = commands.add_parser(
        "parcel",
        help="carry plans between ship and shore in files",
        epilog=_EPILOG,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    acts = parcel.add_subparsers(dest="act", required=True)
    card = acts.add_parser("card", help="print the card of this installation, for the other side")
    card.add_argument("--name", help="name it so from now on")
    card.add_argument("--side", choices=("ship", "shore"), help="on which side it is")
    card.set_defaults(act_on=_card)
    pair = acts.add_parser("pair", help="pin the key of a card whose fingerprint was read by voice")
    pair.add_argument("card", type=Path, help="the card of the other side, a JSON file")
    pair.add_argument("--fingerprint", required=True, help="as the other side read it, quoted")
    pair.add_argument("--vessel", help="the vessel here to which its plans belong")
    _add_person(pair, required=True)
    pair.set_defaults(act_on=_pair)
    make = acts.add_parser("make", help="make the next parcel for a peer")
    make.add_argument("peer", help="id of the peer")
    make.add_argument("out", type=Path, help="file to write; it must not be there yet")
    make.add_argument("--plan", action="append", default=[], help="a plan that goes from now on")
    make.add_argument("--since", choices=("last", "acknowledged", "nothing"), default="last")
    _add_person(make, required=False)
    make.set_defaults(act_on=_make)
    take = acts.add_parser("take", help="take a parcel")
    take.add_argument("file", type=Path, help="the parcel")
    take.set_defaults(act_on=_take)
    show = acts.add_parser("show", help="say what is in a parcel, and change nothing")
    show.add_argument("file", type=Path, help="the parcel")
    show.set_defaults(act_on=_show)
    push = acts.add_parser("push", help="bring parcels to an address of the peer, or stop it")
    push.add_argument("peer", help="id of the peer")
    where = push.add_mutually_exclusive_group(required=True)
    where.add_argument("--to", help="https://host of the peer's service")
    where.add_argument("--off", action="store_true", help="bring nothing any more")
    push.add_argument("--key-file", type=Path, help="file with the key that its service asks for")
    push.set_defaults(act_on=_push)
    parcel.set_defaults(run=run_it)


def _add_person(act: argparse.ArgumentParser, *, required: bool) -> None:
    """Add who does it."""
    act.add_argument("--by", required=required, help="name of who does it")
    act.add_argument("--rank", required=required, help="rank of who does it")


def run_it(chosen: argparse.Namespace) -> int:
    """Run the command and return its exit code."""
    from wheelover.store import StoreRefused, open_store  # noqa: PLC0415  slow to import

    try:
        store = open_store(setting("database"))
    except StoreRefused as error:
        sys.stderr.write(f"wheelover parcel: {error}\n")
        return 3
    try:
        document = chosen.act_on(store, chosen)
    except WheeloverError as error:
        sys.stderr.write(f"wheelover parcel: {error}\n")
        return REFUSED
    except OSError as error:
        sys.stderr.write(f"{error.filename}: {error.strerror or error}\n")
        return NOT_WRITTEN
    finally:
        store.close()
    sys.stdout.write(json.dumps(document, ensure_ascii=False, indent=2) + "\n")
    return 0


def _read(path: Path) -> bytes:
    """Return a file's bytes, no more than a parcel may have."""
    with path.open("rb") as file:
        return file.read(_MOST_BYTES)


def _person(chosen: argparse.Namespace) -> Any:
    """Return who does it, as typed."""
    from wheelover.usecases.people import LOCAL_ACTOR, By, named_or_nobody  # noqa: PLC0415

    by = None if not chosen.by else By(name=chosen.by, rank=chosen.rank or "")
    return named_or_nobody(LOCAL_ACTOR, by)


def _now() -> str:
    """Return the time as it is stored."""
    from wheelover.usecases.clock import now_utc  # noqa: PLC0415

    return now_utc()


def _card(store: Any, chosen: argparse.Namespace) -> Any:
    """Return the card of this installation."""
    from wheelover.usecases.parcels import identity  # noqa: PLC0415

    own = identity.identity(store, _now())
    if chosen.name or chosen.side:
        name, side = chosen.name or own.row.name, chosen.side or own.row.side
        own = identity.name_identity(store, name, side, _now())
    return identity.identity_document(own)


def _pair(store: Any, chosen: argparse.Namespace) -> Any:
    """Pair with the installation of a card."""
    from wheelover.api.body import read_model  # noqa: PLC0415
    from wheelover.api.schemas.parcels import PeerIn  # noqa: PLC0415
    from wheelover.formats.strict_json import read_json  # noqa: PLC0415
    from wheelover.usecases.canonical import canonical  # noqa: PLC0415
    from wheelover.usecases.parcels.pairing import pair  # noqa: PLC0415

    card = read_json(_read(chosen.card))
    typed = {"fingerprint": chosen.fingerprint}
    given, _ = read_model(canonical({**card, **typed} if isinstance(card, dict) else card), PeerIn)
    return pair(store, given.card(), given.fingerprint, chosen.vessel, _person(chosen), _now())


def _make(store: Any, chosen: argparse.Namespace) -> Any:
    """Make a parcel and write it; one that cannot be written was not made."""
    from wheelover.usecases.parcels.making import make_parcel  # noqa: PLC0415
    from wheelover.usecases.parcels.pairing import out_document  # noqa: PLC0415

    with chosen.out.open("xb") as file:
        try:
            person = _person(chosen)
            made = make_parcel(store, chosen.peer, tuple(chosen.plan), chosen.since, person, _now())
        except WheeloverError:
            chosen.out.unlink()
            raise
        file.write(made.body)
    return out_document(made.row)


def _take(store: Any, chosen: argparse.Namespace) -> Any:
    """Take a parcel."""
    from wheelover.api.schemas.revision import check_revision  # noqa: PLC0415
    from wheelover.usecases.parcels.taking import take_parcel  # noqa: PLC0415

    return take_parcel(store, _read(chosen.file), check_revision, _now())


def _show(store: Any, chosen: argparse.Namespace) -> Any:
    """Return what a parcel says of itself, once its signature holds."""
    from wheelover.usecases.parcels.taking import parcel_shown  # noqa: PLC0415

    return parcel_shown(store, _read(chosen.file), _now())


def _push(store: Any, chosen: argparse.Namespace) -> Any:
    """Set or take away the address of a peer."""
    from wheelover.usecases.parcels.delivery import set_address  # noqa: PLC0415
    from wheelover.usecases.parcels.pairing import peer_of  # noqa: PLC0415

    key = None if chosen.key_file is None else chosen.key_file.read_text("utf-8").strip()
    set_address(store, chosen.peer, chosen.to, None if chosen.off else key, _now())
    peer = peer_of(store, chosen.peer)
    return {"peer": chosen.peer, "name": peer["name"], "push_to": chosen.to}
