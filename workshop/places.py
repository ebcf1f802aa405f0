"""Where the house lies and where it keeps its data; known before the settings are read."""

from __future__ import annotations

from pathlib import Path

from workshop.env import env_str

BASE_DIR = Path(__file__).resolve().parent.parent
DATA_DIR = Path(env_str("SAUTEREAU_DATA") or BASE_DIR / ".data").resolve()
STATIC = DATA_DIR / "static"
LOCALE = BASE_DIR / "repairs" / "locale"
SECRET_NAME, SECRET_FILE = "SAUTEREAU_SECRET_KEY", DATA_DIR / "secret-key"
