from __future__ import annotations

from typing import Any

from django.conf import settings
from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from repairs.audit import level
from repairs.audit.anchors import current_head
from repairs.audit.refusals import NoHeadError
from repairs.bench.log_head import answer_to, house_lines, moment_of
from repairs.people.access import SignedInRequest, needs


@needs("house")
def log_head(request: SignedInRequest) -> HttpResponse:
    """The head of the log, and whether one that was kept is in it. For the principal."""
    typed = request.GET.get("head", "").strip()
    head = current_head()
    facts: dict[str, Any] = {
        "head": head,
        "at": moment_of(head),
        "behind": level.behind(),
        "lines": house_lines(),
        "typed": typed,
        "mailed_to": settings.HEAD_TO,
    }
    if typed:
        try:
            facts["answer"] = answer_to(typed)
        except NoHeadError as refusal:
            facts["refusal"] = str(refusal)
    return render(request, "bench/log_head.html", facts)


@needs("house")
@require_POST
def go_on(request: SignedInRequest) -> HttpResponse:
    """Go on from a database that is older than what lies beside the files, once that was read."""
    if not request.POST.get("read"):
        messages.error(request, _("Tick first that you have read what is missing."))
        return redirect("bench:log_head")
    level.go_on(by=request.user, at=timezone.now())
    messages.success(
        request, _("The house goes on. The next numbers follow the highest that were known.")
    )
    return redirect("bench:log_head")
