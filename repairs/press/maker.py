"""The page maker, imported without its long search for libraries and without what it rarely needs.

It asks for each library by the names of several systems, and for a name without a dot the loader
starts ldconfig and a linker: twenty searches, a fifth of a second at the start of every process.
On Linux the one name with a version is enough, and the dynamic loader knows where that lies.

Its second way of cutting fonts, and the reading of compressed ones, take another quarter of a
second to import. Ours are cut by the HarfBuzz subset library and are not compressed, so that these
modules are loaded when they are first asked for.
"""

import ctypes.util
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from importlib import import_module
from importlib.util import LazyLoader, find_spec, module_from_spec
from types import ModuleType
from typing import Any

SELDOM_USED = ("fontTools.subset", "fontTools.ttLib.woff2")
VARYING = "fontTools.varLib.instancer"


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


@contextmanager
def _cutting_later() -> Iterator[None]:
    """Let the page maker take names of fontTools whose modules are loaded once they are used."""
    for name in SELDOM_USED:
        if name not in sys.modules:
            _load_later(name)
    stands_in = VARYING not in sys.modules
    if stands_in:
        sys.modules[VARYING] = _standing_in()
    try:
        yield
    finally:
        if stands_in:
            del sys.modules[VARYING]


def _load_later(name: str) -> None:
    spec = find_spec(name)
    if spec is None or spec.loader is None:
        return
    spec.loader = LazyLoader(spec.loader)
    module = sys.modules[name] = module_from_spec(spec)
    spec.loader.exec_module(module)
    package, _dot, last = name.rpartition(".")
    setattr(sys.modules[package], last, module)


def _standing_in() -> ModuleType:
    """A function cannot be loaded later, as a module can: it loads its own module when called."""
    module = ModuleType(VARYING)

    def instantiate(*args: Any, **kwargs: Any) -> Any:
        return import_module(VARYING).instantiateVariableFont(*args, **kwargs)

    vars(module)["instantiateVariableFont"] = instantiate
    return module


with _without_search(), _cutting_later():
    from weasyprint import HTML, VERSION, Attachment
    from weasyprint.urls import FatalURLFetchingError, URLFetcher

__all__ = ["HTML", "VERSION", "Attachment", "FatalURLFetchingError", "URLFetcher"]
