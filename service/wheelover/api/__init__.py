"""The HTTP door: strict on the way in, problem details on the way out."""

from wheelover.api.app import create_app

__all__ = ["create_app"]
