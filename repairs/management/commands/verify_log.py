"""Hold the log and the rows that it vouches for against one another, and say what was touched."""

from __future__ import annotations

import json
from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.utils import translation
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from repairs.audit.anchors import current_head, digits_of, line_with
from repairs.audit.checking import Count, Fault, all_faults
from repairs.audit.head import Head
from repairs.audit.lost import lost_with
from repairs.audit.refusals import NoHeadError
from repairs.audit.told import told

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
            with translation.override("en"):  # a program reads it
                self.stdout.write(json.dumps(_told(count, faults, digits, proved), indent=1))
        for fault in faults[:TOLD]:
            self.stderr.write(str(fault))
        if faults:
            said = _("The log is not what was written. Faults: %(count)s.")
            raise CommandError(said % {"count": len(faults)})
        if not options["json"]:
            self._say(count, proved)

    def _say(self, count: Count, proved: Head | None) -> None:
        head = current_head()
        if proved is not None:
            said = _("The head is that of line %(line)s: all before it stands.")
            self.stdout.write(said % {"line": proved.seq})
        if count.erased:
            said = _("Rows whose personal values were erased, as the log says: %(count)s.")
            self.stdout.write(said % {"count": count.erased})
        said = _(
            "Done: all %(lines)s lines of the log are untouched, and the %(rows)s rows that they "
            "vouch for. The head is %(seq)s: %(head)s"
        )
        told = {"lines": count.lines, "rows": count.rows, "seq": head.seq, "head": head.short}
        self.stdout.write(said % told)


def _not_there(digits: str) -> Fault:
    lost, where = lost_with(digits), told(gettext_lazy("head %(head)s"), head=digits)
    if lost is not None:
        what = gettext_lazy("it was line %(line)s of what was given up by line %(by)s")
        return Fault(where, told(what, line=lost.seq, by=lost.by_line))
    return Fault(where, gettext_lazy("it is not in this log"))


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
        "faults": [{"where": str(fault.where), "what": str(fault.what)} for fault in faults],
    }
