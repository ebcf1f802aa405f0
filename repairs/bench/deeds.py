"""The log's verbs in words that a person reads."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django.utils.translation import gettext_lazy as _

from repairs.cases.models import Case
from repairs.findings.vocabulary import term_label
from repairs.press.models import Paper
from repairs.readings.sheets.catalogue import SHEETS

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
    "paper.issued": _("issued the %(kind_label)s, version %(version)s"),
}


def deed_words(verb: str, details: Mapping[str, Any]) -> str:
    """Say a line of the log in words; a verb without words is shown as it is."""
    words = DEEDS.get(verb)
    if words is None:
        return verb
    return str(words) % _Details(_labelled(details))


def _labelled(details: Mapping[str, Any]) -> dict[str, Any]:
    labels = dict(details)
    if details.get("step") in Case.Step.values:
        labels["step_label"] = Case.Step(details["step"]).label
    if details.get("what") in Case.WaitsFor.values:
        labels["waits_label"] = Case.WaitsFor(details["what"]).label
    if details.get("kind") in Paper.Kind.values:
        labels["kind_label"] = Paper.Kind(details["kind"]).label
    if details.get("gauge") in SHEETS:
        labels["gauge_label"] = SHEETS[details["gauge"]].label
    if "term" in details:
        labels["term_label"] = term_label(details["term"])
    return labels


class _Details(dict[str, Any]):
    """A line written by an earlier version may lack a detail; it is then left open."""

    def __missing__(self, key: str) -> str:
        return "…"
