"""Whether the service is alive, and whether it can keep anything."""

from fastapi import Request

from wheelover.api.deps import StoreGiven
from wheelover.api.guarded import guarded
from wheelover.api.openapi import problem_answers
from wheelover.core.errors import Unavailable

router = guarded(tags=["health"])


@router.get("/healthz", summary="Alive")
def healthz() -> dict[str, str]:
    """Return that the process answers. It says nothing of any plan."""
    return {"status": "alive"}


@router.get("/readyz", summary="The store can be reached", responses=problem_answers(503))
def readyz(request: Request, store: StoreGiven) -> dict[str, str]:
    """Return that the store answers, and how it writes; 503 too where no plan can be computed."""
    fault = request.app.state.fault
    if fault is not None:
        raise Unavailable(f"No plan can be computed: {fault}.")
    return {"status": "ready", "store": store.ready()}
