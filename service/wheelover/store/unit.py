"""A unit of work: the aggregates of the store over one transaction."""

from sqlalchemy import Connection

from wheelover.store.accounts import Accounts
from wheelover.store.audit import Audit
from wheelover.store.blobs import Blobs
from wheelover.store.carried import Carried
from wheelover.store.charts import Charts
from wheelover.store.homes import Homes
from wheelover.store.idempotency import PENDING, Idempotency
from wheelover.store.keys import Keys
from wheelover.store.leases import Leases
from wheelover.store.library import Library
from wheelover.store.parcels import Parcels
from wheelover.store.peers import Peers
from wheelover.store.pens import Pens
from wheelover.store.plans import Plans
from wheelover.store.record import Record
from wheelover.store.sealing import Seal
from wheelover.store.sessions import Sessions, Tries
from wheelover.store.threads import Threads
from wheelover.store.uploads import Uploads
from wheelover.store.vessels import Vessels
from wheelover.store.webhooks import Webhooks


class Unit:
    """What one transaction can do. Everything done with one unit is kept together.

    ``store_name`` tells stores of one process apart where it only reads; None where it may change
    what it reads.
    """

    def __init__(self, connection: Connection, seal: Seal, store_name: str | None = None) -> None:
        self.store_name = store_name
        self.blobs = Blobs(connection)
        self.homes = Homes(connection)
        self.library = Library(connection, self.blobs, self.homes)
        self.charts = Charts(connection, self.blobs)
        self.plans = Plans(connection, self.blobs, self.homes)
        self.audit = Audit(connection)
        self.record = Record(connection, self.audit, self.homes)
        self.threads = Threads(connection, self.audit)
        self.vessels = Vessels(connection)
        self.idempotency = Idempotency(connection)
        self.leases = Leases(connection)
        self.webhooks = Webhooks(connection, seal)
        self.pens = Pens(connection)
        self.accounts = Accounts(connection)
        self.sessions = Sessions(connection)
        self.tries = Tries(connection)
        self.keys = Keys(connection)
        self.peers = Peers(connection, seal)
        self.parcels = Parcels(connection)
        self.carried = Carried(connection)
        self.uploads = Uploads(connection)

    def finish(self) -> None:
        """Keep the key of the request that this change is made for, if it came with one."""
        pending = PENDING.get()
        if pending is not None and self.audit.last is not None:
            self.idempotency.note(pending, self.audit.last)
