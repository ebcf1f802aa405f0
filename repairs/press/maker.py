"""The page maker, imported without its long search for the system's libraries.

It asks for each library by the names of several systems, and for a name without a dot the loader
starts ldconfig and a linker: twenty searches, a fifth of a second at the start of every process.
On Linux the one name with a version is enough, and the dynamic loader knows where that lies.
"""

import ctypes.util
import sys
from collections.abc import Iterator
from contextlib import contextmanager


def _not_found(name: str) -> str | None:
    return None


@contextmanager
def _without_search() -> Iterator[None]:
    usual = ctypes.util.find_library
    if sys.platform == "linux":
        ctypes.util.find_library = _not_found
    try:
        yield
    finally:
        ctypes.util.find_library = usual


with _without_search():
    from weasyprint import HTML, VERSION, Attachment
    from weasyprint.urls import FatalURLFetchingError, URLFetcher

__all__ = ["HTML", "VERSION", "Attachment", "FatalURLFetchingError", "URLFetcher"]
