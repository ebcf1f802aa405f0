from __future__ import annotations

from io import BytesIO

from django.http import FileResponse, HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import get_object_or_404, render
from django.utils.translation import gettext as _

from repairs.press import verify
from repairs.press.document import tidy_code
from repairs.press.forms import VerifyForm
from repairs.press.proof_models import PaperProof
from repairs.screens.throttle import too_many
from repairs.storage.reading import read_kept

TRIES_PER_MINUTE = 30
PROOF_TYPES = {
    ".pem": "application/x-pem-file",
    ".tst": "application/vnd.etsi.timestamp-token",
    ".p7s": "application/pkcs7-signature",
}


def verify_page(request: HttpRequest, code: str = "") -> HttpResponse:
    """Open to anyone: tells kind, version, date and proofs of a paper, and of what it says only
    the number of the instrument and the sum."""
    answer = None
    sent = request.POST if request.method == "POST" else None
    form = VerifyForm(sent, request.FILES or None, initial={"code": code})
    if (request.method == "POST" or code) and _is_guessing(request):
        return _braked(request)
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


def proof_file(request: HttpRequest, code: str, pk: int) -> HttpResponseBase:
    """A proof as a file, to whoever holds the code: other programs check it without this house."""
    if _is_guessing(request):
        return _braked(request)
    proof = get_object_or_404(PaperProof, pk=pk, paper__code=tidy_code(code))
    data = BytesIO(read_kept(proof.file_name, proof.sha256))
    name = f"{tidy_code(code)}-{proof.sort.replace('_', '-')}{proof.suffix}"
    kind = PROOF_TYPES[proof.suffix]
    return FileResponse(data, content_type=kind, filename=name, as_attachment=True)


def _is_guessing(request: HttpRequest) -> bool:
    return too_many(request, "verify", per_minute=TRIES_PER_MINUTE)


def _braked(request: HttpRequest) -> HttpResponse:
    refusal = _("Too many tries from this address. Wait a minute, then try again.")
    return render(request, "refused.html", {"refusal": refusal}, status=429)
