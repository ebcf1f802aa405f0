"""What the log says of the books, in words."""

from __future__ import annotations

from django.utils.translation import gettext_lazy as _

from repairs.audit.words import VerbWords

WORDS: VerbWords = {
    "books.exported": _("took a file of the books out (%(what)s, %(period)s)"),
    "books.closed": _("closed the year %(year)s"),
}
