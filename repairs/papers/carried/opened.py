"""Out of a PDF, the data that it carries; nothing of it is believed yet."""

from __future__ import annotations

import io
import json
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any, NoReturn

from pypdf import PdfReader
from pypdf.errors import DependencyError, PyPdfError

from repairs.papers.carried.refusals import (
    DataDamagedError,
    FormatUnknownError,
    NoDataInsideError,
    NotAPdfError,
    PdfDamagedError,
    PdfEncryptedError,
)
from repairs.papers.carried.schema import SCHEMA_FILE
from repairs.press.document import EARLIER_FORMATS, FORMAT

# Anything may be wrong in a file that is not ours; the library tells it in many ways.
UNREADABLE = (
    PyPdfError,
    LookupError,
    ValueError,
    TypeError,
    AttributeError,
    RecursionError,
    OverflowError,
)
HEAD_BYTES = 1024  # within which a PDF says that it is one (ISO 32000-1, annex H.3)
OURS = FORMAT.partition("/")[0] + "/"


@dataclass(frozen=True)
class Opened:
    """The data of a paper as it stands in the file, and what else is enclosed, by name."""

    data: Mapping[str, Any]
    files: Mapping[str, bytes]

    @property
    def is_earlier(self) -> bool:
        """Whether it was issued before papers carried more than their words."""
        return self.data["format"] in EARLIER_FORMATS


def open_paper(pdf: bytes, name: str) -> Opened:
    """Find the data of the paper in the PDF. Raises a PaperUnreadableError that says why not."""
    if b"%PDF-" not in pdf[:HEAD_BYTES]:
        raise NotAPdfError(file=name)
    files = _enclosed(pdf, name)
    data = _ours(files, name)
    if data["format"] != FORMAT and data["format"] not in EARLIER_FORMATS:
        known = ", ".join(f"“{one}”" for one in (FORMAT, *EARLIER_FORMATS))
        raise FormatUnknownError(file=name, format=str(data["format"])[:60], known=known)
    return Opened(data, files)


def _enclosed(pdf: bytes, name: str) -> Mapping[str, bytes]:
    try:
        reader = PdfReader(io.BytesIO(pdf))
        if reader.is_encrypted:
            raise PdfEncryptedError(file=name)
        return {str(key): found[0] for key, found in reader.attachments.items() if found}
    except DependencyError:  # of the ciphers
        raise PdfEncryptedError(file=name) from None
    except UNREADABLE:
        raise PdfDamagedError(file=name) from None


def _ours(files: Mapping[str, bytes], name: str) -> Mapping[str, Any]:
    """The one enclosed file that says that it is the data of a paper."""
    for data in _all_json(files, name):
        if isinstance(data, dict) and str(data.get("format", "")).startswith(OURS):
            return data
    raise NoDataInsideError(file=name)


def _all_json(files: Mapping[str, bytes], name: str) -> Iterator[Any]:
    for key, content in files.items():
        if not key.endswith(".json") or key == SCHEMA_FILE.name:
            continue
        try:
            yield json.loads(content.decode("utf-8"), parse_constant=_no_number)
        except json.JSONDecodeError as fault:
            why = f"{fault.msg} ({fault.lineno}:{fault.colno})"
            raise DataDamagedError(file=name, name=key, why=why) from None
        except (ValueError, RecursionError) as fault:
            why = str(fault) or type(fault).__name__
            raise DataDamagedError(file=name, name=key, why=why) from None


def _no_number(word: str) -> NoReturn:
    """JSON knows no NaN and no infinity, though the library would let them through."""
    raise ValueError(word)
