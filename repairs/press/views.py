from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext as _

from repairs.press import verify
from repairs.press.forms import VerifyForm
from repairs.screens.throttle import too_many

TRIES_PER_MINUTE = 30


def verify_page(request: HttpRequest, code: str = "") -> HttpResponse:
    """Open to anyone: tells kind, version and date of a paper, and nothing that it says."""
    answer = None
    sent = request.POST if request.method == "POST" else None
    form = VerifyForm(sent, request.FILES or None, initial={"code": code})
    if (request.method == "POST" or code) and too_many(
        request, "verify", per_minute=TRIES_PER_MINUTE
    ):
        refusal = _("Too many tries from this address. Wait a minute, then try again.")
        return render(request, "refused.html", {"refusal": refusal}, status=429)
    if request.method == "POST":
        if form.is_valid():
            answer = _answer(form)
    elif code:
        answer = verify.check_code(code)
    return render(request, "press/verify.html", {"form": form, "answer": answer})


def _answer(form: VerifyForm) -> verify.Answer:
    file = form.cleaned_data["file"]
    if file is not None:
        return verify.check_file(file.read())
    return verify.check_code(form.cleaned_data["code"])
