"""White space at the edges of a block, which templates of one element a line leave behind.

The page maker counts a space at the end of a line that just fits, and then breaks the line after
its first word.
"""

from __future__ import annotations

import re

BLOCKS = "caption|dd|dt|figcaption|h1|h2|h3|h4|li|p|td|th"
BEGINNING = re.compile(rf"(<(?:{BLOCKS})(?:\s[^<>]*)?>)\s+")
END = re.compile(rf"\s+(</(?:{BLOCKS})>)")


def without_edges(html: str) -> str:
    """The page without white space at the beginning and at the end of its blocks."""
    return END.sub(r"\1", BEGINNING.sub(r"\1", html))
