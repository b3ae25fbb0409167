"""What the reading of charts may use, as the settings say."""

from wheelover.charts.messages import Limits
from wheelover.settings import setting


def limits_from_settings() -> Limits:
    """Return the limits of one import."""
    return Limits(
        memory_mb=int(setting("import_memory_mb")),
        cpu_s=int(setting("import_cpu_s")),
        wall_s=int(setting("import_wall_s")),
    )
