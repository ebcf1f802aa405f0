"""Is this PDF one of ours, unchanged, and current? And who signed it, when?

Of what it says only the number of the instrument and the sum are told, to whoever holds the code:
without them a forged print could bear a true code, and nobody would see it.
"""

from __future__ import annotations

import hashlib
import re
from collections.abc import Iterable
from dataclasses import dataclass
from itertools import islice
from typing import Literal

from django.conf import settings

from repairs.press.document import ALPHABET, tidy_code
from repairs.press.kinds import sums_of
from repairs.press.models import Paper
from repairs.press.proof_models import PaperProof
from repairs.press.proofs import Sort, proofs_of

Verdict = Literal["unchanged", "changed", "known_code", "unknown"]
SEARCHED_BYTES = 512 * 1024  # at each end of a file
MOST_CODES = 20
_CODE = re.compile(rf"\b([{ALPHABET}]{{4}}-[{ALPHABET}]{{4}}-[{ALPHABET}]{{4}})\b".encode())


@dataclass(frozen=True)
class Answer:
    """What can be said. ``known_code`` means: the code is ours, the bytes were not shown."""

    verdict: Verdict
    paper: Paper | None = None

    @property
    def printed(self) -> Printed | None:
        """What must stand on the paper."""
        return printed_on(self.paper) if self.paper else None

    @property
    def proved(self) -> Proved | None:
        """Who signed it and when that was attested."""
        return proved_of(self.paper) if self.paper else None


@dataclass(frozen=True)
class Printed:
    """What a print can be held against: of the frozen words of the paper, never of today's."""

    instrument_number: str
    sums: tuple[str, ...]


def printed_on(paper: Paper) -> Printed:
    """The number of the instrument, if it speaks of one, and its sums, if it is about money."""
    content = paper.data.get("content") or {}
    return Printed(content.get("instrument_number", ""), sums_of(paper.kind, content))


@dataclass(frozen=True)
class Proved:
    """The proofs of a paper. ``stamp`` stands in the file or beside it."""

    signature: PaperProof | None
    stamp: PaperProof | None
    validation: PaperProof | None
    waits_for_stamp: bool


def proved_of(paper: Paper) -> Proved:
    """The newest proof of each sort; it waits for a stamp only where a server is named."""
    known = proofs_of(paper)
    stamp = known.get(Sort.STAMP_INSIDE) or known.get(Sort.STAMP)
    return Proved(
        signature=known.get(Sort.SIGNATURE),
        stamp=stamp,
        validation=known.get(Sort.VALIDATION),
        waits_for_stamp=stamp is None and bool(settings.STAMP_SERVER),
    )


def check_file(data: bytes) -> Answer:
    """Compare the SHA-256 of the file with those kept, then look for a printed code inside it."""
    return check_upload([data])


def check_upload(pieces: Iterable[bytes]) -> Answer:
    """The same of a file piece by piece: of all of it only the hash is taken, and of its first and
    last parts the codes; never is more than that held."""
    digest, start, end = hashlib.sha256(), b"", b""
    for piece in pieces:
        digest.update(piece)
        start += piece[: max(0, SEARCHED_BYTES - len(start))]
        end = (end + piece)[-SEARCHED_BYTES:]
    if paper := Paper.objects.filter(sha256=digest.hexdigest()).first():
        return Answer("unchanged", paper)
    codes = [code.decode() for part in (end, start) for code in _first_codes(part)]
    if paper := Paper.objects.filter(code__in=codes).first():
        return Answer("changed", paper)
    return Answer("unknown")


def _first_codes(part: bytes) -> set[bytes]:
    """A paper of ours bears its one code, in its metadata; a file full of codes is none."""
    return {found[1] for found in islice(_CODE.finditer(part), MOST_CODES)}


def check_code(typed: str) -> Answer:
    """Say whether the typed code is ours; the bytes of the file were not seen."""
    code = tidy_code(typed)
    paper = Paper.objects.filter(code=code).first() if code else None
    return Answer("known_code", paper) if paper else Answer("unknown")
