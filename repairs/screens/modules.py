"""Which modules of the browser import which, so that a page fetches them all at once."""

from __future__ import annotations

import posixpath
import re
from functools import cache
from pathlib import Path

from django.contrib.staticfiles import finders

IMPORT = re.compile(r'^(?:import|export)\b[^;]*?["\'](\.{1,2}/[^"\']+)["\']', re.MULTILINE)


# The files do not change while a server runs.
@cache
def imported_by(name: str) -> tuple[str, ...]:
    """The modules that one imports, itself or through others, each once, in order of need."""
    found: dict[str, None] = {}
    _follow(name, found)
    found.pop(name, None)
    return tuple(found)


def _follow(name: str, found: dict[str, None]) -> None:
    path = finders.find(f"repairs/js/{name}")
    if name in found or not isinstance(path, str):
        return
    found[name] = None
    for relative in IMPORT.findall(Path(path).read_text("utf-8")):
        _follow(posixpath.normpath(posixpath.join(posixpath.dirname(name), relative)), found)
