"""The head of the log, to be kept where nobody who writes the database can write."""

from __future__ import annotations

import re

from repairs.audit.head import Head
from repairs.audit.marks import NO_LINE, Mark
from repairs.audit.models import LogEntry, LogHead
from repairs.audit.refusals import NoHeadError

LEAST, WHOLE = 8, 64
BETWEEN = re.compile(r"[\s·.–—-]+")


def current_head() -> Head:
    """The head as it is now; of an empty log line 0, whose hash is all noughts."""
    row = LogHead.objects.filter(pk=1).values_list("seq", "hash").first()
    return Head(*row) if row else Head(0, NO_LINE)


def as_mark(head: Head) -> Mark:
    """The head as the marks beside the files keep it."""
    return Mark(head.seq, head.sha256)


def digits_of(typed: str) -> str:
    """The hexadecimal digits of what was typed off a paper, also with the line's number and a
    colon before them. Raises NoHeadError."""
    # What is typed in groups is one word; what is typed after the colon is the head itself.
    digits = BETWEEN.sub("", typed.rpartition(":")[2]).lower()
    if not re.fullmatch(rf"[0-9a-f]{{{LEAST},{WHOLE}}}", digits):
        raise NoHeadError(typed=typed[:80], least=LEAST)
    return digits


def line_with(digits: str) -> Head | None:
    """The line of the log whose hash begins so; None when it has none. Line 0 is its beginning."""
    if NO_LINE.startswith(digits):
        return Head(0, NO_LINE)
    # A range instead of LIKE, which SQLite answers by walking the whole table.
    rows = LogEntry.objects.filter(hash__gte=digits, hash__lt=f"{digits}g")
    row = rows.order_by("seq").values_list("seq", "hash").first()
    return Head(*row) if row else None
