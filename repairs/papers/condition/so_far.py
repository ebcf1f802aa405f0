"""What belongs to the later steps of a stay, as far as it is recorded at a report's date."""

from __future__ import annotations

from collections.abc import Mapping

from django.db.models import Count, Q
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from repairs.cases.models import Case
from repairs.language.dates import day_words
from repairs.language.text import labelled, lower_first, semicolons
from repairs.papers.blocks.document import Row
from repairs.papers.condition.units import row
from repairs.readings.models import Reading
from repairs.treatment.models import AgreedWork, Intervention
from repairs.treatment.part_models import MaterialUse, RemovedPart

MOST_NAMED = 6


def so_far_rows(case: Case) -> tuple[Row, ...]:
    """Each later unit of the checklist with what the case holds of it, or that it holds none."""
    empty = _("none recorded at the date of this report")
    said = {
        "client_consent": _agreed(case),
        "work_log": _work(case),
        "treatment_materials": _materials(case),
        "removed_parts": _removed(case),
        "measurements_before_after": _measured(case),
        **_exit(case),
    }
    return tuple(row(key, words, empty=empty) for key, words in said.items())


def _agreed(case: Case) -> str:
    """Who agreed to what kind of thing and when, once for each agreement."""
    rows = case.agreed_works.live()
    decisions = decisions_of(case)
    said = dict.fromkeys(agreement_words(one, decisions) for one in rows)
    return semicolons(said)


def decisions_of(case: Case) -> Mapping[str, str]:
    """The owner's decisions as papers name them, by the reference that agreed work bears."""
    return {
        f"consent:{pk}": lower_first(_("Decision %(number)s") % {"number": number})
        for pk, number in case.consents.values_list("pk", "number")
    }


def agreement_words(agreed: AgreedWork, decisions: Mapping[str, str]) -> str:
    """“consent of the owner, Garance Ollivant, 22 November 2026 (decision 1)”."""
    parts = (str(agreed.get_basis_display()), agreed.agreed_name, day_words(agreed.agreed_at))
    words = ", ".join(part for part in parts if part)
    if agreed.is_emergency:
        words = labelled(words, agreed.because)
    reference = decisions.get(agreed.reference, agreed.reference)
    return f"{words} ({reference})" if reference else words


def _work(case: Case) -> str:
    works = list(
        Intervention.objects.filter(case=case).select_related("agreed__version", "sign_off__by")
    )
    return semicolons(_work_words(work) for work in works)


def _work_words(work: Intervention) -> str:
    said = {"work": str(work.agreed), "began": day_words(work.opened_at)}
    if not work.is_signed:
        return _("%(work)s, begun on %(began)s, not signed off") % said
    said |= {"day": day_words(work.sign_off.at), "who": str(work.sign_off.by)}
    return _("%(work)s, begun on %(began)s, signed off on %(day)s by %(who)s") % said


def _materials(case: Case) -> str:
    rows = MaterialUse.objects.filter(intervention__case=case, withdrawn_at=None)
    names = rows.values_list("name", "lot")
    said = list(dict.fromkeys(f"{name} ({lot})" if lot else name for name, lot in names))
    return semicolons([*said[:MOST_NAMED], *(["…"] if len(said) > MOST_NAMED else [])])


def _removed(case: Case) -> str:
    counts = case.removed_parts.values("fate").annotate(count=Count("pk")).order_by("fate")
    fates = dict(RemovedPart.Fate.choices)
    return semicolons(f"{row['count']} × {fates[row['fate']]}" for row in counts)


def _measured(case: Case) -> str:
    """How many readings were taken before work and after it."""
    counts = case.readings.present().aggregate(
        before=Count("pk", filter=Q(phase=Reading.Phase.BEFORE)),
        after=Count("pk", filter=Q(phase__in=[Reading.Phase.AFTER, Reading.Phase.FOLLOW_UP])),
    )
    if not any(counts.values()):
        return ""
    before = ngettext(
        "%(count)s reading before work", "%(count)s readings before work", counts["before"]
    )
    after = ngettext(
        "%(count)s reading after work", "%(count)s readings after work", counts["after"]
    )
    return semicolons([before % {"count": counts["before"]}, after % {"count": counts["after"]}])


def _exit(case: Case) -> dict[str, str]:
    """The state at return and its day, once they are written down."""
    row = case.hand_backs.last()
    if row is None:
        return {"exit_check": "", "exit_date": ""}
    lines = (line.strip() for line in row.state_at_return.splitlines())
    return {
        "exit_check": semicolons(line for line in lines if line),
        "exit_date": day_words(row.returned_at),
    }
