"""The estimate and the consent record as frozen data: everything that they say, in their language.

An issued estimate is shown from its snapshot, never compiled anew: what the owner sees through the
link, on the phone and on paper is one and the same.
"""

from __future__ import annotations

from dataclasses import dataclass

from repairs.estimates.pictured import PictureBlock
from repairs.estimates.totals import OptionTotals


@dataclass(frozen=True, kw_only=True)
class LineBlock:
    """One line of an option, in words and figures."""

    kind: str
    kind_label: str
    title: str
    words: str
    procedure: str
    procedure_version: int
    findings: tuple[tuple[int, str], ...]
    hours: str
    amount: str
    is_irreversible: bool
    is_sampling: bool


@dataclass(frozen=True, kw_only=True)
class ProcedureBlock:
    """A procedure that some option names, told once."""

    title: str
    purpose: str
    reversibility: str
    is_irreversible: bool


@dataclass(frozen=True, kw_only=True)
class OptionBlock:
    """One way offered. ``totals`` holds the same sums as exact numbers."""

    number: int
    kind: str
    kind_label: str
    title: str
    promise: str
    lines: tuple[LineBlock, ...]
    hours: str
    net: str
    tax: str
    total: str
    ceiling: str
    stop_words: str
    deposit: str
    risk: str
    reversibility: str
    left_out: str
    irreversible: tuple[str, ...]
    sampling: tuple[str, ...]
    totals: OptionTotals


@dataclass(frozen=True, kw_only=True)
class EstimateContent:
    """The whole estimate, in the order in which it is read."""

    case_number: str
    instrument_number: str
    instrument: str
    owner: tuple[str, ...]
    version: int
    intro: str
    owner_words: str
    pictures: tuple[PictureBlock, ...]
    options: tuple[OptionBlock, ...]
    procedures: tuple[ProcedureBlock, ...]
    rate: str
    survey_fee: str
    tax_pct: str
    tax_words: str
    currency: str
    valid_until: str
    deposit_pct: int
    protected: tuple[tuple[str, str, str], ...]
    spoken_most: str


@dataclass(frozen=True, kw_only=True)
class ConsentContent:
    """What one person decided, about exactly which paper, when and how."""

    case_number: str
    instrument_number: str
    instrument: str
    owner: str
    number: int
    is_agreed: bool
    decision: str
    how: str
    name: str
    authority: str
    said_at: str
    noted: str
    option: str
    works: tuple[tuple[str, str], ...]
    others: tuple[str, ...]
    sums: tuple[tuple[str, str], ...]
    total: str
    irreversible: tuple[str, ...]
    sampling: tuple[str, ...]
    left_out: str
    words: str
    confirmation: str
    estimate_title: str
    estimate_version: int
    estimate_code: str
    estimate_issued: str
    estimate_sha256: str
    signature: str
    signed_by_typing: bool
