"""The key that signs the papers of the house: which one it is, where it came from, another one."""

from __future__ import annotations

import datetime as dt
import fcntl
import hashlib
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from functools import cached_property, lru_cache
from pathlib import Path

from asn1crypto import pkcs12 as pkcs12_form
from cryptography import x509
from cryptography.hazmat.primitives.asymmetric import ec, rsa
from cryptography.hazmat.primitives.serialization import Encoding, PublicFormat, pkcs12
from cryptography.x509.oid import NameOID
from django.conf import settings
from django.utils.translation import gettext as _

from repairs.press.refusals import (
    KeyNotForSigningError,
    KeyUnusableError,
    NoKeyFileError,
    WrongPassphraseError,
)
from repairs.press.signing import keyfile
from repairs.press.signing.keyfile import Held, PrivateKey

LEAST_RSA_BITS = 2048
CURVES = (ec.SECP256R1, ec.SECP384R1, ec.SECP521R1)


@dataclass(frozen=True)
class HouseKey:
    """A key with its certificate; ``chain`` holds those of its issuers, as far as they are known.

    Times are aware, the fingerprint is the SHA-256 of the certificate in hex.
    """

    key: PrivateKey
    certificate: x509.Certificate
    chain: tuple[x509.Certificate, ...]

    @property
    def is_self_made(self) -> bool:
        """Whether nobody but the key itself vouches for the name."""
        return self.certificate.issuer == self.certificate.subject

    @property
    def name(self) -> str:
        """For whom the certificate is made."""
        return name_in(self.certificate.subject)

    @property
    def issuer(self) -> str:
        """Who vouches for that name; empty when nobody does."""
        return "" if self.is_self_made else name_in(self.certificate.issuer)

    @cached_property
    def fingerprint(self) -> str:
        """SHA-256 of the certificate, in hex."""
        return hashlib.sha256(self.certificate.public_bytes(Encoding.DER)).hexdigest()

    @property
    def until(self) -> dt.datetime | None:
        """When the certificate ends; None for one that does not."""
        last = self.certificate.not_valid_after_utc
        return None if last >= keyfile.NO_LAST_DAY else last

    def holds_on(self, at: dt.datetime) -> bool:
        """Whether the certificate is valid at that moment."""
        return self.certificate.not_valid_before_utc <= at <= self.certificate.not_valid_after_utc

    def pem(self) -> bytes:
        """The certificates without the key, as they may be handed out."""
        every = (self.certificate, *self.chain)
        return b"".join(one.public_bytes(Encoding.PEM) for one in every)


def name_in(subject: x509.Name) -> str:
    """The name that people know among the parts of a certificate's name."""
    for part in (NameOID.COMMON_NAME, NameOID.ORGANIZATION_NAME):
        if found := subject.get_attributes_for_oid(part):
            return str(found[0].value)
    return str(subject.rfc4514_string())


def key_path() -> Path:
    """Where the key lies, or would lie."""
    return Path(settings.SEAL_KEY_FILE)


def house_key(name: str) -> HouseKey | None:
    """The key of the house, or None when it has none.

    One that never signed gets its certificate now, in the ``name`` of the workshop, which was not
    known yet when the key was made. Raises KeyUnusableError for a file that cannot be used.
    """
    file = key_path()
    if not file.exists():
        return None
    held = _held(file)
    if not held.certificates:
        held = _certified(file, name)
    return HouseKey(held.key, held.certificates[0], held.certificates[1:])


def present_key() -> HouseKey | None:
    """The key as it is, to be shown; None when there is none or when it never signed."""
    file = key_path()
    held = _held(file) if file.exists() else None
    if held is None or not held.certificates:
        return None
    return HouseKey(held.key, held.certificates[0], held.certificates[1:])


def _held(file: Path) -> Held:
    try:
        state = file.stat()
        return _read(file, state.st_ino, state.st_mtime_ns, state.st_size)
    except (OSError, ValueError) as fault:
        raise KeyUnusableError(file=file, why=_why(fault)) from fault


# To load a key is to prove its primes: a tenth of a second, which no paper shall pay again.
@lru_cache(maxsize=2)
def _read(file: Path, _inode: int, _changed_ns: int, _size: int) -> Held:
    return keyfile.read(file)


def _why(fault: Exception) -> str:
    if isinstance(fault, PermissionError):
        return _("this user may not open it.")
    if isinstance(fault, OSError):
        return _("the system does not hand it out.")
    return _("it holds no key in PEM, or one of a sort that does not sign papers.")


