"""Typed readers of the environment that fail loudly, with the variable's name, on a bad value."""

from __future__ import annotations

import datetime as dt
import os
import secrets
from pathlib import Path

from django.core.exceptions import ImproperlyConfigured

TRUE_WORDS = {"1", "true", "yes", "on"}
FALSE_WORDS = {"0", "false", "no", "off", ""}


def env_str(name: str, default: str = "") -> str:
    return os.environ.get(name, default).strip()


def env_bool(name: str, *, default: bool = False) -> bool:
    word = os.environ.get(name)
    if word is None:
        return default
    if word.strip().lower() in TRUE_WORDS:
        return True
    if word.strip().lower() in FALSE_WORDS:
        return False
    raise ImproperlyConfigured(f"{name} must be 1 or 0, not {word!r}.")


def env_int(name: str, default: int) -> int:
    word = os.environ.get(name)
    if word is None or not word.strip():
        return default
    try:
        return int(word)
    except ValueError as error:
        raise ImproperlyConfigured(f"{name} must be a whole number, not {word!r}.") from error


def env_hour(name: str, default: str) -> str:
    """A time of day, such as 02:30."""
    word = env_str(name) or default
    try:
        return dt.time.fromisoformat(word).strftime("%H:%M")
    except ValueError as error:
        raise ImproperlyConfigured(f"{name} must be a time such as 02:30, not {word!r}.") from error


def env_list(name: str, default: str = "") -> list[str]:
    return [part.strip() for part in env_str(name, default).split(",") if part.strip()]


def env_secret(name: str, kept_in: Path) -> str:
    """Return the secret from the environment, or the one in its file; empty when neither is there,
    and Django says so as soon as it signs something."""
    given = env_str(name)
    if given or not kept_in.exists():
        return given
    return kept_in.read_text().strip()


def make_secret(keep_in: Path) -> None:
    """Make a secret once and keep it in a private file."""
    if keep_in.exists():
        return
    draft = keep_in.with_suffix(f".{os.getpid()}")
    draft.write_text(secrets.token_urlsafe(64))
    draft.chmod(0o600)
    try:
        keep_in.hardlink_to(draft)  # the first of two processes wins, whole
    except FileExistsError:
        pass
    finally:
        draft.unlink()
