"""Lays out a house, backs it up, or does only what nobody can spare: copy and hash its files.

``python -m … HOW DISK [MB]`` with HOW one of ``lay``, ``whole``, ``again`` and ``floor``; the data
folder is SAUTEREAU_DATA. Only the work is counted, not the start of the process.
"""

from __future__ import annotations

import hashlib
import os
import random
import shutil
import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import django

PHOTO_BYTES = 4_000_000
SMALLER = {2016: 600_000, 1344: 280_000, 720: 90_000, 320: 25_000}
BLOCK = 1024 * 1024


def lay(disk: Path, words: list[str]) -> dict[str, Any]:
    """A migrated database, and photos of noise with their smaller sizes, until there are enough."""
    from django.core.management import call_command  # noqa: PLC0415 - after the set-up

    from repairs.storage import files as store  # noqa: PLC0415 - see above

    call_command("migrate", verbosity=0)
    noise, wanted, total, count = random.Random(1771), int(words[0]) * 1_000_000, 0, 0  # noqa: S311
    while total < wanted:
        digest, _name = store.keep(noise.randbytes(PHOTO_BYTES), "originals", ".jpg")
        for size, weight in SMALLER.items():
            place = store.path_of(store.name_for("derived", digest, f"-{size}.jpg"))
            store.write_whole(place, noise.randbytes(weight))
        total, count = total + PHOTO_BYTES + sum(SMALLER.values()), count + 1 + len(SMALLER)
    disk.mkdir(parents=True, exist_ok=True)
    return {"files": count, "bytes": total}


def whole(disk: Path, _words: list[str]) -> dict[str, Any]:
    """A first backup."""
    place = disk / "whole"
    shutil.rmtree(place, ignore_errors=True)
    spent = _back_up(place)
    shutil.rmtree(place)
    return spent


def again(disk: Path, _words: list[str]) -> dict[str, Any]:
    """The next one of an unchanged house; the one before it is not counted."""
    place = disk / "again"
    shutil.rmtree(place, ignore_errors=True)
    _back_up(place)
    spent = _back_up(place)
    shutil.rmtree(place)
    return spent


def _back_up(place: Path) -> dict[str, Any]:
    from django.utils import timezone  # noqa: PLC0415 - after the set-up

    from repairs.keep.keys import Wanted  # noqa: PLC0415 - see above
    from repairs.keep.making import make_entry  # noqa: PLC0415 - see above

    begun = time.process_time()
    make_entry(place, Wanted(), at=timezone.now())
    return {"work_s": time.process_time() - begun}


def floor(disk: Path, _words: list[str]) -> dict[str, Any]:
    """Copy every file and hash it on the way."""
    source, place = Path(os.environ["SAUTEREAU_DATA"]) / "media", disk / "floor"
    shutil.rmtree(place, ignore_errors=True)
    begun = time.process_time()
    for folder, _folders, names in os.walk(source):
        target = place / Path(folder).relative_to(source)
        target.mkdir(parents=True)
        for name in names:
            digest = hashlib.sha256()
            with (Path(folder) / name).open("rb") as read, (target / name).open("wb") as written:
                while block := read.read(BLOCK):
                    digest.update(block)
                    written.write(block)
            digest.hexdigest()
    os.sync()
    spent = {"work_s": time.process_time() - begun}
    shutil.rmtree(place)
    return spent


WAYS: dict[str, Callable[[Path, list[str]], dict[str, Any]]] = {
    "lay": lay,
    "whole": whole,
    "again": again,
    "floor": floor,
}


def main() -> None:
    """Do one of the ways and tell what it cost."""
    django.setup()
    from repairs.measures.child import tell  # noqa: PLC0415 - beside its one use

    tell(WAYS[sys.argv[1]](Path(sys.argv[2]), sys.argv[3:]))


if __name__ == "__main__":
    main()
