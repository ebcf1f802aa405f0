"""One thing that a rule found."""

from __future__ import annotations

import re
from dataclasses import dataclass
from decimal import Decimal

from django.utils.functional import Promise
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

FATAL, WARNING, INFORMATION, WAIVED = "fatal", "warning", "information", "waived"
TOLERATED = Decimal(1)  # EN 16931, BR-CO-17, lets tax be off by as much, for rounding
OWN, FRENCH = "OWN-", "BR-FR-"
NAMESPACE = re.compile(r"\[namespace-uri\(\)='[^']*'\]|\*:|\[1\]")
SCHEMA_LINE = re.compile(r"line (\d+)")

FLAG_WORDS: dict[str, str | Promise] = {
    FATAL: _("broken"),
    WARNING: _("to be looked at"),
    INFORMATION: _("good to know"),
    WAIVED: _("does not apply here"),
}


@dataclass(frozen=True, kw_only=True)
class Finding:
    """``where`` is a path or a line in the XML; empty for the invoice as a whole."""

    rule: str
    flag: str
    text: str
    where: str = ""

    @property
    def is_fatal(self) -> bool:
        """Whether the invoice may not go out with it."""
        return self.flag == FATAL

    @property
    def is_ours(self) -> bool:
        """Said in the language of the reader; all else keeps its published words."""
        return self.rule.startswith(OWN)

    @property
    def language(self) -> str:
        """Of the text: the rules of the French administration speak French, all others English."""
        if self.is_ours:
            return ""
        return "fr" if self.rule.startswith(FRENCH) else "en"

    @property
    def flag_words(self) -> str:
        """How much it weighs, in the language in force; an unknown weight counts as broken."""
        if self.is_ours and self.is_fatal:
            return gettext("wrong")
        return str(FLAG_WORDS.get(self.flag, FLAG_WORDS[FATAL]))

    @property
    def place(self) -> str:
        """Where it is, for a reader: the path without its namespaces and without each “first”."""
        if line := SCHEMA_LINE.fullmatch(self.where):
            return gettext("line %(number)s") % {"number": line[1]}
        return NAMESPACE.sub("", self.where)
