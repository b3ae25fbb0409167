"""Whether the service is alive."""

from fastapi import APIRouter

router = APIRouter(tags=["health"])


@router.get("/healthz", summary="Alive")
def healthz() -> dict[str, str]:
    """Return that the process answers. It says nothing of any plan."""
    return {"status": "alive"}
