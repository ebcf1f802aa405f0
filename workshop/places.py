"""Where the house lies and where it keeps its data; known before the settings are read."""

from __future__ import annotations

from pathlib import Path

from workshop.env import env_str

BASE_DIR = Path(__file__).resolve().parent.parent
DATA_DIR = Path(env_str("SAUTEREAU_DATA") or BASE_DIR / ".data").resolve()
STATIC = DATA_DIR / "static"  # what pages fetch, gathered by a server at its start
BUNDLED = DATA_DIR / "bundled"
LOCALE = BASE_DIR / "repairs" / "locale"
SECRET_NAME, SECRET_FILE = "SAUTEREAU_SECRET_KEY", DATA_DIR / "secret-key"
# Beside the database and not in it: who reads a copy of the rows cannot sign in the house's name.
SEAL_NAME, SEAL_FILE = "SAUTEREAU_SEAL_KEY", DATA_DIR / "seal-key.pem"
