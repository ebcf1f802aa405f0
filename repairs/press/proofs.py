"""Verbs on the proofs of papers: keep them as rows with their files, ask for what is missing."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import TYPE_CHECKING

from django.conf import settings
from django.contrib.auth.base_user import AbstractBaseUser
from django.db.models import Exists, OuterRef

from repairs.audit.actions import deed, record
from repairs.jobs.actions import enqueue
from repairs.press.models import Paper, PaperQuerySet
from repairs.press.proof_models import PaperProof
from repairs.press.sealing import PROVE, Sealed
from repairs.storage import files as store

if TYPE_CHECKING:
    from repairs.press.signing.stamps import Stamp

Sort = PaperProof.Sort
LONGEST_NAME = 300
STAMPS = (Sort.STAMP_INSIDE, Sort.STAMP)


@dataclass(frozen=True)
class Proof:
    """A proof with its file, before it is kept: what it attests, and who vouches for whom."""

    sort: PaperProof.Sort
    data: bytes
    at: dt.datetime
    name: str
    issuer: str


def keep_seal(paper: Paper, sealed: Sealed, *, by: AbstractBaseUser | None) -> None:
    """Write down by whom the paper was signed, and have fetched what it still lacks."""
    if sealed.key is not None:
        key = sealed.key
        keep(paper, Proof(Sort.SIGNATURE, key.pem(), paper.issued_at, key.name, key.issuer))
    if sealed.stamp is not None:
        keep(paper, stamped(Sort.STAMP_INSIDE, sealed.stamp))
    if sealed.wants_proofs:
        enqueue(PROVE, by=by, paper=paper.pk)


def stamped(sort: PaperProof.Sort, stamp: Stamp) -> Proof:
    """A time stamp that stands in the file or beside it."""
    return Proof(sort, stamp.token, stamp.at, stamp.name, stamp.issuer)


def keep(paper: Paper, proof: Proof) -> PaperProof:
    """Keep one proof with its file. The file first: a row without it would prove nothing."""
    suffix = PaperProof.SUFFIXES[proof.sort]
    digest, file_name = store.keep(proof.data, "proofs", suffix)
    return PaperProof.objects.create(
        paper=paper,
        sort=proof.sort,
        at=proof.at,
        name=proof.name[:LONGEST_NAME],
        issuer=proof.issuer[:LONGEST_NAME],
        file_name=file_name,
        sha256=digest,
    )


@deed()
def add_later(paper: Paper, proof: Proof, *, at: dt.datetime) -> PaperProof:
    """Keep a proof that came after the paper; the log tells of it, the paper stays as it is."""
    row = keep(paper, proof)
    verb = "paper.stamped" if proof.sort == Sort.STAMP else "paper.proved"
    record(None, verb, paper.subject, at=at, paper=str(paper.uuid), sha256=row.sha256)
    return row


def proofs_of(paper: Paper) -> dict[str, PaperProof]:
    """The newest proof of each sort."""
    return {proof.sort: proof for proof in paper.proofs.all()}


def without_stamp() -> PaperQuerySet:
    """Papers that never got a stamp; meaningful where a server is named."""
    stamped = PaperProof.objects.filter(paper=OuterRef("pk"), sort__in=STAMPS)
    return Paper.objects.filter(~Exists(stamped))


@deed()
def ask_again(*, by: AbstractBaseUser, most: int = 1000) -> int:
    """Queue the stamp of papers that have none, the newest first; return how many.

    None where no server is named.
    """
    if not settings.STAMP_SERVER:
        return 0
    papers = list(without_stamp()[:most])
    for paper in papers:
        enqueue(PROVE, by=by, paper=paper.pk)
    return len(papers)
