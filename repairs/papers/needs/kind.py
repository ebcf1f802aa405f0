"""What one kind of paper is: each stands at the end of the module that compiles its body."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from django.utils.functional import Promise
from django.utils.text import capfirst

from repairs.cases.models import Case
from repairs.language.refusal import WorkshopError
from repairs.papers.carried.compile import Whole
from repairs.papers.needs.lacks import Facts
from repairs.people.access import Deed
from repairs.press.kinds import label_of

Text = str | Promise
Lines = Callable[[Any], list[str]]
Also = Callable[..., None]

_known: dict[str, PaperKind] = {}


@dataclass(frozen=True, kw_only=True)
class PaperKind:
    """One kind of paper of a case.

    ``whole`` is the body with the data that it carries, of a kind that carries any.
    ``lack`` is the refusal that stands in its way; ``contents`` and ``gaps`` speak of the body
    before it is made; ``deed`` is what the one who issues it must be allowed to do; ``also`` runs
    in the transaction of its issue, as ``consequence`` says. The press knows what it is called.
    """

    key: str
    purpose: Text
    template: str
    body: Callable[[Case], Any]
    whole: Callable[[Case], Whole] | None = None
    contents: Lines
    gaps: Lines
    lack: Callable[[Facts], WorkshopError | None]
    deed: Deed
    also: Also | None = None
    consequence: Text = ""
    shows_tags: bool = False
    ends_stay: bool = False

    def compiled(self, case: Case) -> Whole:
        """What the paper says of the case now, and what it carries beside its words."""
        return self.whole(case) if self.whole else Whole(self.body(case))

    @property
    def name(self) -> str:
        """What it is called within a sentence."""
        return label_of(self.key)

    @property
    def label(self) -> str:
        """Its name as a heading."""
        return str(capfirst(self.name))


def make_known(*kinds: PaperKind) -> Mapping[str, PaperKind]:
    """Tell the other papers of these kinds; the order is that of the case's life."""
    _known.update({kind.key: kind for kind in kinds})
    return _known


def known() -> Mapping[str, PaperKind]:
    """All kinds of paper of a case, whole once the desk of the papers is loaded."""
    return _known


def lack_of(kind: str, facts: Facts) -> WorkshopError | None:
    """The refusal that stands in the way of that paper, or None when it can be made."""
    return _known[kind].lack(facts)
