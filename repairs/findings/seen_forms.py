"""The form of a finding, filled with what a tap on a photo does not say."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from typing import Any

from django.utils.text import capfirst

from repairs.cases.models import Case
from repairs.findings.forms import FindingForm
from repairs.findings.models import Finding
from repairs.language.text import labelled

# How soon to act when only the severity was said, from slight to extreme: what only the maker sees
# needs nothing, what hinders playing is planned, what has failed cannot wait (common practice). It
# is shown beside the finding and may be changed there.
URGENCY_OF = {"1": "4", "2": "3", "3": "2", "4": "1"}
LATER = ("stability", "extent_value", "extent_unit", "urgency", "note")


def seen_form(case: Case, sent: Mapping[str, Any] | None = None) -> FindingForm:
    """A form for a new finding of the case: blank, or of what was ``sent``."""
    row = Finding(case=case)
    if sent is None:
        return FindingForm(instance=row)
    said = {name: _words(sent.get(name)) for name in ("part", "term", "severity", *LATER)}
    said["urgency"] = said["urgency"] or URGENCY_OF.get(said["severity"], "3")
    said["stability"] = said["stability"] or Finding.Stability.UNKNOWN
    return FindingForm(said | {"age": Finding.Age.UNKNOWN}, instance=row)


def more_form(finding: Finding, sent: Mapping[str, Any]) -> FindingForm:
    """The finding as it stands, changed in what may be added to it on the photo."""
    values = finding.values()
    said = {name: _words(value) for name, value in values.items()}
    said["part"] = said.pop("part_id")
    said |= {name: _words(sent[name]) for name in LATER if name in sent}
    return FindingForm(said, instance=finding)


def _words(value: object) -> str:
    """What a form takes; a list or an object that was sent in its place is no words at all."""
    return str(value) if isinstance(value, str | int | float | Decimal) else ""


def problem_of(form: FindingForm) -> str:
    """The first thing that must be mended, with the name of its field."""
    name, errors = next(iter(form.errors.items()))
    label = form.fields[name].label if name in form.fields else ""
    return labelled(capfirst(label), errors[0])
