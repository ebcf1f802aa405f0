from __future__ import annotations

from io import BytesIO
from uuid import UUID

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import FileResponse, Http404, HttpResponse, JsonResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST
from django_htmx.http import HttpResponseClientRedirect

from repairs.cases.access import case_for
from repairs.cases.actions import write_hand_back
from repairs.cases.models import Case
from repairs.jobs.models import Job
from repairs.jobs.registry import trouble_words
from repairs.language.text import spoken
from repairs.papers import actions, page
from repairs.papers.forms import HandBackForm
from repairs.papers.kinds import KINDS
from repairs.papers.needs import leaving
from repairs.papers.needs.kind import PaperKind
from repairs.papers.owner.return_receipt import RETURN_RECEIPT
from repairs.papers.prices import require_draft_readable, require_readable, tells_prices
from repairs.people.access import SignedInRequest, may, needs
from repairs.press.actions import note_download
from repairs.press.models import Paper, PaperDraft
from repairs.press.verify import proved_of
from repairs.storage import files as store
from repairs.storage.reading import read_kept

ON_A_PAGE = 50


@needs("view")
def paper_list(request: SignedInRequest) -> HttpResponse:
    """Papers of cases, a page at a time; those about money stand where only some may look."""
    words = request.GET.get("q", "").strip()
    rows = Paper.objects.filter(subject__startswith="case:").matching(words)
    found = rows.select_related("issued_by", "replaced_by")
    page = Paginator(found, ON_A_PAGE).get_page(request.GET.get("page"))
    return render(request, "papers/list.html", {"page": page, "words": words})


@needs("view")
def paper_detail(request: SignedInRequest, uuid: str) -> HttpResponse:
    """One issued paper and its versions, each under its code."""
    paper = _paper_for(request, uuid)
    every = Paper.objects.about(paper.kind, paper.subject)
    versions = every.select_related("issued_by", "replaced_by")
    facts = {
        "paper": paper,
        "versions": versions,
        "case": _case_number(paper),
        "proved": proved_of(paper),
        "is_closed": tells_prices(paper) and not may(request.user, "see_prices"),
    }
    return render(request, "papers/detail.html", facts)


def _paper_for(request: SignedInRequest, uuid: str) -> Paper:
    """The paper, if the person may see the case that it belongs to."""
    paper = get_object_or_404(Paper.objects.select_related("issued_by"), uuid=uuid)
    case_for(request.user, _case_number(paper), to="view")
    return paper


def _case_number(paper: Paper) -> str:
    kind, _colon, number = paper.subject.partition(":")
    if kind != "case":
        raise Http404
    return number


@needs("view")
def paper_file(request: SignedInRequest, uuid: str) -> FileResponse:
    """The PDF as it was issued; papers with sums only for those who may see money."""
    paper = _paper_for(request, uuid)
    require_readable(request.user, paper)
    note_download(paper, by=request.user, at=timezone.now())
    name = f"{_case_number(paper)}-{paper.kind.replace('_', '-')}-v{paper.version}.pdf"
    return FileResponse(
        BytesIO(read_kept(paper.file_name, paper.sha256)),
        content_type="application/pdf",
        filename=name,
        as_attachment="download" in request.GET,
    )


@needs("view")
def paper_data(request: SignedInRequest, uuid: str) -> JsonResponse:
    """The snapshot that the paper was made from, the same that the PDF carries."""
    paper = _paper_for(request, uuid)
    require_readable(request.user, paper)
    note_download(paper, by=request.user, at=timezone.now())
    return JsonResponse(paper.data, json_dumps_params={"ensure_ascii": False})


@needs("view")
def make(request: SignedInRequest, number: str, kind: str) -> HttpResponse:
    """Where a paper of the case is previewed and issued."""
    case, known = case_for(request.user, number, to="view"), _kind(kind)
    drafts = PaperDraft.objects.filter(kind=known.key, subject=case.log_key)
    wanted = _uuid(request.GET.get("draft", ""))
    draft = drafts.filter(uuid=wanted).first() if wanted else None
    job = _job_of(draft, request.GET.get("job", ""))
    if job is not None and job.state == Job.State.DONE and "paper" in job.result:
        return _to_paper(request, job.result["paper"])
    facts = {
        "case": case,
        "kind": known,
        "may_issue": may(request.user, known.deed),
        "draft": draft,
        "job": job,
        "why": trouble_words(job.trouble, job.message) if job else "",
        **page.state_of(case, draft, at=timezone.now()),
    }
    if request.htmx:
        return render(request, "papers/_make_state.html", facts)
    language = request.GET.get("language") or case.owner.language
    facts |= {"language": language, **page.about(case, known)}
    return render(request, "papers/make.html", facts)


