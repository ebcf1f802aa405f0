"""Encryption by age: one key a house encrypts its bundles to, locked for those who may open it.

Files are encrypted to the bundle's own key; its secret half lies in the entry as ``key.age``,
encrypted to each recipient or with the passphrase. The server keeps the public half only: it can
write backups and cannot read them. So files that did not change are linked and not encrypted
anew, and the slow step of a passphrase (scrypt) is paid once. ``age`` itself opens all of it.
"""

from __future__ import annotations

import base64
import hashlib
import hmac
import json
import secrets
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from repairs.keep.refusals import (
    FewRecipientsError,
    NoRecipientError,
    OtherPassphraseError,
    PassphraseShortError,
    WrongKeyError,
)
from repairs.storage import files as store

# The library is loaded by whoever encrypts or opens: functions import it.
LEAST_SIGNS = 14
LEAST_RECIPIENTS = 2
KEY_BEGINS = "AGE-SECRET-KEY-1"
STATE = "bundle-key.json"
NAMES = "names-key"


@dataclass(frozen=True)
class Wanted:
    """How a backup shall be encrypted; neither: not at all."""

    recipients: tuple[str, ...] = ()
    passphrase: str = ""
    new_key: bool = False

    @property
    def is_open(self) -> bool:
        """Whether nothing is encrypted."""
        return not self.recipients and not self.passphrase

    def check(self) -> None:
        """Raises FewRecipientsError, NoRecipientError or PassphraseShortError."""
        from pyrage import RecipientError, x25519  # noqa: PLC0415 - only who encrypts loads it

        for typed in self.recipients:
            try:
                x25519.Recipient.from_str(typed)
            except RecipientError as fault:
                raise NoRecipientError(typed=typed) from fault
        if self.recipients and len(set(self.recipients)) < LEAST_RECIPIENTS:
            raise FewRecipientsError
        if self.passphrase and len(self.passphrase) < LEAST_SIGNS:
            raise PassphraseShortError(n=len(self.passphrase), least=LEAST_SIGNS)


@dataclass(frozen=True)
class BundleKey:
    """The public half, and the locked secret half as it lies in the entry."""

    public: str
    locked: bytes
    names: bytes

    def stored(self, name: str, size: int, mtime_ns: int) -> str:
        """What a file is called in the entry: the same file keeps its name, and says nothing."""
        said = f"{self.public}\0{name}\0{size}\0{mtime_ns}".encode()
        return f"data/files/{hmac.new(self.names, said, hashlib.sha256).hexdigest()[:40]}.age"

    @property
    def recipient(self) -> Any:
        """What age encrypts to."""
        from pyrage import x25519  # noqa: PLC0415 - see above

        return x25519.Recipient.from_str(self.public)


def bundle_key(wanted: Wanted, folder: Path) -> BundleKey:
    """The house's key as long as who may open it stays the same; else a new one.

    ``folder`` is the one beside the data in which the house remembers it. Raises
    OtherPassphraseError when the passphrase is another than before.
    """
    names = _names_key(folder)
    kept = _kept(folder)
    if kept is not None and not wanted.new_key and _is_same(wanted, kept):
        return BundleKey(kept["public"], base64.b64decode(kept["locked"]), names)
    public, locked = _made(wanted)
    said = {
        "public": public,
        "recipients": sorted(set(wanted.recipients)),
        "locked": base64.b64encode(locked).decode(),
    }
    path = folder / STATE
    path.unlink(missing_ok=True)
    store.write_whole(path, json.dumps(said, indent=1).encode())
    path.chmod(0o600)
    return BundleKey(public, locked, names)


def _names_key(folder: Path) -> bytes:
    path = folder / NAMES
    if not path.exists():
        store.write_whole(path, secrets.token_bytes(32))
        path.chmod(0o600)
    return path.read_bytes()


def _kept(folder: Path) -> dict[str, Any] | None:
    path = folder / STATE
    return json.loads(path.read_text(encoding="utf-8")) if path.exists() else None


def _is_same(wanted: Wanted, kept: dict[str, Any]) -> bool:
    if wanted.recipients:
        return bool(sorted(set(wanted.recipients)) == kept["recipients"])
    if kept["recipients"]:
        return False
    try:
        unlocked(base64.b64decode(kept["locked"]), wanted.passphrase)
    except WrongKeyError as fault:
        raise OtherPassphraseError from fault
    return True


def _made(wanted: Wanted) -> tuple[str, bytes]:
    from pyrage import encrypt, passphrase, x25519  # noqa: PLC0415 - see above

    identity = x25519.Identity.generate()
    secret = f"{identity}\n".encode()
    if wanted.recipients:
        to: Sequence[Any] = [x25519.Recipient.from_str(one) for one in set(wanted.recipients)]
        return str(identity.to_public()), encrypt(secret, to)
    return str(identity.to_public()), passphrase.encrypt(secret, wanted.passphrase)


def unlocked(locked: bytes, typed: str) -> Any:
    """The identity that opens the bundle, by a passphrase or a keeper's key as it was typed.

    Raises WrongKeyError.
    """
    from pyrage import DecryptError, IdentityError, decrypt, passphrase, x25519  # noqa: PLC0415

    try:
        key = tidy_key(typed)
        if key:
            opened = decrypt(locked, [x25519.Identity.from_str(key)])
        else:
            opened = passphrase.decrypt(locked, typed)
        return x25519.Identity.from_str(opened.decode().strip())
    except (DecryptError, IdentityError, ValueError) as fault:
        raise WrongKeyError from fault


def tidy_key(typed: str) -> str:
    """A key as it was typed from paper, in groups, small or capital; empty when it is none."""
    joined = "".join(typed.split()).upper()
    return joined if joined.startswith(KEY_BEGINS) else ""


def new_keeper_key() -> tuple[str, str]:
    """A key for one keeper: its secret half, and the public one. Neither is kept anywhere."""
    from pyrage import x25519  # noqa: PLC0415 - see above

    identity = x25519.Identity.generate()
    return str(identity), str(identity.to_public())


def in_groups(key: str, letters: int = 4) -> list[str]:
    """A key in groups for paper: its fixed beginning, then groups of a few letters."""
    rest = key.removeprefix(KEY_BEGINS)
    groups = [rest[at : at + letters] for at in range(0, len(rest), letters)]
    return [KEY_BEGINS, *groups] if rest != key else groups
