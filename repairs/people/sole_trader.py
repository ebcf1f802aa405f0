"""A sole trader is a person, with a name that business papers bear: not a firm with a title."""

from __future__ import annotations

import re

from django.utils.translation import gettext as _

SOLE_TRADER = re.compile(r"(EI|E\.I\.|entrepreneu(r|se) individuel(le)?)(?!\w)", re.IGNORECASE)


def is_sole_trader(legal_form: str) -> bool:
    """Whether the legal form begins with “EI” or says it in full; not for “EIRL”."""
    return bool(SOLE_TRADER.match(legal_form.strip()))


def with_form(name: str, legal_form: str) -> str:
    """The name as registered with its legal form; “EI” follows the name at once, and once."""
    if name.casefold().endswith(f" {legal_form.casefold()}"):
        return name
    between = " " if is_sole_trader(legal_form) else ", "
    return between.join(part for part in (name, legal_form) if part)


def sole_trader_remark(*, legal_name: str, legal_form: str) -> str:
    """What a sole trader should look at: code de commerce, article R526-27, from memory."""
    if legal_name.strip() or not is_sole_trader(legal_form):
        return ""
    return _(
        "The legal form says sole trader (“EI”), but “name in the business register” is empty: "
        "your own first name and name must stand beside “EI” on every paper."
    )