def _kind(key: str) -> PaperKind:
    if key not in KINDS:
        raise Http404
    return KINDS[key]


def _to_paper(request: SignedInRequest, uuid: str) -> HttpResponse:
    """Lead to the issued paper; a part of a page must not swallow that page whole."""
    if request.htmx:
        return HttpResponseClientRedirect(reverse("papers:detail", args=[uuid]))
    return redirect("papers:detail", uuid)


def _uuid(words: str) -> UUID | None:
    """What stands in an address may be anything."""
    try:
        return UUID(words)
    except ValueError:
        return None


def _job_of(draft: PaperDraft | None, words: str) -> Job | None:
    """The job of that draft; a job of anything else is not shown here."""
    wanted = _uuid(words)
    if draft is None or wanted is None:
        return None
    return Job.objects.filter(uuid=wanted, arguments__draft=draft.pk).first()


@needs("record")
@require_POST
def make_preview(request: SignedInRequest, number: str, kind: str) -> HttpResponse:
    """Ask for a preview; it is made beside the web and this page shown meanwhile."""
    case, known = case_for(request.user, number, to="record", after_end=True), _kind(kind)
    language = spoken(request.POST.get("language", ""))
    draft, job = actions.ask_for_preview(
        case, known.key, language, by=request.user, at=timezone.now()
    )
    return redirect(_address(case, known, draft, job))


def _address(case: Case, kind: PaperKind, draft: PaperDraft, job: Job) -> str:
    place = reverse("papers:make", args=[case.number, kind.key])
    return f"{place}?draft={draft.uuid}&job={job.uuid}"


@needs("view")
def preview_file(request: SignedInRequest, number: str, uuid: str) -> FileResponse:
    """The preview once it is there; it has no seal. 404 before."""
    case = case_for(request.user, number, to="view")
    draft = get_object_or_404(PaperDraft, uuid=uuid, subject=case.log_key)
    if not draft.file_name:
        raise Http404
    require_draft_readable(request.user, case, draft)
    data = BytesIO(read_kept(draft.file_name, store.digest_borne(draft.file_name)))
    name = f"{case.number}-preview.pdf"
    return FileResponse(data, content_type="application/pdf", filename=name)


@needs("receipt")
@require_POST
def make_issue(request: SignedInRequest, number: str, kind: str) -> HttpResponse:
    """Issue what was previewed; the kind names the deed that it needs beyond the least one."""
    known = _kind(kind)
    case = case_for(request.user, number, to=known.deed)
    wanted = _uuid(request.POST.get("draft", ""))
    draft = get_object_or_404(PaperDraft, uuid=wanted, kind=known.key, subject=case.log_key)
    job = actions.ask_for_issue(draft, by=request.user, at=timezone.now())
    messages.info(request, _("The paper is being printed and sealed."))
    return redirect(_address(case, known, draft, job))


@needs("receipt")
def hand_over(request: SignedInRequest, number: str) -> HttpResponse:
    """Write down how the instrument goes home; the return receipt then does it."""
    case = case_for(request.user, number, to="receipt")
    if case.ended_at is not None:
        return redirect("papers:make", case.number, RETURN_RECEIPT.key)
    row = leaving.row_for(case)
    form = HandBackForm(request.POST or None, instance=row)
    if request.method == "POST" and form.is_valid():
        write_hand_back(form.save(commit=False), by=request.user, at=timezone.now())
        messages.success(
            request, _("Noted. Look at the receipt, then issue it: that ends the stay.")
        )
        return redirect("papers:make", case.number, RETURN_RECEIPT.key)
    facts = {
        "case": case,
        "form": form,
        "blocking": leaving.blocking_words(case),
        "warnings": leaving.warning_words(case),
    }
    return render(request, "papers/return.html", facts)
