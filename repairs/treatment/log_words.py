"""What the log says of the work, in words."""

from __future__ import annotations

from django.utils.translation import gettext_lazy as _

from repairs.audit.words import DetailWords, VerbWords, label_of
from repairs.treatment.models import AgreedWork
from repairs.treatment.part_models import RemovedPart

WORDS: VerbWords = {
    "work.agreed": _("noted agreed work %(agreed)s (%(basis_label)s)"),
    "work.dropped": _("gave up agreed work %(agreed)s"),
    "work.opened": _("began work %(work)s"),
    "work.described": _("described work %(work)s"),
    "work.ended": _("ended work %(work)s"),
    "work.resumed": _("took up work %(work)s again"),
    "clock.started": _("started the clock of work %(work)s"),
    "clock.stopped": _("stopped the clock of work %(work)s after %(minutes)s min"),
    "clock.typed": _("typed %(minutes)s min for work %(work)s"),
    "step.noted": _("noted a step of work %(work)s"),
    "material.used": _("noted a material of work %(work)s"),
    "material.withdrawn": _("took back a material of work %(work)s"),
    "part.removed": _("put a removed part in bag %(bag)s"),
    "part.fate": _("noted what became of bag %(bag)s: %(fate_label)s"),
    "part.new": _("noted a new part of work %(work)s"),
    "part.new_withdrawn": _("took back a new part of work %(work)s"),
    "prescription.followed": _("noted by how much a prescription was followed in work %(work)s"),
    "work.signed_off": _("signed off work %(work)s"),
}
# Details that are keys, and the name under which the words take what they mean.
DETAILS: DetailWords = {
    "basis": ("basis_label", label_of(AgreedWork.Basis)),
    "fate": ("fate_label", label_of(RemovedPart.Fate)),
}
