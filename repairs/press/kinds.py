"""The kinds of paper, told by the rooms that make them: the press itself knows none.

The key stands in rows and inside PDFs and never changes; the label is said in the
reader's language.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from django.utils.functional import Promise

# From what a paper said, as it was frozen when it was issued, to the sums that stand on it.
SumsOf = Callable[[Mapping[str, Any]], tuple[str, ...]]

_labels: dict[str, str | Promise] = {}
_telling: dict[str, list[str]] = {}
_sums: dict[str, SumsOf] = {}

LONGEST_KEY = 24


def register(
    key: str, label: str | Promise, *, tells_of: str = "", sums: SumsOf | None = None
) -> str:
    """Make a kind of paper known and return its key.

    ``tells_of`` names what a lower room keeps and must know to be told on paper. ``sums`` finds the
    sums of a paper about money, for the page on which anyone checks it. Raises ValueError when the
    key is taken by another label, or is too long for the column that holds it.
    """
    if len(key) > LONGEST_KEY:
        raise ValueError(f"a kind of paper has at most {LONGEST_KEY} letters: {key!r}")
    if key in _labels:
        raise ValueError(f"two rooms register the kind of paper {key!r}")
    _labels[key] = label
    if sums is not None:
        _sums[key] = sums
    if tells_of:
        _telling.setdefault(tells_of, []).append(key)
    return key


def registered() -> tuple[str, ...]:
    """The keys of all kinds, in alphabetical order."""
    return tuple(sorted(_labels))


def label_of(key: str) -> str:
    """What a paper of that kind is called; a kind that no room knows is shown by its key."""
    return str(_labels.get(key, key))


def telling_of(what: str) -> tuple[str, ...]:
    """The kinds whose papers tell the owner of that."""
    return tuple(_telling.get(what, ()))


def sums_of(key: str, content: Mapping[str, Any]) -> tuple[str, ...]:
    """The sums of such a paper with their currency, as they stand on it; none for other papers."""
    find = _sums.get(key)
    return find(content) if find else ()
