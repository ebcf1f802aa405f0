"""What the tests of the estimate's screens share: a version as it is typed, addresses, words."""

from __future__ import annotations

import html
import re
from typing import Any

from django.http import HttpResponse
from django.urls import reverse

from repairs.estimates.models import Estimate

SHARED = {
    "valid_until": "2030-01-31",
    "hourly_rate": "60",
    "survey_fee": "",
    "tax_pct": "20",
    "tax_words": "",
    "stop_pct": "10",
    "deposit_pct": "",
    "intro": "",
    "seen": "0",
    "options": "3",
}


def sent(**fields: Any) -> dict[str, Any]:
    """One option with one line of work; the two others left empty."""
    rows = {f"o{number}-lines": "2" for number in (1, 2, 3)}
    kinds = {"o1-kind": "safe", "o2-kind": "playable", "o3-kind": "full"}
    return {**SHARED, **rows, **kinds, "o1l1-what": "seam", **fields}


def at(name: str, row: Estimate) -> str:
    return reverse(f"estimates:{name}", args=[row.case.number, row.version])


def words(answer: HttpResponse) -> str:
    """The page as a person reads it: white space of the source is one space, hard ones stay."""
    return re.sub(r"[ \n\t]+", " ", html.unescape(answer.content.decode()))
