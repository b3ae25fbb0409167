"""Whether the service is alive, and whether it can keep anything."""

from wheelover.api.deps import StoreGiven
from wheelover.api.guarded import guarded
from wheelover.api.openapi import problem_answers

router = guarded(tags=["health"])


@router.get("/healthz", summary="Alive")
def healthz() -> dict[str, str]:
    """Return that the process answers. It says nothing of any plan."""
    return {"status": "alive"}


@router.get("/readyz", summary="The store can be reached", responses=problem_answers(503))
def readyz(store: StoreGiven) -> dict[str, str]:
    """Return that the store answers, and how it writes."""
    return {"status": "ready", "store": store.ready()}
