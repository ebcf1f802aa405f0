"""Whether a sentence is one that a person may read: no code of a gauge, no version, in it."""

from __future__ import annotations

import re
from typing import Any

from repairs.gauges.everything import gauges

CODE = re.compile(r"\w[_.][a-z]\w|%\(|\bu_")
VERSIONS = {gauge.version for gauge in gauges().values()}


def assert_is_said(words: str, what: Any = "") -> None:
    assert words, what
    assert not VERSIONS & {words}, words
    assert not CODE.search(words), (what, words)
