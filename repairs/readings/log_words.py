"""What the log says of readings, limits and tools, in words."""

from __future__ import annotations

from django.utils.translation import gettext_lazy as _

from repairs.audit.words import DetailWords, VerbWords, label_of
from repairs.readings.setup.orders import step_label
from repairs.readings.setup_models import SetUpMark
from repairs.readings.sheets.catalogue import SHEETS


def _gauge(key: str) -> str:
    return str(SHEETS[key].label) if key in SHEETS else ""


WORDS: VerbWords = {
    "reading.taken": _("took reading %(reading)s (%(gauge_label)s)"),
    "reading.recomputed": _("computed reading %(reading)s anew"),
    "reading.withdrawn": _("withdrew reading %(reading)s"),
    "reading.put_back": _("put reading %(reading)s back"),
    "finding.measured": _("said that reading %(reading)s measured finding %(finding)s"),
    "finding.still_to_measure": _("said that no reading has measured finding %(finding)s yet"),
    "finding.asked_again": _("asked anew which reading measured finding %(finding)s"),
    "setup.begun": _("began set-up %(setup)s"),
    "setup.marked": _("set-up %(setup)s, “%(step_label)s”: %(what_label)s"),
    "setup.ended": _("ended set-up %(setup)s"),
    "limit.set": _("set a limit of the house"),
    "tool.kept": _("entered the measuring tool “%(name)s”"),
}
# Details that are keys, and the name under which the words take what they mean.
DETAILS: DetailWords = {
    "gauge": ("gauge_label", _gauge),
    "setup_step": ("step_label", step_label),
    "setup_what": ("what_label", label_of(SetUpMark.What)),
}
