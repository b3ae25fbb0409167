"""A small typed client of the API, for other systems.

::

    with Client("http://127.0.0.1:8765") as client:
        kept = client.keep_plan({"route": ..., "ship": ...})
        revision = client.offer(kept.id, by={"name": "A. Berg", "rank": "second officer"})
        record = client.record(kept.id, revision["number"])
        client.decide(record, "approve", by={"name": "R. Holm", "rank": "master"}, reasons=[...])

Requests that change something carry an ``Idempotency-Key`` and are sent again after a lost answer
or a busy service, so that nothing is made twice. Every error of the service is a
:class:`ProblemError`. Answers are typed in ``types``, which is made from the service's own
description (``python -m tests.client.make_types``).
"""

from wheelover.client.link import Kept, ProblemChange, ProblemError, ProblemFault
from wheelover.client.parcels import Parcels
from wheelover.client.plans import Plans
from wheelover.client.review import Review
from wheelover.client.sailing import Sailing

__all__ = ["Client", "Kept", "ProblemChange", "ProblemError", "ProblemFault"]


class Client(Plans, Review, Sailing, Parcels):
    """The service at an address: plans, review, the plan under way, and parcels."""
