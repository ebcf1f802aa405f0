"""What the house needs before Django starts: its translations, its folders, its keys.

Called by ``manage.py``, by what a web server loads and by the tests; the settings only read. It
comes before Django, which keeps the translations that it found first for as long as the process
lives.
"""

from __future__ import annotations

import os
import stat
import sys
from pathlib import Path

from workshop.catalogue import compile_catalogues
from workshop.env import env_str, make_secret
from workshop.places import (
    BUNDLED,
    DATA_DIR,
    LOCALE,
    SEAL_FILE,
    SEAL_NAME,
    SECRET_FILE,
    SECRET_NAME,
    STATIC,
)

OF_OTHERS = 0o077


def prepare(*, house: bool = True) -> None:
    """Make what is missing or older than what it is made from; nothing else is touched.

    Whoever installs a ``house`` elsewhere wants none here.
    """
    compile_catalogues(LOCALE)
    if not house:
        return
    # From here on: what is written is nobody's but the house's.
    os.umask(0o077)
    DATA_DIR.mkdir(parents=True, exist_ok=True)
    close_to_others(DATA_DIR)
    STATIC.mkdir(exist_ok=True)
    BUNDLED.mkdir(exist_ok=True)
    if not env_str(SECRET_NAME):
        make_secret(SECRET_FILE)
    # One that is named elsewhere is put there by whoever named it.
    if not env_str(SEAL_NAME) and not SEAL_FILE.exists():
        _make_seal_key()


def close_to_others(folder: Path) -> int:
    """Take the rights of group and others off a folder that was open; says of how many things.

    The folder goes last: an interrupted walk is begun again at the next start, and a folder that is
    closed already costs one look.
    """
    known = folder.stat().st_mode
    if not known & OF_OTHERS:
        return 0
    if known & stat.S_ISVTX:  # as /tmp: it is not the house's to close
        sys.stderr.write(
            f"sautereau: {folder} is shared by everyone on this machine. Give SAUTEREAU_DATA a "
            "folder of its own.\n"
        )
        return 0
    closed = 0
    try:
        for path in (*folder.rglob("*"), folder):
            mode = path.lstat().st_mode
            if not stat.S_ISLNK(mode) and stat.S_IMODE(mode) & OF_OTHERS:
                path.chmod(stat.S_IMODE(mode) & ~OF_OTHERS)
                closed += 1
    except PermissionError as refused:
        sys.stderr.write(
            f"sautereau: {refused.filename} can be read by others on this machine, and belongs to "
            "somebody else: give it to the user under whom the server runs (chown).\n"
        )
    return closed


def _make_seal_key() -> None:
    """The key that signs papers. It gets its certificate with the first of them, in the name that
    the workshop has by then."""
    # Loaded once in the life of a house, and before Django is there.
    from repairs.press.signing.keyfile import make_key  # noqa: PLC0415 - see above

    make_key(SEAL_FILE)
