from __future__ import annotations

from io import BytesIO

from django.http import FileResponse, Http404, HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import render

from repairs.press import verify
from repairs.press.document import tidy_code
from repairs.press.forms import MOST_BYTES, VerifyForm
from repairs.press.proof_models import PaperProof
from repairs.screens.addresses import address_of
from repairs.screens.body_size import takes_of_strangers
from repairs.screens.once import sent_again_is_harmless
from repairs.screens.throttle import Brake, braked
from repairs.storage.reading import read_kept

# Codes that are none of ours, and files, by address.
GUESSES = Brake("verify.code", free=30, first_s=10, most_s=900, forget_s=3600)
FILES = Brake("verify.file", free=30, first_s=10, most_s=900, forget_s=3600)
PROOF_TYPES = {
    ".pem": "application/x-pem-file",
    ".tst": "application/vnd.etsi.timestamp-token",
    ".p7s": "application/pkcs7-signature",
}


@sent_again_is_harmless("it writes nothing")
@takes_of_strangers(MOST_BYTES, FILES)
def verify_page(request: HttpRequest, code: str = "") -> HttpResponse:
    """Open to anyone: tells kind, version, date and proofs of a paper, and of what it says only
    the number of the instrument and the sum."""
    answer = None
    sent = request.POST if request.method == "POST" else None
    form = VerifyForm(sent, request.FILES or None, initial={"code": code})
    address = address_of(request)
    if (request.method == "POST" or code) and (wait_s := GUESSES.wait_s(address)):
        return braked(request, wait_s)
    if request.method == "POST":
        if form.is_valid():
            answer = _answer(form)
    elif code:
        answer = verify.check_code(code)
    if answer and answer.paper is None:
        GUESSES.count(address)
    return render(request, "press/verify.html", {"form": form, "answer": answer})


def _answer(form: VerifyForm) -> verify.Answer:
    file = form.cleaned_data["file"]
    if file is not None:
        return verify.check_upload(file.chunks())
    return verify.check_code(form.cleaned_data["code"])


def proof_file(request: HttpRequest, code: str, pk: int) -> HttpResponseBase:
    """A proof as a file, to whoever holds the code: other programs check it without this house."""
    address = address_of(request)
    if wait_s := GUESSES.wait_s(address):
        return braked(request, wait_s)
    proof = PaperProof.objects.filter(pk=pk, paper__code=tidy_code(code)).first()
    if proof is None:
        GUESSES.count(address)
        raise Http404
    data = BytesIO(read_kept(proof.file_name, proof.sha256))
    name = f"{tidy_code(code)}-{proof.sort.replace('_', '-')}{proof.suffix}"
    kind = PROOF_TYPES[proof.suffix]
    return FileResponse(data, content_type=kind, filename=name, as_attachment=True)
