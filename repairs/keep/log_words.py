"""What the log says of backups, in words."""

from __future__ import annotations

from django.utils.translation import gettext_lazy as _

from repairs.audit.words import VerbWords

WORDS: VerbWords = {
    "keep.backup": _("made a backup (%(entry)s)"),
    "keep.backup_failed": _("could not make a backup"),
    "keep.drill": _("tried whether a backup can be restored: it can (%(entry)s)"),
    "keep.drill_failed": _("tried whether a backup can be restored: it could not"),
    "keep.sheet": _("made a recovery sheet"),
    "person.let_in": _("let a new principal in from the machine itself"),
}
