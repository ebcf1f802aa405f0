"""Offers the demo's largest estimate anew, to an owner by a link: ``python -m …``.

The house is the demo, in the data folder (SAUTEREAU_DATA). All its offers are decided, so that none
of its links is open; the page that an owner opens is measured on this one.
"""

from __future__ import annotations

import datetime as dt
from typing import TYPE_CHECKING
from urllib.parse import urlsplit

import django

from repairs.measures.child import tell

if TYPE_CHECKING:
    from repairs.estimates.models import Option
    from repairs.estimates.wishes import OptionWish

STAYS_WITH = "2026-001"  # three options, with works that cannot be undone
OFFERED_TO = "2026-004"  # still here, so that it may be offered something
PRINCIPAL = "helene"


def main() -> None:
    """Issue it, make the link, and tell its path."""
    django.setup()
    from django.utils import timezone  # noqa: PLC0415 - the apps must be ready first

    from repairs.estimates import actions  # noqa: PLC0415 - as above
    from repairs.estimates.compile import estimate_sheet  # noqa: PLC0415 - as above
    from repairs.estimates.consent.links import link_address, make_link  # noqa: PLC0415 - as above
    from repairs.estimates.models import Estimate, Option  # noqa: PLC0415 - as above
    from repairs.people.models import User  # noqa: PLC0415 - as above

    by, at = User.objects.get(username=PRINCIPAL), timezone.now()
    last = Estimate.objects.filter(case__number=OFFERED_TO).latest("version")
    estimate = actions.write_estimate(last.case, by=by, at=at)
    estimate.valid_until = timezone.localdate() + dt.timedelta(days=30)
    wished = Option.objects.filter(estimate__case__number=STAYS_WITH).order_by("position")
    wishes = [_again(option) for option in wished]
    estimate = actions.change_estimate(estimate, wishes, seen=estimate.revision, by=by, at=at)
    sheet = estimate_sheet(estimate, language="fr", made_at=at)
    print_of = sheet.fingerprint()
    actions.issue_estimate(estimate, language="fr", fingerprint=print_of, by=by, at=at)
    _link, token = make_link(estimate, by=by, at=at)
    tell({"path": urlsplit(link_address(token)).path})


def _again(option: Option) -> OptionWish:
    """The option as it would be typed once more; its findings are those of another case."""
    from repairs.estimates.wishes import LineWish, OptionWish  # noqa: PLC0415 - as above

    lines = [
        LineWish(
            kind=line.kind,
            procedure=line.version.key if line.version else "",
            words=line.words,
            minutes_low=line.minutes_low,
            minutes_high=line.minutes_high,
            amount=line.amount,
        )
        for line in option.lines.select_related("version")
    ]
    said = ("kind", "title", "promise", "risk", "reversibility", "left_out")
    return OptionWish(**{name: getattr(option, name) for name in said}, lines=lines)


if __name__ == "__main__":
    main()
