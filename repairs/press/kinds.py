"""The kinds of paper, told by the rooms that make them: the press itself knows none.

The key stands in rows and inside PDFs and never changes; the label is said in the
reader's language.
"""

from __future__ import annotations

from django.utils.functional import Promise

_labels: dict[str, str | Promise] = {}
_telling: dict[str, list[str]] = {}

LONGEST_KEY = 24


def register(key: str, label: str | Promise, *, tells_of: str = "") -> str:
    """Make a kind of paper known and return its key.

    ``tells_of`` names what a lower room keeps and must know to be told on paper. Raises ValueError
    when the key is taken by another label, or is too long for the column that holds it.
    """
    if len(key) > LONGEST_KEY:
        raise ValueError(f"a kind of paper has at most {LONGEST_KEY} letters: {key!r}")
    if key in _labels:
        raise ValueError(f"two rooms register the kind of paper {key!r}")
    _labels[key] = label
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
