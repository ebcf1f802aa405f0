"""The key that signs papers, as the house's page and command see it: which it is, another one."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import TYPE_CHECKING

from django.contrib.auth.base_user import AbstractBaseUser

from repairs.audit.actions import deed, record

if TYPE_CHECKING:
    from repairs.press.signing.house_key import HouseKey

# The library that reads keys is loaded by whoever asks for one: functions below import it.
SUBJECT = "house:seal"


@dataclass(frozen=True)
class KeyFacts:
    """What may be told of a key. ``until`` is None for a certificate without an end; ``name`` is
    empty before the first paper, which brings the certificate of a self-made key."""

    name: str
    issuer: str
    is_self_made: bool
    until: dt.datetime | None
    fingerprint: str


def key_facts() -> KeyFacts | None:
    """The present key; None when the house has none. Raises KeyUnusableError."""
    from repairs.press.signing.house_key import key_path, present_key  # noqa: PLC0415 - see above

    if key := present_key():
        return _facts(key)
    return KeyFacts("", "", True, None, "") if key_path().exists() else None


def _facts(key: HouseKey) -> KeyFacts:
    return KeyFacts(key.name, key.issuer, key.is_self_made, key.until, key.fingerprint)


def make_key(name: str, *, by: AbstractBaseUser | None, at: dt.datetime) -> KeyFacts:
    """Make a new key in the place of the present one. Raises KeyUnusableError."""
    from repairs.press.signing.house_key import make_new  # noqa: PLC0415 - see above

    return _noted(make_new(name), by, at, is_own=True)


def take_key(
    data: bytes, passphrase: str, *, by: AbstractBaseUser | None, at: dt.datetime
) -> KeyFacts:
    """Take the key of a PKCS#12 file in the place of the present one; the file is not kept.

    Raises NoKeyFileError, WrongPassphraseError, KeyNotForSigningError or KeyUnusableError.
    """
    from repairs.press.signing.house_key import take_pkcs12  # noqa: PLC0415 - see above

    return _noted(take_pkcs12(data, passphrase, at=at), by, at)


def _noted(
    key: HouseKey, by: AbstractBaseUser | None, at: dt.datetime, *, is_own: bool = False
) -> KeyFacts:
    verb = "seal.made" if is_own else "seal.taken"
    with deed():
        record(by, verb, SUBJECT, at=at, certificate=key.fingerprint)
    return _facts(key)
