"""A brake for pages that anyone may open: so many tries a minute from one address."""

from __future__ import annotations

import time

from django.core.cache import cache
from django.http import HttpRequest


def too_many(request: HttpRequest, what: str, *, per_minute: int) -> bool:
    """Count one try of this address and tell whether it was one too many in this minute."""
    address = request.META.get("REMOTE_ADDR", "")
    key = f"tries:{what}:{address}:{int(time.time() // 60)}"
    cache.add(key, 0, timeout=120)
    try:
        return cache.incr(key) > per_minute
    except ValueError:  # the entry expired between the two calls
        return False
