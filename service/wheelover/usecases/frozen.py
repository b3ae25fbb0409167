"""Reading what is frozen: canonical bytes of ours that were held against their digest.

They are read without asking again whether they are strict JSON, which takes ten times longer.
"""

from typing import Any

import orjson

from wheelover.store import Unit
from wheelover.store.plans import RevisionRow

Document = dict[str, Any]


def frozen_document(unit: Unit, row: RevisionRow) -> Document:
    """Return a frozen revision as JSON values.

    Raises
    ------
    Damaged
        For bytes that are not those of its digest.
    """
    document: Document = orjson.loads(unit.plans.document(row))
    return document


def frozen_blob(unit: Unit, sha256: str) -> Document:
    """Return a blob as JSON values.

    Raises
    ------
    NotFound
        For one that is not kept.
    Damaged
        For bytes that are not those of its digest.
    """
    found: Document = orjson.loads(unit.blobs.get(sha256))
    return found
