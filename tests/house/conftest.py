"""What tests of the house share with those of access and of the API."""

from tests.access.conftest import house
from tests.api.conftest import client

__all__ = ["client", "house"]