def _certified(file: Path, name: str) -> Held:
    """Give the key its certificate; of two papers at once the second finds that of the first."""
    with _alone(file):
        held = _held(file)
        if not held.certificates:
            held = Held(held.key, (keyfile.self_made(held.key, name),))
            _write(file, held)
    return held


@contextmanager
def _alone(file: Path) -> Iterator[None]:
    lock = file.with_name(f"{file.name}.lock")
    try:
        handle = lock.open("w")
    except OSError as fault:
        raise KeyUnusableError(file=file, why=_why(fault)) from fault
    with handle:
        fcntl.flock(handle, fcntl.LOCK_EX)
        yield


def _write(file: Path, held: Held) -> None:
    try:
        keyfile.write(file, held)
    except OSError as fault:
        raise KeyUnusableError(file=file, why=_("it cannot be written.")) from fault


def make_new(name: str) -> HouseKey:
    """Put a new self-made key in the place of the present one; papers keep their signatures."""
    key = keyfile.new_key()
    return _put(Held(key, (keyfile.self_made(key, name),)))


def take_pkcs12(data: bytes, passphrase: str, *, at: dt.datetime) -> HouseKey:
    """Put the key of a PKCS#12 file (.p12, .pfx) in the place of the present one.

    Raises NoKeyFileError, WrongPassphraseError or KeyNotForSigningError; then nothing changed.
    """
    try:
        found = pkcs12.load_pkcs12(data, passphrase.encode() or None)
    except ValueError as fault:
        # The library says the same of a wrong passphrase and of what is no such file.
        raise (WrongPassphraseError if _is_pkcs12(data) else NoKeyFileError) from fault
    if found.key is None or found.cert is None:
        raise KeyNotForSigningError(why=_("it holds no private key with its certificate."))
    key, certificate = found.key, found.cert.certificate
    if not isinstance(key, PrivateKey):
        raise KeyNotForSigningError(why=_("papers are signed by RSA or elliptic curves (P-256 …)."))
    _check(key, certificate, at)
    others = tuple(one.certificate for one in found.additional_certs)
    return _put(Held(key, (certificate, *_in_order(certificate, others))))


def _put(held: Held) -> HouseKey:
    file = key_path()
    with _alone(file):
        _write(file, held)
    return HouseKey(held.key, held.certificates[0], held.certificates[1:])


def _is_pkcs12(data: bytes) -> bool:
    try:
        return bool(pkcs12_form.Pfx.load(data)["version"].native == "v3")
    except (ValueError, TypeError):
        return False


def _check(key: PrivateKey, certificate: x509.Certificate, at: dt.datetime) -> None:
    """Raise KeyNotForSigningError for a key whose signature nobody would accept."""
    why = ""
    if _spki(key) != _spki(certificate):
        why = _("its certificate is that of another key.")
    elif isinstance(key, rsa.RSAPrivateKey) and key.key_size < LEAST_RSA_BITS:
        why = _("its RSA key has fewer than 2048 bits.")
    elif isinstance(key, ec.EllipticCurvePrivateKey) and not isinstance(key.curve, CURVES):
        why = _("papers are signed by RSA or elliptic curves (P-256 …).")
    elif not HouseKey(key, certificate, ()).holds_on(at):
        why = _("its certificate is not valid today.")
    elif not _may_sign(certificate):
        why = _("its certificate is not made for signing.")
    if why:
        raise KeyNotForSigningError(why=why)


def _spki(of: PrivateKey | x509.Certificate) -> bytes:
    return of.public_key().public_bytes(Encoding.DER, PublicFormat.SubjectPublicKeyInfo)


def _may_sign(certificate: x509.Certificate) -> bool:
    try:
        usage = certificate.extensions.get_extension_for_class(x509.KeyUsage).value
    except x509.ExtensionNotFound:
        return True
    return bool(usage.digital_signature or usage.content_commitment)


def _in_order(
    certificate: x509.Certificate, others: tuple[x509.Certificate, ...]
) -> Iterator[x509.Certificate]:
    """The issuers from the nearest up to the root, as far as they came along."""
    left, last = list(others), certificate
    while last.issuer != last.subject:
        above = next((one for one in left if one.subject == last.issuer), None)
        if above is None:
            return
        left.remove(above)
        last = above
        yield above
