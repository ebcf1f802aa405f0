"""Hold the log and the rows that it vouches for against one another, and say what was touched."""

from __future__ import annotations

import json
from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from repairs.audit.anchors import current_head, digits_of, line_with
from repairs.audit.checking import Count, Fault, all_faults
from repairs.audit.head import Head
from repairs.audit.lost import lost_with
from repairs.audit.refusals import NoHeadError

FOUND, UNUSABLE = 1, 2
TOLD = 20


class Command(BaseCommand):
    """Verify the log, its rows, and a head that was kept elsewhere."""

    help = (
        "Holds every line of the log, and every row that it vouches for, against its hash. Exits "
        "with 1 when a row, a line or the order was touched, or the given head is not in the log; "
        "with 2 and a sentence for a head that is none."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        """An old head to prove, and the form of the answer."""
        parser.add_argument("--head", metavar="HEX", help="a head as printed on a paper, or whole")
        parser.add_argument("--json", action="store_true", help="one JSON object")

    def handle(self, *args: Any, **options: Any) -> None:
        """Say where it breaks; silence is not an answer, so a whole one is said too."""
        try:
            digits = digits_of(options["head"]) if options["head"] is not None else ""
        except NoHeadError as refusal:
            raise CommandError(str(refusal), returncode=UNUSABLE) from refusal
        count = Count()
        faults = list(all_faults(count))
        proved = line_with(digits) if digits else None
        if digits and proved is None:
            faults.append(_not_there(digits))
        if options["json"]:
            self.stdout.write(json.dumps(_told(count, faults, digits, proved), indent=1))
        for fault in faults[:TOLD]:
            self.stderr.write(str(fault))
        if faults:
            raise CommandError(f"The log is not what was written: {len(faults)} faults.")
        if not options["json"]:
            self._say(count, proved)

    def _say(self, count: Count, proved: Head | None) -> None:
        head = current_head()
        if proved is not None:
            self.stdout.write(f"The head is that of line {proved.seq}: all before it stands.")
        if count.erased:
            self.stdout.write(f"Personal values of {count.erased} rows were erased, as logged.")
        self.stdout.write(
            f"Done: all {count.lines} lines of the log are untouched, and the {count.rows} rows "
            f"that they vouch for. The head is {head.seq}: {head.short}"
        )


def _not_there(digits: str) -> Fault:
    lost = lost_with(digits)
    if lost is not None:
        what = f"it was line {lost.seq} of what was given up by line {lost.by_line}"
        return Fault(f"head {digits}", what)
    return Fault(f"head {digits}", "it is not in this log")


def _told(count: Count, faults: list[Fault], digits: str, proved: Head | None) -> dict[str, Any]:
    head = current_head()
    return {
        "good": not faults,
        "lines": count.lines,
        "rows": count.rows,
        "erased_rows": count.erased,
        "head": {"seq": head.seq, "sha256": head.sha256},
        "asked": digits or None,
        "asked_line": proved.seq if proved else None,
        "faults": [{"where": fault.where, "what": fault.what} for fault in faults],
    }
