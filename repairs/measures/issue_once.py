"""Issues invoices in a house of its own, with all rules: ``python -m … FOLDER TIMES``.

FOLDER is also the house's data folder (SAUTEREAU_DATA): its database and store lie there. What is
timed is what the screen's last button does; the first one also starts the checking process. Leaves
the last e-invoice there as invoice.xml.
"""

from __future__ import annotations

import sys
import time
from pathlib import Path
from statistics import median
from typing import Any

import django

from repairs.measures.child import tell

LINES = 8
HOUSE = {
    "name": "Atelier Sautarel",
    "address": "1, rue du Puits",
    "postcode": "99001",
    "city": "Montbrac",
    "country": "FR",
    "email": "atelier@example.org",
    "legal_form": "EI",
    "company_number": "00012345500016",
    "vat_id": "FR31000123455",
    "iban": "FR7699999000010000000004286",
}
CLIENT = {
    "name": "Garance Ollivant",
    "address": "3, chemin des Aulnes",
    "postcode": "99002",
    "city": "Montbrac",
    "country": "FR",
    "email": "garance@example.org",
}


def main() -> None:
    """Issue invoices one after the other, in this process, which the harness measures."""
    folder, times = Path(sys.argv[1]), int(sys.argv[2])
    django.setup()
    from django.core.management import call_command  # noqa: PLC0415 - the apps must be ready first

    call_command("migrate", verbosity=0)
    issues, checks = _issue(folder, times + 1)
    tell(
        {
            "first_s": issues[0],
            "median_s": median(issues[1:]),
            "check_median_s": median(checks[1:]),
        }
    )


def _issue(folder: Path, times: int) -> tuple[list[float], list[float]]:
    """Seconds of each issue, and of writing and checking alone the same e-invoice once more."""
    from django.utils import timezone  # noqa: PLC0415 - the apps must be ready first

    from repairs.einvoice.check.validate import build_checked  # noqa: PLC0415 - the apps must be ready first
    from repairs.invoices.drafting import document_of  # noqa: PLC0415 - the apps must be ready first
    from repairs.invoices.gathering import facts_of  # noqa: PLC0415 - as above
    from repairs.invoices.issuing import fingerprint, issue_invoice  # noqa: PLC0415 - as above

    clerk, client = _people()
    issues, checks = [], []
    for _turn in range(times):
        draft = _draft(client, clerk)
        doc = document_of(facts_of(draft, timezone.now()), number="M-1")
        begun = time.perf_counter()
        issue_invoice(draft, shown=fingerprint(doc), by=clerk, clock=timezone.now)
        issues.append(time.perf_counter() - begun)
        begun = time.perf_counter()
        checked = build_checked(doc)
        checks.append(time.perf_counter() - begun)
        (folder / "invoice.xml").write_bytes(checked.xml)
    return issues, checks


def _people() -> tuple[Any, Any]:
    """An invented house, its bookkeeper and a client, entered once."""
    from django.utils import timezone  # noqa: PLC0415 - the apps must be ready first

    from repairs.people import actions  # noqa: PLC0415 - the apps must be ready first
    from repairs.people.house_models import House  # noqa: PLC0415 - the apps must be ready first
    from repairs.people.models import Client, User  # noqa: PLC0415 - the apps must be ready first

    at = timezone.now()
    if clerk := User.objects.first():
        return clerk, Client.objects.get()
    clerk = User(username="clerk", role="principal", email="clerk@example.org")
    actions.save_user(clerk, by=None, at=at, password="only-for-measuring-1771")  # noqa: S106
    actions.change_house(House(**HOUSE), by=clerk, at=at)
    return clerk, actions.enter_client(Client(**CLIENT), by=clerk, at=at)


def _draft(client: Any, clerk: Any) -> Any:
    from decimal import Decimal  # noqa: PLC0415 - the apps must be ready first

    from django.utils import timezone  # noqa: PLC0415 - the apps must be ready first

    from repairs.invoices import actions  # noqa: PLC0415 - the apps must be ready first

    lines = [
        actions.DraftLineSpec(
            sort="hours",
            description=f"Rectification de la roue, {n}",
            quantity=Decimal("1.25"),
            unit="HUR",
            unit_price=Decimal("48.00"),
        )
        for n in range(1, LINES + 1)
    ]
    return actions.open_draft(
        client, case=None, kind="380", lines=lines, by=clerk, at=timezone.now()
    )


if __name__ == "__main__":
    main()
