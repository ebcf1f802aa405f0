"""Counts what is wrong with the numbers of a measured house: ``python -m …`` in its data folder."""

from __future__ import annotations

from itertools import pairwise

import django

from repairs.measures.child import tell


def main() -> None:
    """Count what the issuing processes left: numbers, gaps, doubles."""
    django.setup()
    from repairs.invoices.models import Invoice  # noqa: PLC0415 - the apps must be ready first

    rows = Invoice.objects.order_by("issued_at", "pk").values_list("sequence", flat=True)
    taken = list(rows)
    tell(
        {
            "issued": len(taken),
            "gaps": len(set(range(1, max(taken) + 1)) - set(taken)),
            "twins": len(taken) - len(set(taken)),
            "out_of_order": sum(1 for a, b in pairwise(taken) if b <= a),
        }
    )


if __name__ == "__main__":
    main()
