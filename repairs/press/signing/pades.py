"""A signature inside a PDF after PAdES (ETSI EN 319 142-1), level B-B, or B-T with a time stamp.

The PDF is not written anew: the signature is an appendix to the bytes that the press made, so that
PDF/A and PDF/UA stay what they were. With RSA the same bytes give the same signature: its time is
that of the paper, and nothing in it is drawn by lot. A stamp, or a key on an elliptic curve, ends
that.
"""

from __future__ import annotations

import asyncio
import datetime as dt
from dataclasses import dataclass
from io import BytesIO
from typing import Any

from asn1crypto import cms
from cryptography.hazmat.primitives.asymmetric import ec, rsa
from cryptography.hazmat.primitives.asymmetric.padding import PKCS1v15
from pyhanko.keys.internal import translate_pyca_cryptography_cert_to_asn1
from pyhanko.pdf_utils.incremental_writer import IncrementalPdfFileWriter
from pyhanko.sign.fields import InvisSigSettings, SigFieldSpec, SigSeedSubFilter
from pyhanko.sign.signers.cms_embedder import PdfCMSEmbedder, SigIOSetup, SigObjSetup
from pyhanko.sign.signers.pdf_byterange import PreparedByteRangeDigest, SignatureObject
from pyhanko.sign.signers.pdf_cms import Signer
from pyhanko_certvalidator.registry import SimpleCertificateStore
from pyhanko_certvalidator.util import get_pyca_cryptography_hash

from repairs.press.refusals import StampServerError
from repairs.press.signing.house_key import HouseKey
from repairs.press.signing.stamps import DIGEST, Stamp, StampServer, stamp_of

FIELD = "Seal"
# Beside its certificates a signature has some 1,000 bytes; a stamp with its own up to 8,000.
ROOM, ROOM_FOR_STAMP = 2_048, 12_288


@dataclass(frozen=True)
class Signed:
    """The signed file. ``stamp`` is the one inside; ``trouble`` says why there is none."""

    pdf: bytes
    stamp: Stamp | None = None
    trouble: str = ""


class KeySigner(Signer):
    """Signs by the key as it was loaded; the library's own signer loads and proves it each time."""

    def __init__(self, key: HouseKey) -> None:
        chain = SimpleCertificateStore()  # type: ignore[no-untyped-call] # typed in parts
        chain.register_multiple(map(translate_pyca_cryptography_cert_to_asn1, key.chain))
        certificate = translate_pyca_cryptography_cert_to_asn1(key.certificate)
        super().__init__(signing_cert=certificate, cert_registry=chain)
        self.key = key.key

    async def async_sign_raw(
        self, data: bytes, digest_algorithm: str, dry_run: bool = False
    ) -> bytes:
        """The bare signature over the data."""
        digest = get_pyca_cryptography_hash(digest_algorithm)
        if isinstance(self.key, rsa.RSAPrivateKey):
            return self.key.sign(data, PKCS1v15(), digest)
        return self.key.sign(data, ec.ECDSA(digest))


class Appendix(IncrementalPdfFileWriter):
    """Adds the signature and nothing else: the library would write the clock into the metadata
    and a random second half into the identifier, which bears our code."""

    def _update_meta(self) -> None:
        pass

    @classmethod
    def _handle_id(cls, prev: Any) -> Any:
        return prev.trailer["/ID"]


def sign(
    pdf: bytes, key: HouseKey, *, at: dt.datetime, label: str, server: StampServer | None = None
) -> Signed:
    """Sign the PDF as of ``at``; a server that gives no stamp leaves the signature without one.

    ``label`` tells a screen reader what the field is, in the language of the paper.
    """
    filling = _prepare(pdf, key, at, label, with_stamp=server is not None)
    digest, out = next(filling)
    room = (digest.reserved_region_end - digest.reserved_region_start - 2) // 2
    signature, trouble = _signature(digest, key, server, room)
    filling.send(signature)
    return Signed(out.getvalue(), _stamp_in(signature), trouble)


def _prepare(pdf: bytes, key: HouseKey, at: dt.datetime, label: str, *, with_stamp: bool) -> Any:
    """Write all but the signature; yields its digest and the file, and wants the signature."""
    # Outside the page: PDF/A wants a field that could be printed, PDF/UA one that is hidden or
    # tagged, and a reader who listens is not stopped at an empty box.
    aside = InvisSigSettings(box_out_of_bounds=True)
    field = SigFieldSpec(FIELD, invis_sig_settings=aside, readable_field_name=label)
    steps = PdfCMSEmbedder(new_field_spec=field).write_cms(FIELD, Appendix(BytesIO(pdf)))
    next(steps)
    room = ROOM + len(key.pem()) + (ROOM_FOR_STAMP if with_stamp else 0)
    placeholder = SignatureObject(
        timestamp=at.astimezone(dt.UTC),
        subfilter=SigSeedSubFilter.PADES,
        bytes_reserved=2 * room,
        name=key.name,
    )
    steps.send(SigObjSetup(sig_placeholder=placeholder))
    signature = yield steps.send(SigIOSetup(md_algorithm=DIGEST))
    steps.send(signature)
    yield


def _signature(
    digest: PreparedByteRangeDigest, key: HouseKey, server: StampServer | None, room: int
) -> tuple[cms.ContentInfo, str]:
    """The signature, stamped if that can be had and finds room; else why it is not."""
    trouble = ""
    if server is not None:
        try:
            stamped = _cms(digest.document_digest, key, server)
        except StampServerError as fault:
            trouble = str(fault)
        else:
            if len(stamped.dump()) <= room:
                return stamped, ""
    return _cms(digest.document_digest, key, None), trouble


def _cms(digest: bytes, key: HouseKey, server: StampServer | None) -> cms.ContentInfo:
    signing = KeySigner(key).async_sign(digest, DIGEST, use_pades=True, timestamper=server)
    return asyncio.run(signing)


def _stamp_in(signature: cms.ContentInfo) -> Stamp | None:
    attributes = signature["content"]["signer_infos"][0]["unsigned_attrs"]
    for one in attributes:
        if one["type"].native == "signature_time_stamp_token":
            return stamp_of(one["values"][0])
    return None
