"""Of what the words of the log are made: each room keeps those of its own verbs, bench gathers."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from django.db.models import Choices
from django.utils.functional import Promise

Text = str | Promise

VerbWords = Mapping[str, Text]
"""A verb of the log, and how a person reads it, with places for details: ``%(photo)s``."""

Meaning = Callable[[str], str]
DetailWords = Mapping[str, tuple[str, Meaning]]
"""A detail that is a key; the name of the place that takes its meaning, and who knows that."""


def label_of(choices: type[Choices]) -> Meaning:
    """How a list of choices words one of its values; empty for what it does not know."""

    def meaning(value: str) -> str:
        """The label of the value; empty for a code that this release does not know."""
        return str(choices(value).label) if value in choices.values else ""

    return meaning
