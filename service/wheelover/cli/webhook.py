"""``wheelover webhook``: where other systems hear of changes. Set on this machine only."""

import argparse
import sys

from wheelover.core.errors import WheeloverError
from wheelover.settings import SETTINGS, setting

REFUSED = 3


def add_to(commands: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add the command and its options."""
    run = commands.add_parser("webhook", help="tell another system of changes")
    run.add_argument("--database", default=setting("database"), help=SETTINGS["database"].help)
    acts = run.add_subparsers(dest="act", required=True)
    added = acts.add_parser("add", help="keep an address; its signing secret is printed once")
    added.add_argument("url", help="http:// or https:// address; no redirect is followed")
    added.add_argument("--vessel", default="own", help="whose changes")
    added.add_argument("--kind", action="append", default=[], help="as plan.approved; none for all")
    acts.add_parser("list", help="show addresses, how far they have heard, and the last attempts")
    rotated = acts.add_parser("rotate", help="sign with a new secret, which is printed once")
    rotated.add_argument("id", help="of the webhook")
    for act, words in (("off", "tell an address nothing more"), ("on", "go on telling it")):
        switched = acts.add_parser(act, help=words)
        switched.add_argument("id", help="of the webhook")
    run.set_defaults(run=run_it)


def run_it(chosen: argparse.Namespace) -> int:
    """Run the command and return its exit code."""
    from wheelover.store import open_store  # noqa: PLC0415
    from wheelover.usecases import webhooks  # noqa: PLC0415
    from wheelover.usecases.clock import now_utc  # noqa: PLC0415  --help need not wait for it

    try:
        store = open_store(chosen.database)
    except WheeloverError as error:
        sys.stderr.write(f"wheelover webhook: {error}\n")
        return REFUSED
    try:
        if chosen.act == "add":
            kinds = tuple(chosen.kind)
            row = webhooks.add_webhook(store, chosen.url, chosen.vessel, kinds, now_utc())
            sys.stdout.write(f"{row.id} tells {row.url}\nsigning secret: {row.secret}\n")
        elif chosen.act == "rotate":
            row = webhooks.rotate_webhook(store, chosen.id, now_utc())
            sys.stdout.write(f"{row.id} tells {row.url}\nsigning secret: {row.secret}\n")
        elif chosen.act == "list":
            for row in webhooks.webhooks_listed(store):
                state = "on" if row.active else "off"
                state = "secret lost: rotate it" if row.secret is None else state
                sys.stdout.write(f"{row.id} {state} {row.url} heard up to {row.sent_number}\n")
                for one in webhooks.deliveries_listed(store, row.id, 5, None)[0]:
                    sys.stdout.write(
                        f"  {one.at_utc} entry {one.entry_number} attempt {one.attempt}: "
                        f"{one.outcome} {one.status or ''} {one.detail}\n"
                    )
        else:
            row = webhooks.switch_webhook(
                store, chosen.id, active=chosen.act == "on", now_utc=now_utc()
            )
            sys.stdout.write(f"{row.id} is {chosen.act}\n")
    except WheeloverError as error:
        sys.stderr.write(f"wheelover webhook: {error}\n")
        return REFUSED
    finally:
        store.close()
    return 0
