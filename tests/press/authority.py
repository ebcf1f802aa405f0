"""An authority that vouches for keys, as it would be run elsewhere: made with ``cryptography``."""

from __future__ import annotations

import datetime as dt
from pathlib import Path
from typing import Any

from cryptography import x509
from cryptography.hazmat.primitives import hashes
from cryptography.hazmat.primitives.asymmetric import ec, rsa
from cryptography.hazmat.primitives.serialization import (
    BestAvailableEncryption,
    Encoding,
    NoEncryption,
    PrivateFormat,
    pkcs12,
)
from cryptography.x509.oid import ExtendedKeyUsageOID, NameOID
from django.utils import timezone

from repairs.press.keys import KeyFacts, take_key

PASSPHRASE = "Un mot long, 1771"
LONG_AGO = dt.datetime(2020, 1, 1, tzinfo=dt.UTC)
FAR = dt.datetime(2050, 1, 1, tzinfo=dt.UTC)
SIGNING = x509.KeyUsage(True, True, *(False,) * 7)
ENCIPHERING = x509.KeyUsage(False, False, True, *(False,) * 6)
VOUCHING = x509.KeyUsage(False, False, False, False, False, True, True, False, False)


def named(common_name: str) -> x509.Name:
    return x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, common_name)])


def new_key() -> rsa.RSAPrivateKey:
    return rsa.generate_private_key(public_exponent=65537, key_size=2048)


class Authority:
    """Its root certificate, and what it signs for others."""

    def __init__(self, folder: Path, list_address: str = "", name: str = "Root of Trials") -> None:
        self.key, self.list_address, self.name = new_key(), list_address, named(name)
        self.clients_key = new_key()
        self.certificate = self._built(self.name, self.key, VOUCHING, ca=True)
        self.file = folder / "root.pem"
        self.file.write_bytes(self.certificate.public_bytes(Encoding.PEM))

    def vouch(self, name: str, key: Any, *, usage: x509.KeyUsage = SIGNING, **days: Any) -> Any:
        """A certificate for that name and key."""
        return self._built(named(name), key, usage, ca=False, **days)

    def vouch_for_clock(self, name: str, key: Any) -> Any:
        return self._built(named(name), key, SIGNING, ca=False, stamps=True)

    def _built(
        self,
        subject: x509.Name,
        key: Any,
        usage: x509.KeyUsage,
        *,
        ca: bool,
        first: dt.datetime = LONG_AGO,
        last: dt.datetime = FAR,
        stamps: bool = False,
    ) -> Any:
        builder = (
            x509.CertificateBuilder()
            .subject_name(subject)
            .issuer_name(self.name)
            .public_key(key.public_key())
            .serial_number(x509.random_serial_number())
            .not_valid_before(first)
            .not_valid_after(last)
            .add_extension(x509.BasicConstraints(ca=ca, path_length=None), critical=True)
            .add_extension(usage, critical=True)
        )
        if stamps:
            purpose = x509.ExtendedKeyUsage([ExtendedKeyUsageOID.TIME_STAMPING])
            builder = builder.add_extension(purpose, critical=True)
        if self.list_address and not ca:
            place = [x509.UniformResourceIdentifier(self.list_address)]
            point = x509.DistributionPoint(place, None, None, None)
            builder = builder.add_extension(x509.CRLDistributionPoints([point]), critical=False)
        return builder.sign(self.key, hashes.SHA256())

    def revoked_list(self) -> bytes:
        """The list of revoked certificates, on which nobody stands: DER."""
        builder = (
            x509.CertificateRevocationListBuilder()
            .issuer_name(self.name)
            .last_update(LONG_AGO)
            .next_update(FAR)
        )
        return builder.sign(self.key, hashes.SHA256()).public_bytes(Encoding.DER)

    def bundle(self, name: str, *, passphrase: str = PASSPHRASE, **fields: Any) -> bytes:
        """Key and certificate as an issuer hands them out: PKCS#12."""
        key = fields.pop("key", None) or self.clients_key
        certificate = fields.pop("certificate", None) or self.vouch(name, key, **fields)
        return bundled(key, certificate, [self.certificate], passphrase)


def bundled(key: Any, certificate: Any, chain: Any, passphrase: str = PASSPHRASE) -> bytes:
    said = passphrase.encode()
    closed = BestAvailableEncryption(said) if said else NoEncryption()
    return pkcs12.serialize_key_and_certificates(b"key", key, certificate, chain, closed)


def curve_key() -> ec.EllipticCurvePrivateKey:
    return ec.generate_private_key(ec.SECP256R1())


def as_pem(key: Any) -> bytes:
    whole: bytes = key.private_bytes(Encoding.PEM, PrivateFormat.PKCS8, NoEncryption())
    return whole


def taken(bundle: bytes, passphrase: str = PASSPHRASE, at: dt.datetime | None = None) -> KeyFacts:
    """The house takes the key over."""
    return take_key(bundle, passphrase, by=None, at=at or timezone.now())
