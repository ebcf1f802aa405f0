"""Passphrases and keys as they are handed over: in a file, or typed from paper."""

from __future__ import annotations

import getpass
import sys
from pathlib import Path

from django.utils.translation import gettext as _

from repairs.keep.refusals import KeyWantedError, SecretUnreadableError

MOST_BYTES = 4096


def read_secret(file: str) -> str:
    """The passphrase or key in that file, without its line end. Raises SecretUnreadableError."""
    try:
        data = Path(file).expanduser().read_bytes()[: MOST_BYTES + 1]
        text = data.decode("utf-8").strip("\r\n")
    except OSError as fault:
        raise SecretUnreadableError(place=file, why=fault.strerror) from fault
    except UnicodeDecodeError as fault:
        raise SecretUnreadableError(place=file, why="UTF-8") from fault
    if not text.strip() or len(data) > MOST_BYTES:
        raise SecretUnreadableError(place=file, why=_("it is empty or no line of words"))
    return text


def typed_secret() -> str:
    """The passphrase or key as it is typed, unseen; from standard input where nobody sits there.

    Raises KeyWantedError.
    """
    if sys.stdin is not None and sys.stdin.isatty():
        typed = getpass.getpass(_("Key or passphrase from the recovery sheet: "))
    else:
        typed = sys.stdin.readline() if sys.stdin else ""
    if not typed.strip():
        raise KeyWantedError
    return typed.strip("\r\n")
