"""Lines of logs without what opens something: the token of a link is nobody’s to read."""

from __future__ import annotations

import logging
import re

# An address of a consent (``estimates.consent.urls``): whoever holds its token may decide.
_TOKEN = re.compile(r"(/consent/)(?!noted/)[^/\s\"'?#]+")


def masked(line: str) -> str:
    """The line with each token replaced."""
    return _TOKEN.sub(r"\1…", line)


class MaskingFormatter(logging.Formatter):
    """For every handler: neither the line nor the traceback below it bears a token."""

    def format(self, record: logging.LogRecord) -> str:
        """The whole line, masked."""
        return masked(super().format(record))
