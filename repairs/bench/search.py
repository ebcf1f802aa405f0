"""One box that finds cases, instruments, clients, papers, wood and invoices by their words."""

from __future__ import annotations

from dataclasses import dataclass, field

from django.db.models import Q

from repairs.cases.models import Case
from repairs.findings.models import Finding
from repairs.instruments.hazards import fill_standing
from repairs.instruments.models import Instrument
from repairs.invoices.models import Invoice
from repairs.language.text import MOST_ASKED_SIGNS, MOST_SOUGHT_WORDS, folded
from repairs.people.models import Client
from repairs.photos.faces import with_faces, with_faces_of_stays
from repairs.press.document import tidy_code
from repairs.press.models import Paper
from repairs.wood.models import Piece

MOST = 20


@dataclass(frozen=True)
class Found:
    """What the words matched, by sort; invoices only for those who may see money."""

    cases: list[Case] = field(default_factory=list)
    instruments: list[Instrument] = field(default_factory=list)
    clients: list[Client] = field(default_factory=list)
    findings: list[Finding] = field(default_factory=list)
    papers: list[Paper] = field(default_factory=list)
    invoices: list[Invoice] = field(default_factory=list)
    pieces: list[Piece] = field(default_factory=list)

    @property
    def is_empty(self) -> bool:
        """Whether nothing at all was found."""
        return not any(vars(self).values())


def find(words: str, *, with_money: bool = False) -> Found:
    """Look for all the words, without case or accents; at most twenty of each are shown.

    Invoices are found by their number, by those who may see money.
    """
    words = words.replace("\0", "")[:MOST_ASKED_SIGNS]
    if not folded(words):
        return Found()
    noted = Finding.objects.present().select_related("case")
    for word in words.split()[:MOST_SOUGHT_WORDS]:
        noted = noted.filter(Q(note__icontains=word) | Q(location__icontains=word))
    code = tidy_code(words)
    papers = Paper.objects.filter(code=code, subject__startswith="case:")
    billed = Invoice.objects.filter(number__icontains=words.strip()).select_related("client")
    cases = list(with_faces(Case.objects.matching(words).with_names())[:MOST])
    instruments = Instrument.objects.matching(words).select_related("owner")
    kept = list(with_faces_of_stays(instruments)[:MOST])
    here = [*kept, *(case.instrument for case in cases)]
    fill_standing(here, [one.pk for one in here])
    return Found(
        cases=cases,
        instruments=kept,
        clients=list(Client.objects.matching(words)[:MOST]),
        findings=list(noted[:MOST]),
        papers=list(papers[:MOST]) if code else [],
        invoices=list(billed[:MOST]) if with_money else [],
        pieces=list(Piece.objects.with_left().matching(words)[:MOST]),
    )
