"""Where plans, ships and hazard sets are kept: SQLAlchemy Core, one file per aggregate."""

from wheelover.store.faults import StoreRefused
from wheelover.store.open import Store, open_store
from wheelover.store.unit import Unit

__all__ = ["Store", "StoreRefused", "Unit", "open_store"]
