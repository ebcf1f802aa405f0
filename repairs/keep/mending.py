"""Put a true file back in the place of one that is missing or was changed."""

from __future__ import annotations

import datetime as dt
import os
from collections.abc import Collection
from pathlib import Path

from repairs.keep.looking import Known
from repairs.keep.sources import Source
from repairs.storage import files as store
from repairs.storage.rows import chunked

ASIDE = "aside"
AT_ONCE = 200  # names in one question to the database


def mend(harmed: Collection[Known], source: Source) -> set[str]:
    """Mend what can be; return the names of what was: copies first, then what is made of others."""
    mended = {known.kept.name for known in harmed if known.kept.sha256 and _fetched(known, source)}
    for shelf in {known.shelf.folder: known.shelf for known in harmed}.values():
        if shelf.make_anew is None:
            continue
        here = [known.kept.name for known in harmed if known.shelf is shelf]
        for names in chunked((name for name in here if name not in mended), AT_ONCE):
            mended |= shelf.make_anew(names)
    return mended


def _fetched(known: Known, source: Source) -> bool:
    """Whether a file with the right bytes was found and put in its place."""
    digest, target = known.kept.sha256, store.path_of(known.kept.name)
    copy = source(digest)
    if copy is None:
        return False
    with store.held(digest):
        set_aside(target, ".changed")
        store.put_beside(copy, target, as_copy=True)
    return True


def aside() -> Path:
    """Where files lie that were taken off a shelf and are not thrown away yet."""
    return store.root() / ASIDE


def set_aside(path: Path, suffix: str = "") -> None:
    """Take a file off its shelf without losing it: what was changed may have to be shown."""
    if not path.exists():
        return
    target = aside() / path.relative_to(store.root().resolve())
    if suffix:
        moment = dt.datetime.now(dt.UTC).strftime("%Y%m%dT%H%M%S%f")
        target = target.with_name(f"{target.name}.{moment}{suffix}")
    target.parent.mkdir(parents=True, exist_ok=True)
    os.utime(path)  # it lies aside from now on
    path.replace(target)
