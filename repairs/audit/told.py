"""A sentence with its facts, said in the language of whoever reads it, when it is read."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, cast

from django.utils.functional import Promise, lazy


def _said(words: Promise | str, facts: Mapping[str, Any]) -> str:
    return str(words) % facts


_said_later = lazy(_said, str)


def told(words: Promise | str, **facts: Any) -> Promise:
    """The words, which name their facts, as a sentence that is said later."""
    said: Any = _said_later(words, facts)  # as its own types have it, a string already
    return cast(Promise, said)
