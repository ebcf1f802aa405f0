"""Who may do what to a case. A view gets its case here, and everything else through it."""

from __future__ import annotations

from typing import Any

from django.shortcuts import get_object_or_404

from repairs.cases.models import Case
from repairs.people.access import Deed, require


def case_for(user: Any, number: str, *, to: Deed) -> Case:
    """Return the case; 404 if `user` may not see it, a refusal if not allowed `to` do this."""
    visible = Case.objects.visible_to(user).with_names()
    case: Case = get_object_or_404(visible, number=number)
    require(user, to)
    return case
