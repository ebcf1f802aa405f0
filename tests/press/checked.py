"""What others say of a signed PDF: pyHanko's validator, ``openssl cms`` and ``pdfsig`` of poppler.

The last two share nothing with the library that signs.
"""

from __future__ import annotations

import asyncio
import io
import re
import subprocess
from pathlib import Path
from typing import Any

from asn1crypto import cms
from pyhanko.pdf_utils.reader import PdfFileReader
from pyhanko.sign.validation import async_validate_pdf_signature
from pyhanko_certvalidator import ValidationContext

from repairs.press.signing.house_key import present_key

RANGE = re.compile(rb"/ByteRange \[(\d+) (\d+) (\d+) (\d+)\]")


def embedded(pdf: bytes) -> Any:
    """The one signature inside, as pyHanko reads it."""
    (signature,) = PdfFileReader(io.BytesIO(pdf)).embedded_signatures
    return signature


def judged(pdf: bytes, **context: Any) -> Any:
    """pyHanko's verdict; its own certificate is trusted, unless ``trust_roots`` says otherwise."""
    signature = embedded(pdf)
    trusted = {"trust_roots": [signature.signer_cert], "allow_fetching": False, **context}
    checking = async_validate_pdf_signature(signature, ValidationContext(**trusted))
    return asyncio.run(checking)


def cms_of(pdf: bytes) -> tuple[bytes, bytes]:
    """The bare signature in DER and the bytes that it covers, cut out by hand."""
    found = RANGE.search(pdf)
    assert found is not None
    start, first, second, rest = map(int, found.groups())
    padded = bytes.fromhex(pdf[first + 1 : second - 1].decode())
    signature: bytes = cms.ContentInfo.load(padded, strict=False).dump()
    return signature, pdf[start:first] + pdf[second : second + rest]


def openssl(*words: str | Path) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        ["openssl", *map(str, words)], capture_output=True, text=True, timeout=30, check=False
    )


def holds_for_openssl(pdf: bytes, folder: Path) -> bool:
    """Whether ``openssl cms`` finds the signature over the byte range good; the chain is not asked.

    What was changed inside the certificates makes it fail as well as a changed byte of the file.
    """
    signature, covered = cms_of(pdf)
    (folder / "signature.der").write_bytes(signature)
    (folder / "covered").write_bytes(covered)
    words = ("cms", "-verify", "-binary", "-noverify", "-inform", "DER", "-out", "/dev/null")
    places = ("-in", folder / "signature.der", "-content", folder / "covered")
    return openssl(*words, *places).returncode == 0


def said_by_pdfsig(pdf: bytes, folder: Path) -> str:
    """All that ``pdfsig`` says of the file."""
    file = folder / "signed.pdf"
    file.write_bytes(pdf)
    done = subprocess.run(
        ["pdfsig", "-nocert", str(file)], capture_output=True, text=True, timeout=30, check=False
    )
    return done.stdout


def fingerprint() -> str:
    """That of the certificate in use."""
    key = present_key()
    assert key is not None
    return key.fingerprint
