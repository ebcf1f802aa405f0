"""Who may do what to a case. A view gets its case here, and everything else through it."""

from __future__ import annotations

from django.db.models import Q, QuerySet
from django.shortcuts import get_object_or_404
from django.utils import timezone
from django.utils.formats import date_format

from repairs.cases.models import Case
from repairs.cases.refusals import CaseEndedError, IntakeClosedError
from repairs.people.access import DEEDS, Deed, require
from repairs.people.models import User

# What these write is about an instrument that is here. Papers, estimates and money are not.
CLOSED_AT_THE_END: frozenset[Deed] = frozenset(
    {"take_in", "record", "examine", "sign_off", "agree"}
)


def case_for(user: User, number: str, *, to: Deed, after_end: bool = False) -> Case:
    """Return the case; 404 if `user` may not see it, a refusal if not allowed `to` do this.

    Raises CaseEndedError for a deed that ends with the stay, unless it is one that goes on
    ``after_end``.
    """
    visible = Case.objects.visible_to(user).with_names()
    case: Case = get_object_or_404(visible, number=number)
    require(user, to)
    if to in CLOSED_AT_THE_END and not after_end:
        require_going_on(case, IntakeClosedError if to == "take_in" else CaseEndedError)
    return case


def require_going_on(case: Case, refusal: type[CaseEndedError] = CaseEndedError) -> None:
    """Raise the refusal when the stay has ended."""
    if case.ended_at is not None:
        day = date_format(timezone.localtime(case.ended_at), "DATE_FORMAT")
        raise refusal(number=case.number, date=day)


def people_who_may(deed: Deed, *, also: int | None = None) -> QuerySet[User]:
    """Those of the house whose role covers the deed, to choose one; and whoever is named by now."""
    roles = [role for role, deeds in DEEDS.items() if deed in deeds]
    return User.objects.filter(Q(is_active=True, role__in=roles) | Q(pk=also))
