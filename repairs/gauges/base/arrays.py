"""numpy, brought in by the first thing that computes.

Most pages, papers and commands compute nothing, and its import is a thirtieth of a printed report.
"""

from __future__ import annotations

import importlib
from typing import TYPE_CHECKING, Any

__all__ = ["Floats", "Indices", "Ints", "NDArray", "Seconds", "np"]

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Indices = NDArray[np.intp]
    Ints = NDArray[np.int64]
    Seconds = Ints
else:
    # Names for annotations, which nothing reads while it runs.
    NDArray = Floats = Indices = Ints = Seconds = Any

    class _AtFirstUse:
        """Stands for the package; each name is asked of it once, and kept."""

        def __getattr__(self, name: str) -> Any:
            found = getattr(importlib.import_module("numpy"), name)
            setattr(self, name, found)
            return found

    np = _AtFirstUse()
