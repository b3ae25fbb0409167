"""Alternative routes that stand beside the selected one."""

from dataclasses import dataclass

from wheelover.core.types.route import Route


@dataclass(frozen=True, slots=True, kw_only=True)
class Alternative:
    """A route that could be sailed instead. It is laid and drawn, and checked once selected."""

    id: str
    route: Route
    remark: str | None = None
