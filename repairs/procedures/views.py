from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _

from repairs.people.access import SignedInRequest, needs
from repairs.procedures.forms import ProcedureForm
from repairs.procedures.models import ProcedureVersion
from repairs.procedures.procedure import Procedure, caution_words, procedure_of, shipped
from repairs.procedures.versions import newest_versions, procedures, reword
from repairs.readings.models import Reading
from repairs.readings.sheets.catalogue import sheet_of


@needs("view")
def procedure_list(request: SignedInRequest) -> HttpResponse:
    """All procedures with the version that counts now."""
    rows = [(one, newest) for one, newest in _with_versions()]
    return render(request, "procedures/procedures.html", {"rows": rows})


def _with_versions() -> list[tuple[Procedure, ProcedureVersion | None]]:
    newest = newest_versions()
    return [(one, newest.get(one.key)) for one in procedures()]


def _content(key: str) -> Mapping[str, Any]:
    newest = newest_versions().get(key)
    if newest is not None:
        content: Mapping[str, Any] = newest.content
        return content
    if key not in shipped():
        raise Http404
    return shipped()[key]


@needs("view")
def procedure_page(request: SignedInRequest, key: str) -> HttpResponse:
    """A procedure in its newest wording, or an earlier one by ?version=."""
    versions = list(ProcedureVersion.objects.filter(key=key).select_related("made_by"))
    wanted = request.GET.get("version", "")
    earlier = next((row for row in versions if str(row.version) == wanted), None)
    procedure = earlier.procedure if earlier else procedure_of(_content(key))
    facts = {
        "procedure": procedure,
        "cautions": caution_words(procedure.cautions),
        "readings": [
            (sheet_of(one.gauge).label, Reading.Phase(one.phase).label)
            for one in procedure.readings
        ],
        "versions": versions,
        "earlier": earlier,
    }
    return render(request, "procedures/procedure.html", facts)


@needs("house")
def procedure_edit(request: SignedInRequest, key: str) -> HttpResponse:
    """Reword a procedure, with the reason: a new version, which later work will follow."""
    form = ProcedureForm(request.POST or None, content=_content(key))
    if request.method == "POST" and form.is_valid():
        row = reword(
            key,
            form.worded(),
            because=form.cleaned_data["because"],
            by=request.user,
            at=timezone.now(),
        )
        said = {"version": row.version}
        messages.success(
            request, _("Kept as version %(version)s. Work begun keeps the one that it has.") % said
        )
        return redirect("treatment:procedure", key)
    facts = {"form": form, "procedure": procedure_of(_content(key))}
    return render(request, "procedures/procedure_form.html", facts)
