"""What belongs to a house beside its rows and its store: how it is set, and its keys.

Decided: an open bundle holds no secret. The key that signs papers and the key of the server lie in
encrypted ones only; without them a restored house makes new ones: everybody signs in anew, and
papers bear the new signature from then on. What was signed stays as it is.
"""

from __future__ import annotations

import json
import os
from base64 import b64encode
from collections.abc import Mapping
from pathlib import Path

from repairs.keep.payload import Payload
from workshop.places import SEAL_NAME, SECRET_NAME

SETTINGS, KEYS = "settings.json", "keys.json"
# They hold a password, or may: the address of a server with its user.
SECRET_SETTINGS = frozenset(
    {SECRET_NAME, "SAUTEREAU_MAIL_PASSWORD", "SAUTEREAU_STAMP_SERVER", "DATABASE_URL"}
)
PASSING_SETTINGS = frozenset({"SAUTEREAU_PASSWORD", "SAUTEREAU_PASSPHRASE"})


def put(payload: Payload) -> None:
    """Write them into the entry."""
    payload.write(SETTINGS, [_json(own_settings(with_secrets=payload.key is not None))])
    if payload.key is not None:
        payload.write(KEYS, [_json(_keys())])


def own_settings(*, with_secrets: bool) -> dict[str, str]:
    """The settings of the house as the machine has them."""
    named = [name for name in os.environ if name.startswith("SAUTEREAU_") or name == "DATABASE_URL"]
    hidden = PASSING_SETTINGS | (frozenset() if with_secrets else SECRET_SETTINGS)
    return {name: os.environ[name] for name in sorted(named) if name not in hidden}


def _keys() -> dict[str, str]:
    files = {name: path for name, path in key_files().items() if path.is_file()}
    return {name: b64encode(path.read_bytes()).decode() for name, path in files.items()}


def key_files() -> Mapping[str, Path]:
    """The files of keys, by the name under which a data folder has them."""
    from django.conf import settings  # noqa: PLC0415 - tests set them after this is loaded

    data = Path(settings.DATA_DIR)
    return {"secret-key": data / "secret-key", "seal-key.pem": Path(settings.SEAL_KEY_FILE)}


def left_out(*, is_open: bool) -> dict[str, str]:
    """What an open bundle does not hold, and why."""
    if not is_open:
        return {}
    why = "a secret: in encrypted backups only"
    return {"secret-key": why, "seal-key.pem": why, SEAL_NAME: why}


def _json(said: object) -> bytes:
    return json.dumps(said, ensure_ascii=False, indent=1).encode()
