"""What proves a signature in later years: the certificates above it and that none was revoked.

It is gathered while those who vouch still answer, and kept as a second signature of the house over
the same file, apart from it: CMS (RFC 5652), whose own places for certificates, revocation lists
and OCSP answers hold what was found. ``openssl cms -verify -binary -content PAPER`` reads it.
"""

from __future__ import annotations

import asyncio
import datetime as dt
from dataclasses import dataclass, field
from typing import Any

from asn1crypto import cms, crl, ocsp, x509
from pyhanko.keys import load_certs_from_pemder_data
from pyhanko.sign.signers.pdf_cms import PdfCMSSignedAttributes
from pyhanko_certvalidator.authority import AuthorityWithCert
from pyhanko_certvalidator.errors import CertificateFetchError, CRLFetchError, OCSPFetchError
from pyhanko_certvalidator.fetchers import Fetchers
from pyhanko_certvalidator.fetchers.requests_fetchers import RequestsFetcherBackend

from repairs.press.refusals import ProofsNotFoundError
from repairs.press.signing.house_key import HouseKey
from repairs.press.signing.pades import KeySigner
from repairs.press.signing.stamps import DIGEST, StampServer

PATIENCE_S = 10
LONGEST_CHAIN = 8
OCSP_ANSWER = "1.3.6.1.5.5.7.16.2"  # id-ri-ocsp-response, RFC 5940


@dataclass
class Found:
    """What was gathered: certificates up to the roots, lists and answers on who was revoked."""

    certificates: list[x509.Certificate] = field(default_factory=list)
    lists: list[crl.CertificateList] = field(default_factory=list)
    answers: list[ocsp.OCSPResponse] = field(default_factory=list)

    @property
    def is_empty(self) -> bool:
        """Whether nobody named a place to ask: of self-made certificates there is nothing."""
        return not self.lists and not self.answers


def gather(chain_pem: bytes, tokens: list[bytes]) -> Found:
    """Ask those who vouch for the signature, whose certificates are given, and for the stamps.

    Raises ProofsNotFoundError when one who names a place to ask gives no answer there.
    """
    return asyncio.run(_gather(chain_pem, tokens))


async def _gather(chain_pem: bytes, tokens: list[bytes]) -> Found:
    fetchers = RequestsFetcherBackend(per_request_timeout=PATIENCE_S).get_fetchers()
    every = [*load_certs_from_pemder_data(chain_pem)]
    starts = every[:1]
    for token in tokens:
        own = [one.chosen for one in cms.ContentInfo.load(token)["content"]["certificates"]]
        every += own
        starts += [one for one in own if not one.ca]
    found = Found()
    for start in starts:
        await _climb(start, every, fetchers, found)
    return found


async def _climb(
    start: x509.Certificate, known: list[x509.Certificate], fetchers: Fetchers, found: Found
) -> None:
    """From a certificate up to its root, or as far as the way is known."""
    one = start
    for _step in range(LONGEST_CHAIN):
        _add(found.certificates, one)
        if one.self_issued:
            return
        above = next((other for other in known if other.subject == one.issuer), None)
        above = above or await _fetched_issuer(one, fetchers)
        if above is None:
            return
        await _ask_revoked(one, above, fetchers, found)
        one = above


async def _fetched_issuer(one: x509.Certificate, fetchers: Fetchers) -> x509.Certificate | None:
    try:
        async for above in fetchers.cert_fetcher.fetch_cert_issuers(one):
            if above.subject == one.issuer:
                return above
    except CertificateFetchError:
        pass
    return None


async def _ask_revoked(
    one: x509.Certificate, above: x509.Certificate, fetchers: Fetchers, found: Found
) -> None:
    """The answer of an OCSP server where one is named, else the list of revoked certificates."""
    if one.ocsp_urls:
        try:
            _add(found.answers, await fetchers.ocsp_fetcher.fetch(one, AuthorityWithCert(above)))
        except OCSPFetchError:
            if not one.crl_distribution_points:
                raise _not_found(one) from None
        else:
            return
    if one.crl_distribution_points:
        try:
            for revoked in await fetchers.crl_fetcher.fetch(one):
                _add(found.lists, revoked)
        except CRLFetchError as fault:
            raise _not_found(one) from fault


def _not_found(one: x509.Certificate) -> ProofsNotFoundError:
    return ProofsNotFoundError(name=one.subject.human_friendly)


def _add(kept: list[Any], one: Any) -> None:
    if all(other.dump() != one.dump() for other in kept):
        kept.append(one)


def proof(
    sha256: bytes, key: HouseKey, found: Found, *, at: dt.datetime, server: StampServer | None
) -> bytes:
    """What was found, signed by the house over the SHA-256 of the file: CMS in DER.

    Stamped where there is a server, so that it is seen to have been gathered in time. Raises
    StampServerError.
    """
    when = PdfCMSSignedAttributes(signing_time=at)
    signing = KeySigner(key).async_sign(
        sha256, DIGEST, use_pades=False, timestamper=server, signed_attr_settings=when
    )
    # Read anew: what is signed and stamped stays bytes, which the library would otherwise write
    # again and again, twenty seconds for one token.
    whole = cms.ContentInfo.load(asyncio.run(signing).dump())
    content = whole["content"]
    there = {one.chosen.dump() for one in content["certificates"]}
    for one in found.certificates:
        if one.dump() not in there:
            content["certificates"].append(cms.CertificateChoices("certificate", one))
    content["crls"] = [*map(_list_choice, found.lists), *map(_answer_choice, found.answers)]
    if found.answers:
        content["version"] = "v5"  # RFC 5652, 5.1: with revocation information of another format
    return bytes(whole.dump())


def _list_choice(revoked: crl.CertificateList) -> cms.RevocationInfoChoice:
    return cms.RevocationInfoChoice(name="crl", value=revoked)


def _answer_choice(answer: ocsp.OCSPResponse) -> cms.RevocationInfoChoice:
    other = {"other_rev_info_format": OCSP_ANSWER, "other_rev_info": answer}
    return cms.RevocationInfoChoice(name="other", value=cms.OtherRevocationInfoFormat(other))
