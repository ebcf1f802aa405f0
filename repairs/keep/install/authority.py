"""The house's own authority: one root that may speak for one name, and the certificate below it.

Whoever takes the root into a phone trusts it for this one name and nothing else: it is critically
constrained (RFC 5280, 4.2.1.10), so that a stolen key opens no other site.
"""

from __future__ import annotations

import datetime as dt
import ipaddress
from dataclasses import dataclass
from pathlib import Path

from cryptography import x509
from cryptography.exceptions import InvalidSignature
from cryptography.hazmat.primitives import hashes
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.hazmat.primitives.serialization import (
    Encoding,
    NoEncryption,
    PrivateFormat,
    load_pem_private_key,
)
from cryptography.x509.oid import ExtendedKeyUsageOID, NameOID

Key = ec.EllipticCurvePrivateKey
ROOT_DAYS = 3650
LEAF_DAYS = 90
RENEWED_DAYS = 30  # so many before its end
# A phone whose clock is somewhat behind must not refuse a certificate made just now.
BACK = dt.timedelta(hours=1)


@dataclass(frozen=True)
class Pair:
    """A key and the certificate for it."""

    key: Key
    certificate: x509.Certificate

    @property
    def key_pem(self) -> bytes:
        """The key as a file."""
        return self.key.private_bytes(Encoding.PEM, PrivateFormat.PKCS8, NoEncryption())

    @property
    def pem(self) -> bytes:
        """The certificate as a file."""
        return self.certificate.public_bytes(Encoding.PEM)


def new_root(name: str, at: dt.datetime) -> Pair:
    """The authority of the house, for that name alone."""
    key = ec.generate_private_key(ec.SECP256R1())
    subject = _named(f"Sautereau · {name}")
    made = (
        _begun(subject, subject, key, at, ROOT_DAYS)
        .add_extension(x509.BasicConstraints(ca=True, path_length=0), critical=True)
        .add_extension(_usage(key_cert_sign=True, crl_sign=True), critical=True)
        .add_extension(_only(name), critical=True)
        .add_extension(x509.SubjectKeyIdentifier.from_public_key(key.public_key()), critical=False)
    )
    return Pair(key, made.sign(key, hashes.SHA256()))


def new_leaf(root: Pair, name: str, at: dt.datetime) -> Pair:
    """The certificate that the proxy shows."""
    key, above = ec.generate_private_key(ec.SECP256R1()), root.certificate
    issuer = x509.AuthorityKeyIdentifier.from_issuer_public_key(root.key.public_key())
    names = x509.SubjectAlternativeName([x509.DNSName(name)])
    served = x509.ExtendedKeyUsage([ExtendedKeyUsageOID.SERVER_AUTH])
    days = min(LEAF_DAYS, (above.not_valid_after_utc - at).days)
    made = (
        _begun(_named(name), above.subject, key, at, days)
        .add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
        .add_extension(_usage(digital_signature=True), critical=True)
        .add_extension(served, critical=False)
        .add_extension(names, critical=False)
        .add_extension(x509.SubjectKeyIdentifier.from_public_key(key.public_key()), critical=False)
        .add_extension(issuer, critical=False)
    )
    return Pair(key, made.sign(root.key, hashes.SHA256()))


def _named(words: str) -> x509.Name:
    return x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, words[:64])])  # X.520, its longest


def _begun(
    subject: x509.Name, issuer: x509.Name, key: Key, at: dt.datetime, days: int
) -> x509.CertificateBuilder:
    return (
        x509.CertificateBuilder()
        .subject_name(subject)
        .issuer_name(issuer)
        .public_key(key.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(at - BACK)
        .not_valid_after(at + dt.timedelta(days=days))
    )


def _only(name: str) -> x509.NameConstraints:
    """The one name; no address as a number, since what is not constrained is allowed."""
    numbers = [
        x509.IPAddress(ipaddress.ip_network("0.0.0.0/0")),
        x509.IPAddress(ipaddress.ip_network("::/0")),
    ]
    return x509.NameConstraints([x509.DNSName(name)], numbers)


def _usage(**granted: bool) -> x509.KeyUsage:
    names = (
        "digital_signature", "content_commitment", "key_encipherment", "data_encipherment",
        "key_agreement", "key_cert_sign", "crl_sign", "encipher_only", "decipher_only",
    )  # fmt: skip
    return x509.KeyUsage(**{name: granted.get(name, False) for name in names})


def read_pair(key_file: Path, certificate_file: Path) -> Pair | None:
    """A pair as it was kept; None where it is not there, or is none."""
    try:
        key = load_pem_private_key(key_file.read_bytes(), password=None)
        certificate = x509.load_pem_x509_certificate(certificate_file.read_bytes())
    except (OSError, ValueError):
        return None
    if not isinstance(key, Key) or key.public_key() != certificate.public_key():
        return None
    return Pair(key, certificate)


def holds(leaf: Pair | None, root: Pair, name: str, at: dt.datetime) -> bool:
    """Whether the certificate is for that name, below that root, and far enough from its end."""
    if leaf is None or leaf.certificate.not_valid_after_utc - at < dt.timedelta(days=RENEWED_DAYS):
        return False
    try:
        leaf.certificate.verify_directly_issued_by(root.certificate)
        names = leaf.certificate.extensions.get_extension_for_class(x509.SubjectAlternativeName)
    except (ValueError, TypeError, InvalidSignature, x509.ExtensionNotFound):
        return False
    return names.value.get_values_for_type(x509.DNSName) == [name]


def root_holds(root: Pair | None, name: str, at: dt.datetime) -> bool:
    """Whether the authority may speak for that name for longer than a certificate lasts."""
    if root is None or root.certificate.not_valid_after_utc - at < dt.timedelta(days=LEAF_DAYS):
        return False
    try:
        kept = root.certificate.extensions.get_extension_for_class(x509.NameConstraints)
    except x509.ExtensionNotFound:
        return False
    return kept.value.permitted_subtrees == [x509.DNSName(name)]
