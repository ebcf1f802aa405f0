from __future__ import annotations

from uuid import UUID

from django.contrib import messages
from django.http import FileResponse, Http404, HttpResponse, JsonResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST
from django_htmx.http import HttpResponseClientRedirect

from repairs import store
from repairs.cases.access import case_for
from repairs.cases.models import Case
from repairs.jobs.models import Job
from repairs.papers import actions
from repairs.papers.compile import condition_report, unbound_tags
from repairs.people.access import SignedInRequest, needs
from repairs.press.models import Paper, PaperDraft


@needs("view")
def paper_list(request: SignedInRequest) -> HttpResponse:
    """Papers of cases; those about money stand where only some may look."""
    rows = Paper.objects.filter(subject__startswith="case:")
    papers = rows.select_related("issued_by", "replaced_by")[:100]
    return render(request, "papers/list.html", {"papers": papers})


@needs("view")
def paper_detail(request: SignedInRequest, uuid: str) -> HttpResponse:
    paper = _paper_for(request, uuid)
    versions = Paper.objects.about(paper.kind, paper.subject)
    facts = {"paper": paper, "versions": versions, "case": _case_number(paper)}
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
    paper = _paper_for(request, uuid)
    path = store.path_of(paper.file_name)
    name = f"{_case_number(paper)}-{paper.kind.replace('_', '-')}-v{paper.version}.pdf"
    return FileResponse(
        path.open("rb"),
        content_type="application/pdf",
        filename=name,
        as_attachment="download" in request.GET,
    )


@needs("view")
def paper_data(request: SignedInRequest, uuid: str) -> JsonResponse:
    """The snapshot that the paper was made from, the same that the PDF carries."""
    return JsonResponse(_paper_for(request, uuid).data, json_dumps_params={"ensure_ascii": False})


@needs("view")
def report(request: SignedInRequest, number: str) -> HttpResponse:
    """Where a condition report is previewed and issued."""
    case = case_for(request.user, number, to="view")
    drafts = PaperDraft.objects.filter(kind=Paper.Kind.CONDITION_REPORT, subject=case.log_key)
    wanted = _uuid(request.GET.get("draft", ""))
    draft = drafts.filter(uuid=wanted).first() if wanted else None
    job = _job_of(draft, request.GET.get("job", ""))
    facts = {
        "case": case,
        "draft": draft,
        "job": job,
        "papers": Paper.objects.about(Paper.Kind.CONDITION_REPORT, case.log_key),
        "unbound": unbound_tags(case),
        "language": request.GET.get("language") or case.owner.language,
        **_freshness(case, draft),
    }
    if job is not None and job.state == Job.State.DONE and "paper" in job.result:
        return _to_paper(request, job.result["paper"])
    template = "papers/_report_state.html" if request.htmx else "papers/report.html"
    return render(request, template, facts)


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


def _freshness(case: Case, draft: PaperDraft | None) -> dict[str, bool]:
    if draft is None or not draft.file_name:
        return {"is_fresh": False}
    sheet = condition_report(case, language=draft.language, made_at=timezone.now())
    return {"is_fresh": sheet.fingerprint() == draft.fingerprint}


@needs("record")
@require_POST
def report_preview(request: SignedInRequest, number: str) -> HttpResponse:
    case = case_for(request.user, number, to="record")
    language = request.POST.get("language", "fr")
    language = language if language in ("fr", "en") else "fr"
    draft, job = actions.ask_for_preview(case, language, by=request.user, at=timezone.now())
    address = f"{request.path.removesuffix('preview/')}?draft={draft.uuid}&job={job.uuid}"
    return redirect(address)


@needs("view")
def preview_file(request: SignedInRequest, number: str, uuid: str) -> FileResponse:
    case = case_for(request.user, number, to="view")
    draft = get_object_or_404(PaperDraft, uuid=uuid, subject=case.log_key)
    if not draft.file_name:
        raise Http404
    path = store.path_of(draft.file_name)
    return FileResponse(
        path.open("rb"), content_type="application/pdf", filename=f"{case.number}-preview.pdf"
    )


@needs("issue")
@require_POST
def report_issue(request: SignedInRequest, number: str) -> HttpResponse:
    case = case_for(request.user, number, to="issue")
    wanted = _uuid(request.POST.get("draft", ""))
    draft = get_object_or_404(PaperDraft, uuid=wanted, subject=case.log_key)
    job = actions.ask_for_issue(draft, by=request.user, at=timezone.now())
    messages.info(request, _("The report is being printed and sealed."))
    return redirect(f"{request.path.removesuffix('issue/')}?draft={draft.uuid}&job={job.uuid}")
