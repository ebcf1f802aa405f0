"""What the house needs before Django starts: its translations, its folders, its keys.

Called by ``manage.py``, by what a web server loads and by the tests; the settings only read. It
comes before Django, which keeps the translations that it found first for as long as the process
lives.
"""

from __future__ import annotations

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


def prepare() -> None:
    """Make what is missing or older than what it is made from; nothing else is touched."""
    compile_catalogues(LOCALE)
    DATA_DIR.mkdir(parents=True, exist_ok=True)
    STATIC.mkdir(exist_ok=True)
    BUNDLED.mkdir(exist_ok=True)
    if not env_str(SECRET_NAME):
        make_secret(SECRET_FILE)
    # One that is named elsewhere is put there by whoever named it.
    if not env_str(SEAL_NAME) and not SEAL_FILE.exists():
        _make_seal_key()


def _make_seal_key() -> None:
    """The key that signs papers. It gets its certificate with the first of them, in the name that
    the workshop has by then."""
    # Loaded once in the life of a house, and before Django is there.
    from repairs.press.signing.keyfile import make_key  # noqa: PLC0415 - see above

    make_key(SEAL_FILE)
