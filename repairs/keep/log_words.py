"""What the log says of keeping the house's files and jobs, in words."""

from __future__ import annotations

from django.utils.translation import gettext_lazy as _

from repairs.audit.words import VerbWords

WORDS: VerbWords = {
    "job.tried_again": _("had a failed job (%(name)s) done once more"),
    "job.let_go": _("let a failed job (%(name)s) go"),
    "store.mending": _("had missing and changed files mended"),
}
