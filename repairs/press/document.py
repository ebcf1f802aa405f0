"""What the press needs to know of a paper: plain frozen data, ready for JSON."""

from __future__ import annotations

import dataclasses
import datetime as dt
import hashlib
import json
import secrets
from decimal import Decimal
from typing import Any

from repairs.audit.head import Head
from repairs.press.xmp import Schema
from workshop import __version__

ALPHABET = "23456789ABCDEFGHJKMNPQRSTVWXYZ"  # no 0 O 1 I L U: it is read aloud and typed
# 30 signs to the twelfth are 59 bits: nobody finds a paper by guessing at thirty tries a minute.
CODE_LETTERS = 12
# 1 had words only; since 2 a report carries under “data” what they were made of, as numbers.
FORMAT = "sautereau-paper/2"
OUTWARD = ("made_at", "seal", "program")  # what a paper bears and does not say
EARLIER_FORMATS = ("sautereau-paper/1",)


@dataclasses.dataclass(frozen=True, kw_only=True)
class HouseBlock:
    """The workshop as the head of a paper shows it."""

    name: str
    trade: str
    address: tuple[str, ...]
    email: str
    phone: str
    registration: str


@dataclasses.dataclass(frozen=True, kw_only=True)
class Seal:
    """What makes an issued paper itself; absent from a preview."""

    code: str
    version: int
    replaces: str
    issued_at: dt.datetime
    issued_by: str
    verify_address: str
    # The log as it was then: whoever holds the paper can prove it later. None on papers of before.
    head: Head | None = None


@dataclasses.dataclass(frozen=True, kw_only=True)
class Picture:
    """A small photo on a paper: its file in the store, what is seen, and the words under it."""

    name: str
    width: int
    height: int
    alt: str
    words: str


@dataclasses.dataclass(frozen=True, kw_only=True)
class Enclosure:
    """A file that travels inside the PDF beside the data of the paper.

    ``relationship`` is that of PDF/A-3: Alternative says that it tells the same as the pages.
    """

    name: str
    content: bytes
    description: str
    relationship: str = "Data"


@dataclasses.dataclass(frozen=True, kw_only=True)
class Sheet:
    """A compiled paper: which template, which language, and all that it says.

    ``carried`` is what the words of the body were made of, as numbers and keys; it is not printed.
    """

    kind: str
    template: str
    subject: str
    language: str
    title: str
    reference: str
    house: HouseBlock
    made_at: dt.datetime
    body: Any
    carried: Any = None
    seal: Seal | None = None
    enclosures: tuple[Enclosure, ...] = ()
    claims: tuple[Schema, ...] = ()  # what the PDF says of itself beyond PDF/A and PDF/UA

    def data(self) -> dict[str, Any]:
        """The whole content as JSON-serialisable data, for the snapshot inside the PDF."""
        data = {
            "format": FORMAT,
            "program": f"Sautereau {__version__}",
            "kind": self.kind,
            "language": self.language,
            "title": self.title,
            "reference": self.reference,
            "house": plain(self.house),
            "made_at": plain(self.made_at),
            "seal": plain(self.seal),
            "content": plain(self.body),
        }
        return data if self.carried is None else {**data, "data": plain(self.carried)}

    def fingerprint(self) -> str:
        """SHA-256 of what the paper says, whenever and by whichever release: equal means same."""
        said = {key: value for key, value in self.data().items() if key not in OUTWARD}
        return hashlib.sha256(canonical(said)).hexdigest()


def plain(value: object) -> Any:
    """Turn dataclasses, dates and decimals into what JSON knows; decimals stay exact strings."""
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        fields = dataclasses.fields(value)
        return {field.name: plain(getattr(value, field.name)) for field in fields}
    if isinstance(value, dict):
        return {str(key): plain(item) for key, item in value.items()}
    if isinstance(value, (list, tuple)):
        return [plain(item) for item in value]
    # As text: a float would turn 0.10 into 0.1 and, somewhere, into 0.09999.
    if isinstance(value, Decimal):
        return str(value)
    if isinstance(value, (dt.datetime, dt.date)):
        return value.isoformat()
    return value


def canonical(data: object) -> bytes:
    """One form of JSON for equal data, so that equal papers have equal fingerprints."""
    return json.dumps(data, sort_keys=True, separators=(",", ":"), ensure_ascii=False).encode()


def readable(data: object) -> bytes:
    """JSON for someone who opens the snapshot in thirty years, line by line."""
    return json.dumps(data, indent=1, ensure_ascii=False).encode()


def new_code() -> str:
    """A random code to print on a paper, in three groups of four."""
    letters = "".join(secrets.choice(ALPHABET) for _ in range(CODE_LETTERS))
    return "-".join(letters[i : i + 4] for i in range(0, CODE_LETTERS, 4))


def tidy_code(typed: str) -> str:
    """Bring a typed code into its printed form; empty when it cannot be one."""
    letters = [letter for letter in typed.upper() if letter in ALPHABET]
    # Letters that the alphabet leaves out are not guessed at: an O that was read may have been a Q.
    if len(letters) != CODE_LETTERS or sum(letter.isalnum() for letter in typed) != CODE_LETTERS:
        return ""
    joined = "".join(letters)
    return "-".join(joined[i : i + 4] for i in range(0, CODE_LETTERS, 4))
