"""The log's verbs in words that a person reads."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django.utils.translation import gettext_lazy as _

from repairs.cases.models import Case
from repairs.estimates.models import Consent
from repairs.findings.vocabulary import term_label
from repairs.press.kinds import label_of
from repairs.readings.sheets.catalogue import SHEETS
from repairs.treatment.models import AgreedWork
from repairs.treatment.part_models import RemovedPart

DEEDS = {
    "case.taken_in": _("took the instrument in"),
    "case.changed": _("changed the intake"),
    "case.moved": _("moved the case to “%(step_label)s”"),
    "case.waits": _("noted that the case waits for %(waits_label)s"),
    "case.waits_no_more": _("noted that the case waits no more"),
    "custody.moved": _("put the instrument in its place: %(place)s"),
    "photo.added": _("added photo %(photo)s"),
    "photo.refused": _("sent a file as photo %(photo)s that could not be kept"),
    "photo.described": _("described photo %(photo)s"),
    "photo.withdrawn": _("withdrew photo %(photo)s"),
    "photo.put_back": _("put photo %(photo)s back"),
    "tag.drawn": _("drew a tag on photo %(photo)s"),
    "tag.moved": _("moved a tag on photo %(photo)s"),
    "tag.withdrawn": _("withdrew a tag of photo %(photo)s"),
    "tag.put_back": _("put a tag of photo %(photo)s back"),
    "tag.bound": _("bound a tag to finding %(finding)s"),
    "finding.noted": _("noted finding %(finding)s: %(term_label)s"),
    "finding.changed": _("changed finding %(finding)s: %(term_label)s"),
    "finding.withdrawn": _("withdrew finding %(finding)s"),
    "finding.put_back": _("put finding %(finding)s back"),
    "parts.looked_at": _("noted which parts were looked at"),
    "examination.saved": _("wrote the general judgement"),
    "reading.taken": _("took reading %(reading)s (%(gauge_label)s)"),
    "reading.recomputed": _("computed reading %(reading)s anew"),
    "reading.withdrawn": _("withdrew reading %(reading)s"),
    "reading.put_back": _("put reading %(reading)s back"),
    "return.written": _("wrote down how the instrument goes home"),
    "case.handed_back": _("handed the instrument over"),
    "estimate.written": _("wrote version %(version)s of the estimate"),
    "estimate.changed": _("changed version %(version)s of the estimate"),
    "estimate.issued": _("issued version %(version)s of the estimate"),
    "estimate.withdrawn": _("withdrew version %(version)s of the estimate"),
    "consent.link_made": _("made a link for the owner’s decision on version %(version)s"),
    "consent.link_revoked": _("revoked the link for version %(version)s"),
    "consent.given": _("noted the owner’s decision %(consent)s: %(decision_label)s"),
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
    "paper.issued": _("issued the %(kind_label)s, version %(version)s"),
}


def deed_words(verb: str, details: Mapping[str, Any]) -> str:
    """Say a line of the log in words; a verb without words is shown as it is."""
    words = DEEDS.get(verb)
    if words is None:
        return verb
    return str(words) % _Details(_labelled(details))


# Details of a line that are keys of a list of choices, and the name under which words take them.
CHOICES: Mapping[str, tuple[str, Any]] = {
    "step": ("step_label", Case.Step),
    "what": ("waits_label", Case.WaitsFor),
    "basis": ("basis_label", AgreedWork.Basis),
    "fate": ("fate_label", RemovedPart.Fate),
    "decision": ("decision_label", Consent.Decision),
}


def _labelled(details: Mapping[str, Any]) -> dict[str, Any]:
    labels = dict(details)
    for name, (label, choices) in CHOICES.items():
        if details.get(name) in choices.values:
            labels[label] = choices(details[name]).label
    if "kind" in details:
        labels["kind_label"] = label_of(details["kind"])
    if details.get("gauge") in SHEETS:
        labels["gauge_label"] = SHEETS[details["gauge"]].label
    if "term" in details:
        labels["term_label"] = term_label(details["term"])
    return labels


class _Details(dict[str, Any]):
    """A line written by an earlier version may lack a detail; it is then left open."""

    def __missing__(self, key: str) -> str:
        return "…"
