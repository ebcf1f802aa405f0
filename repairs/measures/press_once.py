"""Prints one condition report in a process of its own: ``python -m … FOLDER PHOTOS``.

FOLDER is also the house's data folder (SAUTEREAU_DATA), so the pictures lie in its store.
"""

from __future__ import annotations

import sys
from pathlib import Path

import django

from repairs.measures.child import tell
from repairs.measures.content import read_pictures, sheet


def main() -> None:
    """Print the report once, in this process, which the harness measures."""
    folder, count = Path(sys.argv[1]), int(sys.argv[2])
    django.setup()
    from repairs.press.render import render  # noqa: PLC0415 - the apps must be ready first

    pdf, pages = render(sheet(read_pictures(folder, count)))
    (folder / f"report-{count}.pdf").write_bytes(pdf)
    tell({"pages": pages, "size_mb": len(pdf) / 1e6})


if __name__ == "__main__":
    main()
