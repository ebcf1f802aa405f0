"""What the house needs before Django starts: its translations, its folders, its signing key.

Called by ``manage.py``, by what a web server loads and by the tests; the settings only read. It
comes before Django, which keeps the translations that it found first for as long as the process
lives.
"""

from __future__ import annotations

from workshop.catalogue import compile_catalogues
from workshop.env import env_str, make_secret
from workshop.places import DATA_DIR, LOCALE, SECRET_FILE, SECRET_NAME, STATIC


def prepare() -> None:
    """Make what is missing or older than what it is made from; nothing else is touched."""
    compile_catalogues(LOCALE)
    DATA_DIR.mkdir(parents=True, exist_ok=True)
    STATIC.mkdir(exist_ok=True)
    if not env_str(SECRET_NAME):
        make_secret(SECRET_FILE)
