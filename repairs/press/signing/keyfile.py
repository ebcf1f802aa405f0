"""The file that holds the key which signs papers: PEM, the private key, then its certificates.

Plain files and mathematics, without Django: the key is made before Django starts.
"""

from __future__ import annotations

import datetime as dt
import os
import uuid
from dataclasses import dataclass
from pathlib import Path

from cryptography import x509
from cryptography.hazmat.primitives import hashes
from cryptography.hazmat.primitives.asymmetric import ec, rsa
from cryptography.hazmat.primitives.serialization import (
    Encoding,
    NoEncryption,
    PrivateFormat,
    load_pem_private_key,
)
from cryptography.x509.oid import NameOID

# RSA, as every reader of PDF knows it and as its signature of the same bytes is always the same;
# 3072 bits are what is asked for beyond 2030 (BSI TR-02102-1, recalled).
KEY_BITS = 3072
# Nobody can say when a self-made key stops to hold: RFC 5280, 4.1.2.5, has a date for that. And
# papers may bear days before the key was made (a demo, a house moved here from elsewhere).
FIRST_DAY = dt.datetime(2000, 1, 1, tzinfo=dt.UTC)
NO_LAST_DAY = dt.datetime(9999, 12, 31, 23, 59, 59, tzinfo=dt.UTC)
LONGEST_NAME = 64  # ub-common-name of X.520
CERTIFICATE = b"-----BEGIN CERTIFICATE-----"

PrivateKey = rsa.RSAPrivateKey | ec.EllipticCurvePrivateKey


@dataclass(frozen=True)
class Held:
    """What the file holds. Without a certificate the key has never signed anything yet."""

    key: PrivateKey
    certificates: tuple[x509.Certificate, ...]


def new_key() -> PrivateKey:
    """A key as the house makes it: some tenths of a second of searching for primes."""
    return rsa.generate_private_key(public_exponent=65537, key_size=KEY_BITS)


def make_key(file: Path) -> None:
    """Make a key without a certificate, once: a file that is there is left as it is."""
    if not file.exists():
        write(file, Held(new_key(), ()), anew=False)


def read(file: Path) -> Held:
    """Read key and certificates. Raises OSError, or ValueError for what is no such key."""
    data = file.read_bytes()
    key = load_pem_private_key(data, password=None)
    if not isinstance(key, PrivateKey):
        raise ValueError("neither an RSA key nor one on an elliptic curve")
    found = x509.load_pem_x509_certificates(data) if CERTIFICATE in data else []
    return Held(key, tuple(found))


def write(file: Path, held: Held, *, anew: bool = True) -> None:
    """Write the file whole, for its owner alone; unless ``anew``, the first of two writers wins."""
    data = held.key.private_bytes(Encoding.PEM, PrivateFormat.PKCS8, NoEncryption())
    data += b"".join(one.public_bytes(Encoding.PEM) for one in held.certificates)
    draft = file.with_name(f"{file.name}.{uuid.uuid4().hex}.part")
    # Private from the first byte on, and not only once it is written.
    handle = os.open(draft, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    try:
        with os.fdopen(handle, "wb") as out:
            out.write(data)
            out.flush()
            os.fsync(out.fileno())
        if anew:
            draft.replace(file)
        else:
            file.hardlink_to(draft)
    except FileExistsError:
        pass
    finally:
        draft.unlink(missing_ok=True)


def self_made(key: PrivateKey, name: str) -> x509.Certificate:
    """A certificate that the key signs for itself: it binds papers to one another, not to a
    person. ``name`` is that of the workshop, cut to what a certificate takes."""
    said = "".join(letter if letter.isprintable() else " " for letter in name).strip()
    cut = said[:LONGEST_NAME].strip() or "Sautereau"
    named = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, cut)])
    # Signs, and vouches for what it signed; it makes no other certificates and opens no letters.
    usage = x509.KeyUsage(True, True, *(False,) * 7)
    builder = (
        x509.CertificateBuilder()
        .subject_name(named)
        .issuer_name(named)
        .public_key(key.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(FIRST_DAY)
        .not_valid_after(NO_LAST_DAY)
        .add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
        .add_extension(usage, critical=True)
    )
    return builder.sign(key, hashes.SHA256())
