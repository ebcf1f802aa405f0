"""A page is sent and seen here as it is for the work that follows a procedure."""

from tests.treatment.conftest import see, send

__all__ = ["see", "send"]
