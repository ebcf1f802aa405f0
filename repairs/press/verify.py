"""Is this PDF one of ours, unchanged, and current? Answers without showing what it says."""

from __future__ import annotations

import hashlib
import re
from dataclasses import dataclass
from typing import Literal

from repairs.press.document import ALPHABET, tidy_code
from repairs.press.models import Paper

Verdict = Literal["unchanged", "changed", "known_code", "unknown"]
_CODE = re.compile(rf"\b([{ALPHABET}]{{4}}-[{ALPHABET}]{{4}}-[{ALPHABET}]{{4}})\b".encode())


@dataclass(frozen=True)
class Answer:
    """What can be said. ``known_code`` means: the code is ours, the bytes were not shown."""

    verdict: Verdict
    paper: Paper | None = None


def check_file(data: bytes) -> Answer:
    """Compare the SHA-256 of the file with those kept, then look for a printed code inside it."""
    digest = hashlib.sha256(data).hexdigest()
    if paper := Paper.objects.filter(sha256=digest).first():
        return Answer("unchanged", paper)
    codes = {code.decode() for code in _CODE.findall(data)}
    if paper := Paper.objects.filter(code__in=codes).first():
        return Answer("changed", paper)
    return Answer("unknown")


def check_code(typed: str) -> Answer:
    """Say whether the typed code is ours; the bytes of the file were not seen."""
    code = tidy_code(typed)
    paper = Paper.objects.filter(code=code).first() if code else None
    return Answer("known_code", paper) if paper else Answer("unknown")
