"""The reference library for BagIt, by which bags are checked that it did not make."""

from __future__ import annotations

import warnings

# It is older than the Python that compiles it, which warns of its escapes; warnings fail a run.
with warnings.catch_warnings():
    warnings.simplefilter("ignore")
    import bagit

__all__ = ["bagit"]
