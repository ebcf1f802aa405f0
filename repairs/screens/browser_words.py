"""What the modules of every room say: the page itself, drafts, the server's answers, undoing."""

from __future__ import annotations

from django.utils.translation import gettext_lazy as _

from repairs.screens.scripts import Words, register

UNDO: Words = {
    "undo": _("Undo"),
    "undo.done": _("Undone."),
}
SERVER: Words = {
    "server.offline": _("The network is away."),
    "server.failed": _("The server could not do this. Try again in a moment."),
    "server.refused": _("The server refused this. Reload the page and try again."),
    "server.signed_out": _("You are signed out. Sign in in another window, then try again here."),
}
DRAFT: Words = {
    "draft.found": _("You typed here on %(time)s, and it was not sent."),
    "draft.put_back": _("Put it back"),
    "draft.discard": _("Discard"),
    "draft.offline": _(
        "You are offline: nothing was sent. What you typed is kept on this device; "
        "send again when the network is back."
    ),
    "draft.offline_unkept": _(
        "You are offline: nothing was sent, and this device keeps no draft. "
        "Leave this page open and send again when the network is back."
    ),
    "draft.online": _("The network is back: send again."),
}
PAGE: Words = {
    "page.copied": _("Copied."),
    "page.not_copied": _("Copying failed. The text is: %(text)s"),
}

register("page.js", PAGE)
register("draft.js", DRAFT)
