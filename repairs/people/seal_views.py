"""The page of the key that signs papers: which it is, another one, the stamps that are missing."""

from __future__ import annotations

import datetime as dt
from typing import Any
from urllib.parse import urlsplit

from django.conf import settings
from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import require_POST

from repairs.people.access import SignedInRequest, needs
from repairs.people.house_models import House
from repairs.people.seal_forms import KeyForm
from repairs.press import keys, proofs
from repairs.press.refusals import KeyUnusableError

ENDS_SOON = dt.timedelta(days=60)


@needs("house")
def seal(request: SignedInRequest) -> HttpResponse:
    """Show the key, and take another one over. For the principal."""
    is_sent = request.method == "POST"
    form = KeyForm(request.POST, request.FILES) if is_sent else KeyForm()
    if is_sent and form.is_valid():
        taken = form.take(by=request.user, at=timezone.now())
        if taken is not None:
            words = _("From now on papers are signed by “%(name)s”.")
            messages.success(request, words % {"name": taken.name})
            return redirect("people:seal")
    return render(request, "people/seal.html", {"form": form, **_state()})


def _state() -> dict[str, Any]:
    """The key, what is wrong with it, and how many papers wait for a stamp."""
    key, trouble = None, ""
    try:
        key = keys.key_facts()
    except KeyUnusableError as refusal:
        trouble = str(refusal)
    server = urlsplit(str(settings.STAMP_SERVER)).hostname or ""
    until = key.until if key else None
    return {
        "key": key,
        "trouble": trouble,
        "soon": until is not None and until - timezone.now() < ENDS_SOON,
        "server": server,
        "unstamped": proofs.without_stamp().count() if server else 0,
    }


@needs("house")
@require_POST
def seal_new(request: SignedInRequest) -> HttpResponse:
    """Make a key of our own in the place of the present one."""
    keys.make_key(House.present().name, by=request.user, at=timezone.now())
    messages.success(request, _("The new key is made. Papers issued from now on bear it."))
    return redirect("people:seal")


@needs("house")
@require_POST
def seal_stamps(request: SignedInRequest) -> HttpResponse:
    """Ask for the time stamps that are missing, beside the web."""
    count = proofs.ask_again(by=request.user)
    words = ngettext(
        "The time stamp of %(count)s paper is asked for now.",
        "The time stamps of %(count)s papers are asked for now.",
        count,
    )
    messages.info(request, words % {"count": count})
    return redirect("people:seal")
