"""What the log says of the stay, in words."""

from __future__ import annotations

from django.utils.translation import gettext_lazy as _

from repairs.audit.words import DetailWords, VerbWords, label_of
from repairs.cases.models import Case

WORDS: VerbWords = {
    "case.taken_in": _("took the instrument in"),
    "case.changed": _("changed the intake"),
    "case.moved": _("moved the case to “%(step_label)s”"),
    "case.waits": _("noted that the case waits for %(waits_label)s"),
    "case.waits_no_more": _("noted that the case waits no more"),
    "custody.moved": _("put the instrument in its place: %(place)s"),
    "return.written": _("wrote down how the instrument goes home"),
    "case.handed_back": _("handed the instrument over"),
}
# Details that are keys, and the name under which the words take what they mean.
DETAILS: DetailWords = {
    "step": ("step_label", label_of(Case.Step)),
    "what": ("waits_label", label_of(Case.WaitsFor)),
}
