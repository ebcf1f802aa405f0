"""Takes in photos, or does only what nobody can spare, in a process that is already warm.

``python -m … HOW FOLDER FILE…`` with HOW one of ``ingest`` and ``floor``. The first file is done
once beforehand, so that imports and the codecs' start are not counted; then the process says that
it is ready and waits for a line, so that two of them can start together.
"""

from __future__ import annotations

import hashlib
import sys
import time
from collections.abc import Callable
from io import BytesIO
from pathlib import Path

from PIL import Image

from repairs.measures.child import tell
from repairs.photos.darkroom import develop

MOST_PIXELS = 120_000_000


def ingest(file: Path, folder: Path) -> None:
    """What the app does with one photo."""
    develop(file, folder, MOST_PIXELS)


def floor(file: Path, _folder: Path) -> None:
    """The hash and one full decode: without them a photo is neither named nor verified."""
    data = file.read_bytes()
    hashlib.sha256(data).hexdigest()
    with Image.open(BytesIO(data)) as picture:
        picture.load()


WAYS: dict[str, Callable[[Path, Path], None]] = {"ingest": ingest, "floor": floor}


def main() -> None:
    """Develop the files in one of the ways, in this process, which the harness measures."""
    way, folder = WAYS[sys.argv[1]], Path(sys.argv[2])
    files = [Path(word) for word in sys.argv[3:]]
    folder.mkdir(parents=True, exist_ok=True)
    if files[0].suffix == ".heic":
        import pillow_heif  # noqa: PLC0415 - 50 ms that JPEG photos need not pay

        pillow_heif.register_heif_opener(thumbnails=False)
    way(files[0], folder)
    sys.stdout.write("ready\n")
    sys.stdout.flush()
    sys.stdin.readline()
    cpu, begun = time.process_time(), time.monotonic()
    for file in files:
        way(file, folder)
    ended = time.monotonic()
    tell({"work_s": time.process_time() - cpu, "begun": begun, "ended": ended})


if __name__ == "__main__":
    main()
