"""What an estimate still lacks before it can be issued."""

from __future__ import annotations

import datetime as dt

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from repairs.estimates.compile import options_of
from repairs.estimates.models import Estimate, Option, OptionLine
from repairs.estimates.totals import Rates, rates_of, totals_of


def gaps(estimate: Estimate, today: dt.date) -> list[str]:
    """What keeps the estimate from being issued, each in a sentence."""
    options = options_of(estimate)
    found = [] if options else [_("It offers nothing yet: add an option with its work.")]
    if estimate.has_lapsed(today):
        found.append(_("Its validity ends before today."))
    rates = rates_of(estimate)
    for number, option in enumerate(options, 1):
        found += [
            _("Option %(number)s: %(what)s") % {"number": number, "what": what}
            for what in _option_gaps(option, rates)
        ]
    return found


def _option_gaps(option: Option, rates: Rates) -> list[str]:
    lines = list(option.lines.all())
    found = []
    if not any(line.kind == OptionLine.Kind.WORK for line in lines):
        found.append(_("it has no work under a procedure."))
    unpriced = sum(1 for line in lines if _is_unpriced(line))
    if unpriced:
        found.append(
            ngettext(
                "%(count)s line has neither minutes nor an amount.",
                "%(count)s lines have neither minutes nor an amount.",
                unpriced,
            )
            % {"count": unpriced}
        )
    if option.ceiling is not None and option.ceiling < totals_of(option, rates).total_low:
        found.append(_("its ceiling lies below its lower total."))
    return found


def _is_unpriced(line: OptionLine) -> bool:
    if line.amount is not None:
        return False
    return line.kind != OptionLine.Kind.WORK or not (line.minutes_low or line.minutes_high)
