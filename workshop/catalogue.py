"""Makes the .mo files of the translations; a bare machine has no msgfmt.

Called before Django starts: it keeps what it found the first time for as long as the process lives.
"""

from __future__ import annotations

import os
from pathlib import Path

import polib


def compile_catalogues(root: Path) -> list[Path]:
    """Write each .mo that is missing or older than its .po, whole or not at all."""
    written = []
    for po in sorted(root.glob("*/LC_MESSAGES/*.po")):
        mo = po.with_suffix(".mo")
        if mo.exists() and mo.stat().st_mtime >= po.stat().st_mtime:
            continue
        draft = mo.with_suffix(f".{os.getpid()}.part")
        polib.pofile(str(po)).save_as_mofile(str(draft))
        draft.replace(mo)
        written.append(mo)
    return written
