"""What the log says of papers, in words."""

from __future__ import annotations

from django.utils.translation import gettext_lazy as _

from repairs.audit.words import DetailWords, VerbWords
from repairs.press.kinds import label_of

WORDS: VerbWords = {
    "paper.issued": _("issued the %(kind_label)s, version %(version)s"),
    "paper.taken_out": _("opened the %(kind_label)s"),
    "paper.stamped": _("received the time stamp of a paper"),
    "paper.proved": _("kept proofs of a signature for later years"),
    "seal.made": _("made a new key to sign papers with"),
    "seal.taken": _("took over a key to sign papers with"),
}
# Details that are keys, and the name under which the words take what they mean.
DETAILS: DetailWords = {"kind": ("kind_label", label_of)}
