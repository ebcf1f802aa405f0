"""The answer to “it says that it is not measured: which reading is it?”."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from repairs.cases.access import case_for
from repairs.people.access import SignedInRequest, needs
from repairs.readings.measured import say_measured, take_back

NONE_OF_THEM = "none"
ASK_AGAIN = "again"


@needs("record")
@require_POST
def measured(request: SignedInRequest, number: str, finding: int) -> HttpResponse:
    """Link a finding to the reading that measured it, or say that none did. For who records."""
    case = case_for(request.user, number, to="record")
    row = get_object_or_404(case.findings.present(), number=finding)
    row.case = case
    answer, now = request.POST.get("reading", ""), timezone.now()
    if answer == ASK_AGAIN:
        take_back(row, by=request.user, at=now)
    elif answer == NONE_OF_THEM:
        say_measured(row, None, by=request.user, at=now)
        messages.success(request, _("It stays to be measured."))
    elif answer.isdecimal() and len(answer) < 6:
        reading = get_object_or_404(case.readings.present(), number=answer)
        say_measured(row, reading, by=request.user, at=now)
        said = {"finding": row.number, "reading": reading.number}
        words = _("Finding %(finding)s is measured by reading %(reading)s. Mend its words, too.")
        messages.success(request, words % said)
    else:
        messages.error(request, _("Choose a reading, or say that none of them measured it."))
    return redirect(f"{case.get_absolute_url()}#findings")
