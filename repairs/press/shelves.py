"""The files of the press in the store: papers, their proofs, and previews that pass."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping

from django.urls import reverse
from django.utils.translation import gettext_lazy as _

from repairs.press.models import Paper, PaperDraft
from repairs.press.proof_models import PaperProof
from repairs.storage.files import digest_borne
from repairs.storage.shelves import Kept, Place, Rows, Shelf, put_up

PAPERS, PROOFS, PREVIEWS = Rows(Paper), Rows(PaperProof), Rows(PaperDraft)


def _place(paper: Paper) -> Place:
    return Place(str(paper), reverse("press:verify_code", args=[paper.code]))


def _places_of_papers(names: Collection[str]) -> Mapping[str, Place]:
    rows = Paper.objects.filter(file_name__in=names)
    return {paper.file_name: _place(paper) for paper in rows}


def _places_of_proofs(names: Collection[str]) -> Mapping[str, Place]:
    rows = PaperProof.objects.filter(file_name__in=names).select_related("paper")
    return {proof.file_name: _place(proof.paper) for proof in rows}


def _previews() -> Iterator[Kept]:
    rows = PaperDraft.objects.exclude(file_name="")
    for name in rows.values_list("file_name", flat=True).iterator():
        yield Kept(name, digest_borne(name))


put_up(
    Shelf(
        "papers",
        _("issued papers"),
        PAPERS.kept,
        PAPERS.knows,
        places=_places_of_papers,
        rows=PAPERS,
    )
)
put_up(
    Shelf(
        "proofs",
        _("proofs of papers"),
        PROOFS.kept,
        PROOFS.knows,
        places=_places_of_proofs,
        rows=PROOFS,
    )
)
put_up(
    Shelf(
        "previews",
        _("previews"),
        _previews,
        PREVIEWS.knows,
        is_passing=True,
        rows=PREVIEWS,
    )
)
