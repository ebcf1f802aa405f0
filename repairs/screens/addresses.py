"""Where a request comes from, also behind proxies."""

from __future__ import annotations

import ipaddress

from django.conf import settings
from django.http import HttpRequest

# Whoever is given one address of IPv6 is given 2^64 of them (RFC 6177).
NETWORK_BITS = 64


def address_of(request: HttpRequest) -> str:
    """The address of the visitor: of IPv6 the network, so that one visitor is one address.

    Each proxy adds on the right of X-Forwarded-For who spoke to it; what stands further left than
    the proxies that the house has is what the visitor says, and anyone may say anything.
    """
    told = request.META.get("REMOTE_ADDR", "")
    if settings.PROXIES:
        parts = [part.strip() for part in request.headers.get("X-Forwarded-For", "").split(",")]
        if len(parts) >= settings.PROXIES and parts[-settings.PROXIES]:
            told = parts[-settings.PROXIES]
    return _tidy(told)


def _tidy(told: str) -> str:
    try:
        address = ipaddress.ip_address(told.strip("[]"))
    except ValueError:
        return told[:60]
    if isinstance(address, ipaddress.IPv4Address):
        return str(address)
    if address.ipv4_mapped:
        return str(address.ipv4_mapped)
    return str(ipaddress.ip_network((address, NETWORK_BITS), strict=False))
