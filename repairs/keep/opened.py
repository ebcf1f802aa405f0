"""The page of an entry that opens in any browser, without us: what is there, and where it lies."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from django.template.loader import render_to_string
from django.utils import translation

from repairs.instruments.kinds import kind_of
from repairs.keep.dumping import Source
from repairs.keep.stored import place_of
from repairs.language.text import LANGUAGES, OWN_NAMES
from repairs.photos.models import THUMB_PX as SMALL_PX

# Beside the page, which carries no style and no script of its own.
STYLE = """\
body { font: 1rem/1.5 serif; margin: 0 auto; max-width: 60rem; padding: 1rem; }
table { border-collapse: collapse; display: block; overflow-x: auto; }
p { overflow-wrap: anywhere; }
td, th { border-bottom: 1px solid #999; overflow-wrap: break-word; padding: .3rem .5rem .3rem 0;
  text-align: left; vertical-align: top; }
.photos { display: flex; flex-wrap: wrap; gap: .75rem; list-style: none; padding: 0; }
.photos li { width: 10rem; overflow-wrap: anywhere; }
.photos img { display: block; height: 8rem; max-width: 100%; object-fit: contain; }
pre { overflow-x: auto; background: #eee; padding: .75rem; }
"""
INSTRUMENTS = """
SELECT i.number, i.kind, i.maker, c.name FROM repairs_instrument i
LEFT JOIN repairs_client c ON c.id = i.owner_id ORDER BY i.id
"""
PAPERS = "SELECT issued_at, title, subject, version, file_name FROM repairs_paper ORDER BY id"
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
        tuple(_paper(*row) for row in source.rows(PAPERS)),
        tuple(_photo(*row) for row in source.rows(PHOTOS)),
    )


def _instrument(number: Any, kind: str, maker: str, owner: str | None) -> dict[str, Any]:
    return {"number": number, "kind": kind_of(kind).label, "maker": maker, "owner": owner or ""}


def _paper(at: Any, title: str, subject: str, version: int, name: str) -> dict[str, Any]:
    day = str(at)[:10]
    return {"day": day, "title": title, "subject": subject, "version": version,
            "place": place_of(name)}  # fmt: skip


def _photo(case: str, number: int, caption: str, name: str, digest: str) -> dict[str, Any]:
    small = place_of(f"derived/{digest[:2]}/{digest[2:4]}/{digest}-{SMALL_PX}.jpg")
    return {"case": case, "number": number, "caption": caption,
            "place": place_of(name), "small": small}  # fmt: skip


def files(index: Index, said: dict[str, Any]) -> dict[str, str]:
    """What lies at the head of an entry for a browser, by name."""
    return {"index.html": page(index, said), "index.css": STYLE}


def page(index: Index, said: dict[str, Any]) -> str:
    """The page, in both languages one after the other: nobody may be there to choose."""
    facts = {"index": index, "said": said, "day": str(said["made_at"])[:10]}
    parts = []
    for language in LANGUAGES:
        # Kinds have a word in each language, which no catalogue knows.
        rows = [{**one, "kind": one["kind"][language]} for one in index.instruments]
        own = {**facts, "lang": language, "instruments": rows}
        with translation.override(language):
            parts.append(render_to_string("keep/bundle_part.html", own))
    return render_to_string("keep/bundle.html", {**facts, "parts": parts, "languages": OWN_NAMES})
