"""The page of an entry that opens in any browser, without us: what is there, and where it lies."""

from __future__ import annotations

import datetime as dt
import json
from dataclasses import dataclass
from typing import Any

from django.template.loader import render_to_string
from django.utils import translation

from repairs.instruments.kinds import kind_of
from repairs.keep.dumping import Source
from repairs.keep.stored import place_of
from repairs.language.text import LANGUAGES, OWN_NAMES
from repairs.photos.models import THUMB_PX as SMALL_PX
from repairs.press.kinds import label_of

# Beside the page, which carries no style and no script of its own.
STYLE = """\
body { font: 1rem/1.5 system-ui, sans-serif; margin: 0 auto; max-width: 60rem; padding: 1rem;
  color: #1a1d1f; }
h1 { font-size: 1.6rem; line-height: 1.2; }
h2 { font-size: 1.2rem; margin: 2rem 0 .5rem; }
h3 { font-size: 1rem; margin: 1rem 0 .5rem; }
main + main { border-top: 3px solid #1a1d1f; margin-top: 3rem; }
table { border-collapse: collapse; width: 100%; }
.day { white-space: nowrap; }
p { overflow-wrap: anywhere; }
td, th { border-bottom: 1px solid #999; overflow-wrap: break-word; padding: .3rem .5rem .3rem 0;
  text-align: left; vertical-align: top; }
.photos { display: flex; flex-wrap: wrap; gap: .75rem; list-style: none; padding: 0; }
.photos li { width: 10rem; overflow-wrap: anywhere; }
.photos img { display: block; height: 8rem; max-width: 100%; object-fit: contain; }
pre { overflow-x: auto; background: #eee; padding: .75rem; }
@media (max-width: 40rem) {
  table, tbody, tr, td { display: block; }
  tr:has(th) { display: none; }
  tr { border-bottom: 1px solid #999; padding: .4rem 0; }
  td, th { border: 0; padding: 0; }
}
"""
INSTRUMENTS = """
SELECT i.number, i.kind, i.maker, c.name FROM repairs_instrument i
LEFT JOIN repairs_client c ON c.id = i.owner_id ORDER BY i.id
"""
# Of whom and of what a paper speaks: no more than it says itself, as it was frozen.
PAPERS = """
SELECT issued_at, kind, subject, version, file_name, {number}, {owner}, {buyer}
FROM repairs_paper ORDER BY issued_at DESC, id DESC
"""
INSIDE = {
    "sqlite": {
        "number": "json_extract(data, '$.content.instrument_number')",
        "owner": "json_extract(data, '$.content.owner')",
        "buyer": "json_extract(data, '$.content.buyer')",
    },
    "postgresql": {
        "number": "data #>> '{content,instrument_number}'",
        "owner": "data #>> '{content,owner}'",
        "buyer": "data #>> '{content,buyer}'",
    },
}
PHOTOS = """
SELECT k.number, p.number, p.caption, o.file_name, o.sha256
FROM repairs_photo p JOIN repairs_original o ON o.id = p.original_id
JOIN repairs_case k ON k.id = p.case_id ORDER BY k.year, k.sequence, p.number
"""


@dataclass(frozen=True)
class Index:
    """What the page lists; empty for an encrypted entry."""

    house: str = ""
    instruments: tuple[dict[str, Any], ...] = ()
    papers: tuple[dict[str, Any], ...] = ()
    photos: tuple[dict[str, Any], ...] = ()


def read(source: Source) -> Index:
    """What an open entry lists, from the rows of its own moment."""
    house = list(source.rows("SELECT name FROM repairs_house ORDER BY id LIMIT 1"))
    return Index(
        str(house[0][0]) if house else "",
        tuple(_instrument(*row) for row in source.rows(INSTRUMENTS)),
        tuple(_paper(*row) for row in source.rows(PAPERS.format(**INSIDE[source.vendor]))),
        tuple(_photo(*row) for row in source.rows(PHOTOS)),
    )


def _instrument(number: Any, kind: str, maker: str, owner: str | None) -> dict[str, Any]:
    return {"number": number, "kind": kind_of(kind).label, "maker": maker, "owner": owner or ""}


def _paper(*row: Any) -> dict[str, Any]:
    at, kind, subject, version, name, instrument, owner, buyer = row
    about, _colon, number = subject.partition(":")
    return {
        "day": dt.date.fromisoformat(str(at)[:10]),
        "kind": kind,
        # Of a stay or an invoice it is what people ask for; of other things a row's own number.
        "number": number if about in ("case", "invoice", "instrument") else "",
        "version": version,
        "place": place_of(name),
        "instrument": instrument or "",
        "owner": _name(owner or buyer or ""),
    }


def _name(said: str) -> str:
    """The first line of an address; some papers have the name alone."""
    if not said.startswith("["):
        return said
    lines = json.loads(said)
    return str(lines[0]) if lines else ""


def _photo(case: str, number: int, caption: str, name: str, digest: str) -> dict[str, Any]:
    small = place_of(f"derived/{digest[:2]}/{digest[2:4]}/{digest}-{SMALL_PX}.jpg")
    return {"case": case, "number": number, "caption": caption,
            "place": place_of(name), "small": small}  # fmt: skip


def files(index: Index, said: dict[str, Any]) -> dict[str, str]:
    """What lies at the head of an entry for a browser, by name."""
    return {"index.html": page(index, said), "index.css": STYLE}


def page(index: Index, said: dict[str, Any]) -> str:
    """The page, in both languages one after the other: nobody may be there to choose."""
    facts = {"index": index, "said": said, "day": dt.date.fromisoformat(str(said["made_at"])[:10])}
    parts = []
    for language in LANGUAGES:
        # Kinds have a word in each language, which no catalogue knows.
        rows = [{**one, "kind": one["kind"][language]} for one in index.instruments]
        with translation.override(language):
            own = {**facts, "lang": language, "instruments": rows, "papers": _told(index, rows)}
            parts.append(render_to_string("keep/bundle_part.html", own))
    return render_to_string("keep/bundle.html", {**facts, "parts": parts, "languages": OWN_NAMES})


def _told(index: Index, instruments: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """The papers with words for their kind and instrument, in the language that is spoken."""
    kinds = {one["number"]: one["kind"] for one in instruments}
    return [
        {**one, "label": label_of(one["kind"]), "what": kinds.get(one["instrument"], "")}
        for one in index.papers
    ]
