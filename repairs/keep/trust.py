"""The root certificate of the house as the trust page offers it."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from pathlib import Path

from cryptography import x509
from cryptography.hazmat.primitives import hashes
from cryptography.hazmat.primitives.serialization import Encoding

from repairs.keep.spoken import in_pairs, spoken


@dataclass(frozen=True)
class Root:
    """What a phone takes, and what two people compare."""

    der: bytes
    words: tuple[str, ...]
    sha256: str
    until: dt.date


def read_root(file: Path) -> Root | None:
    """The certificate in that file; None where none can be read."""
    try:
        found = x509.load_pem_x509_certificate(file.read_bytes())
    except (OSError, ValueError):
        return None
    digest = found.fingerprint(hashes.SHA256())
    words, until = tuple(spoken(digest)), found.not_valid_after_utc.date()
    return Root(found.public_bytes(Encoding.DER), words, in_pairs(digest), until)
