"""What has changed since the former report of the same instrument, from the findings of both."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from repairs.cases.models import Case
from repairs.findings.models import Finding
from repairs.language.dates import day_words
from repairs.language.text import semicolons
from repairs.press.models import Paper

Thing = tuple[int, str]


def former_words(case: Case, findings: Iterable[Finding], kind: str) -> str:
    """Which report of an earlier stay it is held against, and what is new, worse or gone.

    Findings are the same where part and term are. Empty where no earlier stay has a report.
    """
    earlier = case.instrument.cases.filter(received_at__lt=case.received_at)
    stays = {stay.log_key: stay for stay in earlier}
    paper = Paper.objects.filter(kind=kind, subject__in=stays).order_by("-issued_at").first()
    if paper is None:
        return ""
    then = _by_thing(stays[paper.subject].findings.filter(withdrawn_at=None))
    now = _by_thing(findings)
    said = [
        _("report of %(day)s, code %(code)s")
        % {"day": day_words(paper.issued_at), "code": paper.code},
        *_changes(then, now),
    ]
    return semicolons(said)


def _by_thing(findings: Iterable[Finding]) -> Mapping[Thing, Finding]:
    return {(one.part_id, one.term): one for one in findings}


def _changes(then: Mapping[Thing, Finding], now: Mapping[Thing, Finding]) -> Iterable[str]:
    """The numbers of this report by what became of them, and how many are no longer seen."""
    both = [(then[thing], one) for thing, one in now.items() if thing in then]
    new = [one.number for thing, one in now.items() if thing not in then]
    worse = [one.number for old, one in both if one.severity > old.severity]
    same = [one.number for old, one in both if one.severity <= old.severity]
    gone = len([thing for thing in then if thing not in now])
    for words, numbers in (
        (_("new: %(numbers)s"), new),
        (_("worse: %(numbers)s"), worse),
        (_("as before or better: %(numbers)s"), same),
    ):
        if numbers:
            yield words % {"numbers": ", ".join(map(str, sorted(numbers)))}
    if gone:
        words = ngettext("%(count)s no longer seen", "%(count)s no longer seen", gone)
        yield words % {"count": gone}
