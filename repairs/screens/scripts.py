"""The words that the browser's modules say, told by the rooms that own the modules."""

from __future__ import annotations

from collections.abc import Mapping

from django.utils.functional import Promise

Words = Mapping[str, str | Promise]

_words: dict[str, Words] = {}


def register(script: str, *words: Words) -> None:
    """Tell what a module and those that it imports say, by the keys that they ask for.

    Raises ValueError when the module has its words already, or two lists give one key.
    """
    if script in _words:
        raise ValueError(f"the words of {script} are registered twice")
    every = [key for some in words for key in some]
    if len(every) != len(set(every)):
        raise ValueError(f"two lists of words for {script} give the same key")
    _words[script] = {key: said for some in words for key, said in some.items()}


def registered() -> tuple[str, ...]:
    """The modules of which the words are known, in alphabetical order."""
    return tuple(sorted(_words))


def words_of(script: str) -> Words:
    """The words of one module. Raises KeyError when no room told of it."""
    return _words[script]
