"""What the page says while photos are being sent."""

from __future__ import annotations

from django.utils.translation import gettext_lazy as _
from django.utils.translation import pgettext_lazy

from repairs.screens.browser_words import SERVER
from repairs.screens.scripts import Words, register

UPLOAD: Words = {
    "upload.progress": _("Sending %(name)s"),
    "upload.queued": _("waiting for its turn"),
    "upload.sending": _("%(sent)s of %(size)s sent"),
    "upload.waiting": _("waiting for the network, %(kept)s of %(size)s kept"),
    "upload.received": _("received, being prepared"),
    "upload.ready": _("● ready"),
    "upload.refused": _("✕ %(name)s was refused: %(reason)s"),
    "upload.failed": _("%(reason)s %(kept)s of %(size)s kept."),
    "upload.empty": _("The file is empty."),
    "upload.unreadable": _("The file can no longer be read. Choose it again."),
    "upload.retry": _("Try again"),
    "upload.retry_file": _("Try again: %(name)s"),
    "upload.twice": _("Already in the list: %(names)s"),
    "upload.summary.one": _("%(ready)s of %(count)s photo ready"),
    "upload.summary.other": _("%(ready)s of %(count)s photos ready"),
    "upload.summary_refused.one": pgettext_lazy("one photo", "%(count)s refused"),
    "upload.summary_refused.other": pgettext_lazy("several photos", "%(count)s refused"),
    "upload.summary_failed.one": pgettext_lazy("one photo", "%(count)s not sent"),
    "upload.summary_failed.other": pgettext_lazy("several photos", "%(count)s not sent"),
}

register("upload.js", UPLOAD, SERVER)
register("naming.js", {})
