"""The least that a PDF of photos costs: each one embedded on a page of its own by img2pdf."""

from __future__ import annotations

import sys
from pathlib import Path

import img2pdf

from repairs.measures.child import tell
from repairs.measures.content import read_pictures

A4_MM = (210, 297)


def main() -> None:
    """Only put the pictures into a PDF: the floor below which no report can come."""
    folder, count = Path(sys.argv[1]), int(sys.argv[2])
    files = [str(folder / "media" / one.name) for one in read_pictures(folder, count)]
    page = img2pdf.get_layout_fun(tuple(img2pdf.mm_to_pt(side) for side in A4_MM))
    target = folder / f"embedded-{count}.pdf"
    with target.open("wb") as out:
        img2pdf.convert(files, outputstream=out, layout_fun=page)
    tell({"pages": count, "size_mb": target.stat().st_size / 1e6})


if __name__ == "__main__":
    main()
