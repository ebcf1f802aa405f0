"""What the log says of keeping the house's files and jobs, and of backups, in words."""

from __future__ import annotations

from django.utils.translation import gettext_lazy as _

from repairs.audit.words import VerbWords

WORDS: VerbWords = {
    "job.tried_again": _("had a failed job (%(name)s) done once more"),
    "job.let_go": _("let a failed job (%(name)s) go"),
    "store.mending": _("had missing and changed files mended"),
    "keep.backup": _("made a backup (%(entry)s)"),
    "keep.backup_failed": _("could not make a backup"),
    "keep.drill": _("tried whether a backup can be restored: it can (%(entry)s)"),
    "keep.drill_failed": _("tried whether a backup can be restored: it could not"),
    "keep.sheet": _("made a recovery sheet"),
    "person.let_in": _("let a new principal in from the machine itself"),
}
